from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.tune.begin import first_drum
from kerftone.tune.places import filled_places, free_places, loose_rests, usual_places

ELEVEN = ("C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5", "F5")
LENGTHS = (220.0, 205.0, 190.0, 180.0, 165.0, 150.0)


@pytest.fixture
def six() -> Drum:
    return first_drum("Test", ("D3", "F3", "G3", "A3", "C4", "D4"), "cherry, black")


def given(drum: Drum, **places: tuple[int, str]) -> Drum:
    """The drum with some tongues' places given, by note."""
    tongues = (
        replace(tongue, row=places[tongue.note][0], side=places[tongue.note][1])
        if tongue.note in places
        else tongue
        for tongue in drum.tongues
    )
    return replace(drum, tongues=tuple(tongues))


def test_a_drum_has_two_places_to_a_row(six: Drum) -> None:
    assert free_places(six) == [(row, side) for row in (1, 2, 3) for side in ("left", "right")]
    assert len(free_places(replace(six, tongues=six.tongues[:5]))) == 6, "an odd count leaves one empty"


def test_places_the_maker_chose_are_kept_and_not_dealt_out_again(six: Drum) -> None:
    mine = given(six, D3=(3, "right"), C4=(1, "left"))
    assert (3, "right") not in free_places(mine) and (1, "left") not in free_places(mine)
    places = usual_places(mine, LENGTHS)
    assert places[0] == (3, "right") and places[4] == (1, "left")
    assert len(set(places)) == 6


def test_a_row_further_back_than_two_a_row_would_need_is_the_makers_to_choose(six: Drum) -> None:
    mine = given(replace(six, tongues=six.tongues[:2]), D3=(3, "left"))
    assert {row for row, _ in free_places(mine)} == {1, 2, 3}


@pytest.mark.parametrize("count", [3, 5, 7, 9, 11])
def test_an_odd_note_stands_alone_in_an_outer_row_where_the_rest_stays_joined(count: int) -> None:
    drum = first_drum("Test", ELEVEN[:count], "cherry, black")
    rows = [row for row, _ in filled_places(drum)]
    alone = [row for row in rows if rows.count(row) == 1]
    assert len(rows) == count and len(alone) == 1
    assert alone[0] in (1, max(rows))


def test_no_row_is_left_empty_and_no_rest_loose_round_the_makers_own_places(six: Drum) -> None:
    mine = given(replace(six, tongues=six.tongues[:5]), D3=(2, "left"))
    places = [(2, "left"), *filled_places(mine)]
    assert {row for row, _ in places} == {1, 2, 3}
    assert (2, "right") in places, "else its rest would ring between two rows of slots"
    assert loose_rests(places) == 0


def test_a_loose_rest_is_one_between_two_rows() -> None:
    assert loose_rests([(1, "left"), (2, "left"), (3, "left")]) == 1
    assert loose_rests([(1, "left"), (2, "left"), (2, "right")]) == 0


def test_long_tongues_are_dealt_out_facing_short_ones(six: Drum) -> None:
    places = usual_places(six, LENGTHS)
    facing = {}
    for (row, _), mm in zip(places, LENGTHS, strict=True):
        facing[row] = facing.get(row, 0.0) + mm
    assert sorted(places) == sorted(free_places(six))
    assert max(facing.values()) == 370.0, "220 + 150, 205 + 165, 190 + 180"


@pytest.mark.parametrize("count", range(1, 13))
def test_every_count_of_notes_gets_as_many_places(count: int) -> None:
    drum = first_drum("Test", ("A4",) * count, "cherry, black")
    assert len(set(usual_places(drum, (100.0,) * count))) == count
