"""Help pages: plain text of 80 columns, what can be typed first.

An example comes before any option, commands are grouped by what a maker does with them. Words only, from the
declarations; nothing is loaded and nothing drawn.
"""

from __future__ import annotations

import textwrap

from kerftone.cli.declarations import Taken, declarations, examples, help_of, inside, takes
from kerftone.cli.screen import WIDTH, beside

COLUMN = 24
"""Where the words beside an option begin."""


def help_page(path: str) -> str:
    """The help of one command, or of a group of them, that is called by these words."""
    words = " ".join(path.split()[1:])
    first, *more = (textwrap.fill(" ".join(one.split()), WIDTH - 1) for one in help_of(words).split("\n\n"))
    parts = [first]
    if examples(words):
        parts.append("\n".join(_example(line) for line in examples(words)))
    parts += ["\n\n".join(more)] if more else []
    there = inside(words)
    under = {"": there} if words else declarations()["groups"]
    told = {
        head: [(name, help_of(f"{words} {name}".strip()).partition("\n\n")[0]) for name in under[head]]
        for head in under
        if there
    }
    if not there:
        taken = sorted(takes(words), key=lambda one: bool(one.flags))
        given = [one for one in taken if one.must or not one.flags]
        added = [one for one in taken if one not in given]
        both = {"To be given": given, "May be added": added}
        told = {head: [(_typed(one), one.words) for one in some] for head, some in both.items() if some}
    for head, lines in told.items():
        parts.append("\n".join([*([head] if head else []), *(beside(*line, COLUMN) for line in lines)]))
    return "\n\n".join([*parts, *([f"`{path} COMMAND --help` tells the rest of each."] if there else [])])


def _example(line: str) -> str:
    """An example, over two lines where it is long."""
    if len(line) + 2 < WIDTH:
        return f"  {line}"
    return textwrap.fill(
        line, WIDTH - 3, initial_indent="  ", subsequent_indent="      ", break_on_hyphens=False
    ).replace("\n", " \\\n")


def _typed(one: Taken) -> str:
    """An option's names and what stands for its value."""
    return f"{', '.join(sorted(one.names, key=len))} {one.value if one.flags else ''}".strip()
