"""A key of `drum.toml` is declared once: beside the field that it fills.

A field of a drum's values (`design.py`, `shop.py`) that the file can state carries its declaration in its type:

    kerf_mm: Annotated[float, Within(0.3, 12.0, "length"), Key("width of your saw cut")]

To add a key, add such a field; nothing else is needed. From the declaration are made: the table that reads it
(`table_of`), the value (`filled`), the line and its comment in a new file (`template.py`), and its row in
docs/drum-file.md (`reference.py`). The key is the field's name without its unit. A field with no default must stand
in the file; one with a default is written only where it differs, unless `always`. A field whose type is another of
these dataclasses is a table of its own, a tuple of them a list of tables. Rules such as `Within` are in `values.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from functools import cache
from typing import Annotated, Any, TypeVar, cast, get_args, get_origin, get_type_hints

from pydantic import Field, create_model

from kerftone.drum.values import Rule, Table, Within
from kerftone.units import Units, to_mm

T = TypeVar("T")


@dataclass(frozen=True)
class Key:
    """What one key is, in a few words for someone new to it.

    name: the key, where it is not the field's name without its unit.
    always: written to a new file even where it is as usual.
    in_file: what stands in the file where that is not simply the field's value; the key may then be left out, is
    None in the table, and `build.py` works out the value.
    spread: this field's own keys stand in the table around it; `about` introduces them.
    only: another field of these values and what it must be for this key to be written to a new file.
    inch: what is usual in its place in a drum measured in inches, in inches: the size on a rule or in a drawer there.
    """

    about: str
    name: str | None = None
    always: bool = False
    in_file: Any = None
    spread: bool = False
    only: tuple[str, str] | None = None
    inch: float | tuple[float, ...] | None = None


@dataclass(frozen=True, kw_only=True)
class Declared:
    """One declared key: its name in the file, the field it fills, and all that is made from it."""

    key: str
    field: str
    kind: Any
    rule: Rule | None
    default: Any
    how: Key

    @property
    def table(self) -> type | None:
        """The values of its table, if it is one (or a list of them)."""
        if self.how.in_file is not None:
            return None
        kinds = (self.kind, *get_args(self.kind))
        return next((one for one in kinds if isinstance(one, type) and is_dataclass(one)), None)

    @property
    def many(self) -> bool:
        """Whether it is a list of tables."""
        return self.table is not None and get_origin(self.kind) is tuple

    @property
    def is_length(self) -> bool:
        """Whether its numbers are lengths: mm in the value, the file's own units in the file."""
        return self.rule is not None and self.rule.is_length

    def usual(self, units: Units) -> Any:
        """What it is, in mm, where a file in these units does not state it."""
        if units == "mm" or self.how.inch is None:
            return self.default
        inch = self.how.inch
        return tuple(to_mm(one, "in") for one in inch) if isinstance(inch, tuple) else to_mm(inch, "in")

    @property
    def required(self) -> bool:
        """Whether the file must state it: it has no default, and no table of defaults stands in for it."""
        if self.default is not MISSING or self.how.in_file is not None:
            return False
        return self.many or self.table is None or any(one.required for one in declared(self.table))


@cache
def declared(kind: type) -> tuple[Declared, ...]:
    """The keys of this kind of values, in the order of its fields; those of a spread field in its place."""
    found: list[Declared] = []
    hints = get_type_hints(kind, include_extras=True)
    for field in fields(kind):
        kept, *extras = get_args(hints[field.name]) if get_origin(hints[field.name]) is Annotated else [None]
        how = next((one for one in extras if isinstance(one, Key)), None)
        if how is None:
            continue
        found.append(
            Declared(
                key=how.name or field.name.removesuffix("_mm"),
                field=field.name,
                kind=kept,
                rule=next((one for one in extras if isinstance(one, Rule)), None),
                default=field.default,
                how=how,
            )
        )
    return tuple(found)


