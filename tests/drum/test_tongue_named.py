"""A tongue is called what paper calls it, or by its note, or by its number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum import parse_drum
from kerftone.drum.tongue_named import on_paper, tongue_named
from kerftone.errors import EntryError

from ..drums import WREN

DRUM = parse_drum(WREN)  # 1: D4, L1; 2: Bb4, R1


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        (1, 1),
        ("2", 2),
        ("tongue 2", 2),
        ("L1", 1),
        ("r1", 2),
        ("left 1", 1),
        ("1 right", 2),
        ("D4", 1),
        ("d4", 1),
        ("b♭4", 2),
        ("A#4", 2),
        ("Bb", 2),
    ],
)
def test_a_tongue_is_known_by_place_note_and_number(typed: int | str, number: int) -> None:
    assert tongue_named(DRUM, typed) == number


@pytest.mark.refusal
@pytest.mark.parametrize("typed", [0, 3, "3", "L2", "C4", "x", "", "D3"])
def test_a_tongue_that_is_not_there_is_refused_with_those_that_are(typed: int | str) -> None:
    with pytest.raises(EntryError) as caught:
        tongue_named(DRUM, typed)
    assert caught.value.message.endswith("by number, place and note: 1 L1 (D4), 2 R1 (Bb4).")


@pytest.mark.refusal
def test_a_note_that_two_tongues_have_is_refused_with_both_places() -> None:
    first, second = DRUM.tongues
    twice = replace(DRUM, tongues=(first, replace(second, note="D4")))
    with pytest.raises(EntryError, match=r"2 tongues have the note D4.* name it by its place, L1 or R1"):
        tongue_named(twice, "d4")
    bare = replace(DRUM, tongues=(replace(first, row=None, side=None), replace(first, row=None, side=None)))
    with pytest.raises(EntryError, match="by its number, 1 or 2"):
        tongue_named(bare, "d4")
    assert on_paper(bare, 1) == "D4" and on_paper(DRUM, 2) == "R1 (Bb4)"
