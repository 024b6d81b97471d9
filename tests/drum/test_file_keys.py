"""A key is declared once: reading, writing, the comments and the page of the docs all follow from that."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal

import pytest
from pydantic import ValidationError

from kerftone.drum import drum_text, parse_drum
from kerftone.drum.design import Box, Drum, Top
from kerftone.drum.file_keys import Key, bounds, declared, filled, flat_keys, table_of, tables
from kerftone.drum.reference import reference
from kerftone.drum.values import Within

from .conftest import reference_toml


@dataclass(frozen=True, kw_only=True)
class Peg:
    """Invented, to declare keys of every sort."""

    shape: Annotated[Literal["round", "square"], Key("of its end")] = "round"
    width_mm: Annotated[float, Within(2.0, 9.0, "length"), Key("across", name="wide")]


@dataclass(frozen=True, kw_only=True)
class Stand:
    """Invented, with tables in it and a field that no file states."""

    height_mm: Annotated[float, Within(10.0, 90.0, "length"), Key("from the floor")]
    pegs: Annotated[tuple[Peg, ...], Key("Pegs.")] = ()
    spare: Annotated[Peg | None, Key("one more")] = None
    worked_out: float = 7.0


def test_a_declared_key_is_read_under_its_name_and_fills_its_field() -> None:
    raw = {"height": 1.0, "pegs": [{"wide": 0.25}, {"wide": 0.125, "shape": "square"}]}
    stand = filled(Stand, table_of(Stand).model_validate(raw, context={"units": "in"}))
    assert stand == Stand(height_mm=25.4, pegs=(Peg(width_mm=6.35), Peg(width_mm=3.175, shape="square")))
    assert (
        filled(Stand, table_of(Stand).model_validate(raw, context={"units": "in"}), worked_out=1.0).worked_out
        == 1
    )


@pytest.mark.refusal
@pytest.mark.parametrize(
    "raw, words",
    [
        ({"height": 5.0}, "the nearest that works is 10 mm"),
        ({"height": 50.0, "worked_out": 1.0}, "Extra inputs are not permitted"),
        ({"height": 50.0, "spare": {}}, "Field required"),
        ({"height": 50.0, "pegs": [{"wide": 3.0, "shape": "oval"}]}, "'round' or 'square'"),
        ({}, "Field required"),
    ],
)
def test_what_was_not_declared_or_is_out_of_its_bounds_is_refused(raw: dict[str, object], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        table_of(Stand).model_validate(raw)


def test_what_must_stand_in_the_file_is_what_has_no_default() -> None:
    assert [one.key for one in declared(Stand) if one.required] == ["height"]
    assert [one.key for one in flat_keys(Drum) if one.required] == ["name", "top", "slots", "tongues", "box"]


def test_bounds_are_asked_by_key() -> None:
    assert (bounds(Top, "width").high, bounds(Box, "root_bar_height").low) == (1000.0, 15.0)


def test_every_key_says_what_it_is_and_stands_in_the_page() -> None:
    page = reference()
    kinds = [Drum, *(one.table for one in tables(Drum).values() if one.table)]
    assert len(kinds) >= 18
    for kind in kinds:
        for one in declared(kind):
            assert one.how.about and "|" not in one.how.about, one.key
            if one.table is None and one.key != "elastic":
                assert f"| `{one.key}` | {one.how.about} |" in page


def test_a_measured_boards_file_is_named_in_place_of_its_wood() -> None:
    drum = parse_drum(reference_toml("W1"))
    text = drum_text(replace(drum, top=replace(drum.top, board="boards/one.toml")))
    top = text[text.index("[top]") : text.index("[slots]")]
    assert 'board = "boards/one.toml"' in top and "wood =" not in top and "elastic]" not in top


def test_in_a_list_of_tables_only_the_first_explains_its_keys() -> None:
    lines = [
        line
        for line in drum_text(parse_drum(reference_toml("W1"))).splitlines()
        if line.startswith("note = ")
    ]
    assert "#" in lines[0] and not any("#" in line for line in lines[1:])
