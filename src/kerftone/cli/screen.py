"""What a command says and where: words and progress to stderr, results to stdout.

Tables fit 80 columns and carry no colour codes when they go to a file or a pipe. Words the maker wrote (a
drum's name) are shown without control characters, which could otherwise steer the terminal.
"""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import itemgetter
from typing import TypeVar

from kerftone.files import json_text

WIDTH = 80
"""Columns of a terminal that nothing is known of."""
FULL_CENTS = 50.0
"""What half of a needle's scale shows: to the next quarter tone."""
Item = TypeVar("Item")
Table = Mapping[str, Callable[[Item], str]]
"""The columns of a table: by the head of each, which may have two lines, what it says of a thing."""
NUMBERS = ">"
"""Before a head: its column holds numbers, which end below one another."""
KEPT = "\N{WORD JOINER}"
"""Stands for a blank at which no line is broken."""


def printable(words: str) -> str:
    """These words with every control character shown as a mark; line ends stay."""
    return "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in words)


def say(*words: str, wrap: bool = True) -> None:
    """Tell the maker something: steps begun, remarks, a mistake. It goes to stderr, long lines broken if `wrap`."""
    _write(sys.stderr, words, wrap)


def show(*words: str, wrap: bool = True) -> None:
    """Give results in words, each beginning a line. They go to stdout, long lines broken if `wrap`."""
    _write(sys.stdout, words, wrap)


def filled(words: str) -> str:
    """This line in several; what stands in backquotes is a command to be typed, and stays in one line.

    >>> filled("x" * 70 + " then `kerftone fit`").splitlines()[1]
    '`kerftone fit`'
    """
    whole = re.sub(r"`[^`\n]{1,60}`", lambda one: one[0].replace(" ", KEPT), words)
    return textwrap.fill(whole, WIDTH - 1).replace(KEPT, " ")


def beside(name: str, words: str, column: int) -> str:
    """A name, and words beside it in lines that begin at this column; below it where the name is too long.

    >>> beside("-o FOLDER", "Where to put it.", 14)
    '  -o FOLDER   Where to put it.'
    """
    head, lines = f"  {name}", textwrap.wrap(" ".join(words.split()), WIDTH - column - 1) or [""]
    first = [f"{head:<{column}}{lines.pop(0)}"] if len(head) < column else [head]
    return "\n".join([*first, *(" " * column + line for line in lines)])


def _write(stream: object, words: Sequence[str], wrap: bool) -> None:
    """Print even where the terminal's alphabet lacks a sign: better a ? than a stop half-way."""
    if not words:
        return
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
    lines = "\n".join(words).split("\n")
    text = "\n".join(filled(line) if wrap and len(line) >= WIDTH else line for line in lines)
    print(printable(text), file=stream, flush=True)  # type: ignore[call-overload]


def emit(document: Mapping[str, object]) -> None:
    """Give the one JSON document of a command. Raises ValueError for a number that is not finite."""
    sys.stdout.write(json_text(document))
    sys.stdout.flush()


def needle(off_cents: float, half: int = 20) -> str:
    """A scale from -50 to +50 cents with a mark where the pitch is; beyond it, an arrow at the end.

    half: places to each side of its middle.

    >>> needle(0.0)
    '[--------------------|--------------------]'
    >>> needle(25.0, half=4)
    '[----:-|--]'
    >>> needle(-180.0, half=4)
    '<----:----]'
    """
    scale, ends = ["-"] * (2 * half + 1), ["[", "]"]
    scale[half] = ":"
    if abs(off_cents) <= FULL_CENTS:
        scale[half + round(half * off_cents / FULL_CENTS)] = "|"
    else:
        ends[off_cents > 0] = ">" if off_cents > 0 else "<"
    return ends[0] + "".join(scale) + ends[1]


def cells(*heads: str) -> Table[Sequence[str]]:
    """A table of things that are rows of cells already, under these heads."""
    return {head: itemgetter(n) for n, head in enumerate(heads)}


def show_table(table: Table[Item], items: Iterable[Item]) -> None:
    """Give a result as a table, to stdout: a row for each of these things."""
    from rich.console import Console
    from rich.table import Table as Drawn
    from rich.text import Text

    drawn = Drawn(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold", show_header=True)
    for head in table:
        number = head.startswith(NUMBERS)
        shown = Text(head.removeprefix(NUMBERS))
        drawn.add_column(shown, justify="right" if number else "left", no_wrap=number, vertical="top")
    for item in items:
        drawn.add_row(*(Text(printable(cell(item))) for cell in table.values()))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else WIDTH)
    with console.capture() as printed:
        console.print(drawn)
    show(*(line.rstrip() for line in printed.get().splitlines()), wrap=False)
