"""Bows that leave too little wood are refused, with the bow that fits."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.template import drum_text
from kerftone.errors import DrumFileError, OutlineError
from kerftone.units import Units


@pytest.fixture(scope="module")
def drum(w1: str) -> Drum:
    return parse_drum(w1, "w1.toml")


def bowed(drum: Drum, *bows: float) -> Drum:
    return replace(drum, slots=replace(drum.slots, bow_mm=bows))


@pytest.mark.refusal
def test_two_slots_that_pinch_a_row_are_told_the_bows_that_fit(drum: Drum) -> None:
    with pytest.raises(
        OutlineError, match=r"row 2 3\.0 mm wide at the narrowest\. At least 10\.0 mm"
    ) as caught:
        check_outline(bowed(drum, 0.0, 20.0, -20.0, 0.0))
    told = [float(mm) for mm in re.findall(r"by (\S+) mm and (\S+) mm", str(caught.value))[0]]
    assert told == [16.4, 16.4]
    check_outline(bowed(drum, 0.0, told[0], -told[1], 0.0))
    with pytest.raises(OutlineError):
        check_outline(bowed(drum, 0.0, told[0] + 0.2, -told[1] - 0.2, 0.0))


@pytest.mark.refusal
def test_an_outer_slot_that_bows_to_the_wall_is_told_how_far_it_may(drum: Drum) -> None:
    with pytest.raises(
        OutlineError, match=r"Slot 1 bows towards the wall .* bow it by 10\.5 mm or less"
    ) as caught:
        check_outline(bowed(drum, -30.0, 0.0, 0.0, 0.0))
    assert caught.value.at == ("slots", "bow")
    check_outline(bowed(drum, -10.5, 0.0, 0.0, 0.0))


@pytest.mark.refusal
def test_more_than_an_eighth_of_the_length_is_no_bow(drum: Drum) -> None:
    with pytest.raises(OutlineError, match=r"eighth of its length at most: make it 44\.5 mm or less"):
        check_outline(bowed(drum, 0.0, 60.0, 60.0, 0.0))


@pytest.mark.refusal
def test_as_many_bows_as_slots_are_wanted(drum: Drum) -> None:
    with pytest.raises(OutlineError, match=r"bow has 2 lengths\. Tongues in 3 rows lie between 4 slots"):
        check_outline(bowed(drum, 1.0, 2.0))


@pytest.mark.refusal
def test_rounded_edges_count_the_narrowest_place_between_bowed_slots(drum: Drum) -> None:
    slots = replace(drum.slots, round_over_mm=6.0)
    check_outline(replace(drum, slots=slots))
    with pytest.raises(OutlineError, match=r"round_over of the slots is 6\.0 mm.*make it 4\.5 mm or less"):
        check_outline(replace(drum, slots=replace(slots, bow_mm=(0.0, 16.0, -16.0, 0.0))))


def test_bows_are_read_in_the_units_of_the_file_and_none_is_kept_where_all_are_straight(w1: str) -> None:
    assert parse_drum(w1.replace("[slots]", '[slots]\nbow = [0, "1/8 in", -2, 0]'), "x").slots.bow_mm == (
        0.0,
        3.175,
        -2.0,
        0.0,
    )
    assert parse_drum(w1.replace("[slots]", "[slots]\nbow = [0, 0, 0, 0]"), "x").slots.bow_mm == ()


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("value", "words"),
    [("4", "It is a list of lengths"), ("[0, 400, 0, 0]", "a slot whose bow is 400 mm. It must be")],
)
def test_what_is_no_list_of_bows_is_refused_in_words(w1: str, value: str, words: str) -> None:
    with pytest.raises(DrumFileError, match=re.escape(words)):
        parse_drum(w1.replace("[slots]", f"[slots]\nbow = {value}"), "x")


@pytest.mark.roundtrip
@pytest.mark.parametrize("units", ["mm", "in"])
def test_bows_written_to_a_file_are_read_again(drum: Drum, units: Units) -> None:
    bows = (0.0, 3.175, -3.175, 0.0)
    text = drum_text(bowed(drum, *bows), units=units)
    assert parse_drum(text, "again").slots.bow_mm == bows
