"""`python -m kerftone.cli.manual`: the reference of the command line, from the commands' declarations.

Written to docs/cli.md by `make docs`; a test compares the two.
"""

from __future__ import annotations

import sys

from kerftone.cli.declarations import Taken, help_of, inside, named, takes

HEAD = """# Commands

Written by `make docs` from the commands themselves; do not edit by hand.

Results go to stdout, progress and remarks to stderr. With `--json` the result is one JSON document. Exit
codes: 0 done; 1 a fault of the program; 2 a mistake you can mend, told in one message, or an option that does
not exist; 3 from `plan`, where all is written but the drum does not sound its notes;
130 stopped with Ctrl-C. With `--json` a mistake is also told on stdout, as `{"error": {...}}`.
"""


def manual() -> str:
    """The whole page, as Markdown."""
    pages = (f"## kerftone {words}\n\n{help_of(words)}\n\n{_usage(words)}" for words in named())
    return "\n".join([HEAD, _usage(""), *pages])


def _usage(words: str) -> str:
    """How a command is typed, and a list of what it takes."""
    taken = sorted(takes(words), key=lambda one: bool(one.flags))
    typed = ["kerftone", *words.split()]
    typed += [one.value if one.required else f"[{one.value}]" for one in taken if not one.flags]
    typed += [f"{one.called} {one.value}" for one in taken if one.flags and one.must]
    typed += ["[OPTIONS]"] if any(one.flags and not one.must for one in taken) else []
    typed += ["COMMAND"] if inside(words) else []
    lines = "".join(f"\n- `{_typed(one)}`: {one.words}" for one in taken)
    return f"```text\n{' '.join(typed)}\n```\n" + (f"\n{lines}\n" if lines else "")


def _typed(one: Taken) -> str:
    names = ", ".join(sorted(one.names, key=len, reverse=True))
    return f"{names} {one.value if one.flags else ''}".strip()


if __name__ == "__main__":
    sys.stdout.write(manual())