def flat_keys(kind: type) -> tuple[Declared, ...]:
    """The keys that stand in this kind's own table: those of spread fields among them."""
    found: list[Declared] = []
    for one in declared(kind):
        found += flat_keys(one.table) if one.how.spread and one.table else [one]
    return tuple(found)


@cache
def table_of(kind: type) -> type[Table]:
    """The table of the file that these values are read from: known keys only, each held to its rule."""
    return create_model(kind.__name__, __base__=Table, **{one.key: _read_as(one) for one in flat_keys(kind)})


def _read_as(one: Declared) -> Any:
    """The type and the default of one key, as pydantic takes them."""
    if one.how.in_file is not None:
        read = one.how.in_file | None
        return read if one.rule is None else Annotated[read, one.rule], None
    if one.table is not None:
        inner: Any = table_of(one.table)
        if one.many:
            return list[inner], ... if one.required else Field(default_factory=list)
        if one.default is None:
            return inner | None, None
        return inner, ... if one.required else Field(default_factory=inner)
    kind = one.kind if one.rule is None else Annotated[one.kind, one.rule]
    return kind, ... if one.required else one.default


def filled(kind: type[T], table: Table, **own: Any) -> T:
    """The values that a table states, in mm, with its own tables; `own` fields come before what it states."""
    given = {}
    for one in declared(cast(type, kind)):
        read = table if one.how.spread else getattr(table, one.key)
        if one.field not in own and not (read is None and one.how.in_file is not None):
            given[one.field] = _value(one, read)
    return kind(**(given | own))


def usual(kind: type[T], units: Units) -> T:
    """Values of this kind as they are where a file in these units states none of them."""
    given = {}
    for one in declared(cast(type, kind)):
        inner = one.table
        plain = inner is None or one.many or one.default is None
        given[one.field] = one.usual(units) if plain or inner is None else usual(inner, units)
    return kind(**given)


def with_usual(kind: type, raw: Mapping[str, Any], units: Units) -> dict[str, Any]:
    """The same tables of a file with all that is usual in its units put in where it states nothing.

    Parameters
    ----------
    kind : type
        The values that these tables fill.
    raw : Mapping[str, Any]
        The tables as they were read.
    units : Units
        Of the file.
    """
    whole = dict(raw)
    for one in flat_keys(kind) if units == "in" else ():
        read = whole.get(one.key)
        if one.how.inch is not None and read is None and one.how.in_file is None:
            whole[one.key] = list(one.how.inch) if isinstance(one.how.inch, tuple) else one.how.inch
        elif one.many and isinstance(read, list) and one.table is not None:
            whole[one.key] = [with_usual(one.table, it, units) if isinstance(it, dict) else it for it in read]
        elif one.table is not None and not one.many and (read is not None or one.default is not None):
            inner = {} if read is None and not one.required else read
            if isinstance(inner, dict):
                whole[one.key] = with_usual(one.table, inner, units)
    return whole


def _value(one: Declared, read: Any) -> Any:
    if one.table is None or read is None:
        return read
    return tuple(filled(one.table, item) for item in read) if one.many else filled(one.table, read)


def bounds(kind: type, key: str) -> Within:
    """From where to where this number may be."""
    rule = next(one.rule for one in declared(kind) if one.key == key)
    assert isinstance(rule, Within)
    return rule


def usual_of(kind: type, key: str, units: Units) -> Any:
    """What this key is, in mm, where a file in these units does not state it.

    Parameters
    ----------
    kind : type
        What holds the field.
    key : str
        As the file names it.
    units : Units
        Of the file: what is usual is round in them.
    """
    return next(one.usual(units) for one in declared(kind) if one.key == key)


def tables(kind: type, at: tuple[str, ...] = ()) -> dict[tuple[str, ...], Declared]:
    """Every table of a file of this kind under its path, in the order of the fields; lists of tables too."""
    found: dict[tuple[str, ...], Declared] = {}
    for one in flat_keys(kind):
        if one.table is not None:
            found |= {(*at, one.key): one} | tables(one.table, (*at, one.key))
    return found
