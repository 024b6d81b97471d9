"""What works is offered as changes of the maker's own file, and only where they lead to it."""

from __future__ import annotations

from dataclasses import replace

from kerftone.app.offers import offer_of
from kerftone.app.wishes import changes_of
from kerftone.drum.design import Drum, Tongue
from kerftone.drum.edit import edited
from kerftone.drum.file import parse_drum

from ..drums import REED

PATH = "/nowhere/drum.toml"
DRUM = parse_drum(REED, PATH)
FREE = tuple(Tongue(note=tongue.note) for tongue in DRUM.tongues)


def taken(other: Drum) -> Drum:
    offer = offer_of(DRUM, REED, PATH, other)
    assert offer is not None
    text = edited(REED, changes_of(DRUM, offer)[0])
    assert text.startswith("# INVENTED: never built")
    return parse_drum(text, PATH)


def test_sizes_and_walls_are_taken_over() -> None:
    other = replace(
        DRUM,
        top=replace(DRUM.top, length_mm=460.0, thickness_mm=12.0),
        slots=replace(DRUM.slots, end_margin_mm=60.0),
        box=replace(DRUM.box, wall_mm=25.0, root_bar_mm=20.0, root_bar_height_mm=40.0),
    )
    made = taken(other)
    assert (made.top, made.slots, made.box) == (other.top, other.slots, other.box)


def test_places_left_open_and_a_note_moved() -> None:
    notes = (*FREE[:3], Tongue(note="C4"))
    assert [(t.note, t.row) for t in taken(replace(DRUM, tongues=notes)).tongues] == [
        ("D4", None),
        ("A4", None),
        ("F4", None),
        ("C4", None),
    ]


def test_a_note_left_out_among_open_places() -> None:
    made = taken(replace(DRUM, tongues=(FREE[0], *FREE[2:])))
    assert [(t.note, t.row) for t in made.tongues] == [("D4", None), ("F4", None), ("C5", None)]


def test_a_bottom_taken_away_or_made_thicker() -> None:
    assert taken(replace(DRUM, bottom=None)).bottom is None
    assert DRUM.bottom is not None
    thicker = taken(replace(DRUM, bottom=replace(DRUM.bottom, thickness_mm=11.0)))
    assert thicker.bottom is not None and thicker.bottom.thickness_mm == 11.0


def test_what_cannot_be_made_by_such_changes_is_not_offered() -> None:
    assert offer_of(DRUM, REED, PATH, replace(DRUM, box=replace(DRUM.box, wood="teak", wall_mm=20.0))) is None
    assert offer_of(DRUM, REED, PATH, DRUM) is None
