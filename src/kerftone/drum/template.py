"""The text of a `drum.toml`, with a word beside each number for someone new to it.

Made from the declarations of the keys (`file_keys.py`): a key that is as usual is left out unless it is declared
to be always written. Given a whole Drum (whoever calls has chosen the sizes) and the units to write in, the text
reads back to the same drum: to the last digit in mm, and to 0.0001 in when it is written in inches.
"""

from __future__ import annotations

import textwrap
from typing import Any, cast

from kerftone.drum.design import Drum
from kerftone.drum.file_keys import Declared, declared
from kerftone.drum.own_wood import OWN_WOOD, elastic_keys
from kerftone.drum.ply_value import WAYS
from kerftone.drum.writer import Writer, number, text
from kerftone.errors import SpeciesError
from kerftone.units import Units
from kerftone.wood import Elastic, find_species
from kerftone.wood.laminate import Ply

HEAD = """\
# A drum for Kerftone: what you intend, in plain numbers. Change any of them, and it is worked out again.
# Everything after a # is a note to you; the program keeps your notes when it writes. Every key there is,
# and how big it may be: docs/drum-file.md.
"""
_WIDTH = 100
"""Of a comment's line, in signs, to be read without scrolling. Own judgement."""


def drum_text(drum: Drum, *, units: Units | None = None) -> str:
    """The drum file for this drum, commented for a newcomer; in the drum's own units unless told.

    Held by tests/drum/test_template.py, which reads the text back.
    """
    write = Writer(units or drum.units)
    write.line(HEAD)
    for one in declared(Drum):
        if one.key == "units":
            write.pair("units", text(write.units), one.how.about)
        elif one.table is None:
            write.pair(one.key, _written(write, one, getattr(drum, one.field)), one.how.about)
    _tables(write, drum, ())
    return "\n".join(write.lines) + "\n"


def _table(
    write: Writer, value: Any, path: tuple[str, ...], one: Declared, *, explained: bool = True
) -> None:
    """One table with the tables in it; left out where all of it is as usual and none of it is always written."""
    usual = not one.many and one.default is not None
    pairs = [
        (
            inner.key,
            _written(write, inner, getattr(value, inner.field)),
            inner.how.about if explained else "",
        )
        for inner in declared(cast(type, type(value)))
        if inner.table is None and _is_written(write, inner, value)
    ]
    if pairs or not usual:
        header = ".".join(path)
        write.table(f"[[{header}]]" if one.many else f"[{header}]", "" if one.many else one.how.about)
    for pair in pairs:
        write.pair(*pair)
    _tables(write, value, path)


def _tables(write: Writer, value: Any, path: tuple[str, ...]) -> None:
    """The tables in this one, after its own keys."""
    for one in declared(cast(type, type(value))):
        inner = getattr(value, one.field)
        if one.table is None:
            if isinstance(inner, Elastic):
                _own_constants(write, value, (*path, one.key), one.how.about)
        elif one.how.spread:
            names = ", ".join(f"[[{it.key}]]" if it.many else f"[{it.key}]" for it in declared(one.table))
            _comment(write, f"{one.how.about}: {names}.")
            _tables(write, inner, path)
        elif one.many:
            if inner:
                _comment(write, one.how.about)
            for at, item in enumerate(inner):  # the first explains the keys of the rest
                _table(write, item, (*path, one.key), one, explained=at == 0)
        elif inner is not None:
            _table(write, inner, (*path, one.key), one)


def _comment(write: Writer, words: str) -> None:
    """A remark of one line or more, above what it is about."""
    write.line("")
    for line in words.splitlines():
        for part in textwrap.wrap(line, _WIDTH):
            write.line(f"# {part}")


def _is_written(write: Writer, one: Declared, value: Any) -> bool:
    """Whether this key goes into the file."""
    it = getattr(value, one.field)
    if isinstance(it, Elastic) or it is None:
        return False
    if one.key == "wood" and (it == OWN_WOOD or getattr(value, "board", None) or getattr(value, "plies", ())):
        return False
    if one.how.only is not None and getattr(value, one.how.only[0]) != one.how.only[1]:
        return False
    return one.how.always or it != one.usual(write.units)  # what has no default differs from every value


def _written(write: Writer, one: Declared, value: Any) -> str:
    """A value as TOML writes it: lengths in the file's units, whatever is in a list likewise."""
    if isinstance(value, str):
        return text(value)
    if isinstance(value, Ply):
        way = next((name for name, turn in WAYS.items() if turn == value.turn_deg), None)
        turn = number(value.turn_deg) if way is None else text(way)
        return f"[{write.length(value.thickness_mm)}, {turn}, {text(value.wood)}]"
    if isinstance(value, tuple):
        return "[" + ", ".join(_written(write, one, item) for item in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    return write.length(value) if one.is_length else number(value)


def _own_constants(write: Writer, part: Any, path: tuple[str, ...], about: str) -> None:
    """The constants that differ from the species' own, or all ten when there is no species.

    Those of a measured board stand in its own file; those of plies follow from their woods.
    """
    if getattr(part, "board", None) or getattr(part, "plies", ()):
        return
    base: dict[str, float] = {}
    if part.wood != OWN_WOOD:
        try:
            base = elastic_keys(find_species(part.wood).elastic())
        except SpeciesError:
            base = {}
    own = {key: value for key, value in elastic_keys(part.elastic).items() if base.get(key) != value}
    if not own:
        return
    write.table(f"[{'.'.join(path)}]", about)
    for key, value in own.items():
        write.pair(key, number(value))
