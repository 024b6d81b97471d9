"""What a command says and where: words and progress to stderr, results to stdout.

Tables fit 80 columns and carry no colour codes when they go to a file or a pipe. Words the maker wrote (a
drum's name) are shown without control characters, which could otherwise steer the terminal.
"""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from kerftone.files import json_text

WIDTH = 80
"""Columns of a terminal that nothing is known of."""
Item = TypeVar("Item")
KEPT = "\N{WORD JOINER}"
"""Stands for a blank at which no line is broken."""


def printable(words: str) -> str:
    """These words with every control character shown as a mark; line ends stay."""
    return "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in words)


def say(words: str, *, wrap: bool = False) -> None:
    """Tell the maker something: a step begun, a remark, a mistake. It goes to stderr, in lines if `wrap`."""
    _write(sys.stderr, printable(filled(words) if wrap else words))


def show(words: str, *, wrap: bool = False) -> None:
    """Give a result in words. It goes to stdout, in lines if `wrap`."""
    _write(sys.stdout, printable(filled(words) if wrap else words))


def filled(words: str) -> str:
    """These words in lines; what stands in backquotes is a command to be typed, and stays in one line.

    >>> filled("x" * 70 + " then `kerftone fit`").splitlines()[1]
    '`kerftone fit`'
    """
    whole = re.sub(r"`[^`\n]{1,60}`", lambda one: one[0].replace(" ", KEPT), words)
    return textwrap.fill(whole, WIDTH - 1).replace(KEPT, " ")


def _write(stream: object, words: str) -> None:
    """Print even where the terminal's alphabet lacks a sign: better a ? than a stop half-way."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
    print(words, file=stream, flush=True)  # type: ignore[call-overload]


def emit(document: Mapping[str, object]) -> None:
    """Give the one JSON document of a command. Raises ValueError for a number that is not finite."""
    sys.stdout.write(json_text(document))
    sys.stdout.flush()


@dataclass(frozen=True)
class Column(Generic[Item]):
    """One column of a table: its head (may have two lines), what it says of a thing, and whether it holds numbers."""

    head: str
    cell: Callable[[Item], str]
    number: bool = False


def show_table(columns: Sequence[Column[Item]], items: Iterable[Item]) -> None:
    """Give a result as a table, to stdout: a row for each of these things."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="bold", show_header=True)
    for column in columns:
        table.add_column(
            Text(column.head),
            justify="right" if column.number else "left",
            no_wrap=column.number,
            vertical="top",
        )
    for item in items:
        table.add_row(*(Text(printable(column.cell(item))) for column in columns))
    console = Console(highlight=False, width=None if sys.stdout.isatty() else WIDTH)
    with console.capture() as drawn:
        console.print(table)
    _write(sys.stdout, "\n".join(line.rstrip() for line in drawn.get().splitlines()))
