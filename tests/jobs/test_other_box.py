"""Other boxes for louder notes: what is tried, and which is named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.file import parse_drum
from kerftone.errors import KerftoneError
from kerftone.jobs.other_box import OtherBox, changes, louder_words, other_boxes, tried_box
from kerftone.jobs.progress import Progress

from ..drums import REED, WREN

DRUM = parse_drum(REED)


def box(words: str, levels: tuple[float, ...], on: tuple[int, ...] = ()) -> OtherBox:
    return OtherBox(words=words, drum=DRUM, breathing_hz=300.0, power_db=levels, on_breathing=on)


def test_heights_and_cuts_are_tried_one_at_a_time_with_all_else_as_it_is() -> None:
    made = changes(DRUM)
    assert [words for words, _ in made] == [
        *("as it is", "walls 70 mm high", "walls 110 mm high", "walls 135 mm high", "kerf 2 mm", "kerf 4 mm")
    ]
    for _, drum in made:
        same = replace(
            drum,
            box=replace(drum.box, height_mm=DRUM.box.height_mm),
            slots=replace(drum.slots, kerf_mm=DRUM.slots.kerf_mm),
        )
        assert same == DRUM


def test_a_drum_with_a_sound_hole_is_tried_with_it_plugged() -> None:
    holed = parse_drum(f'{REED}[[sound_holes]]\npart = "back"\ndiameter = 30\n')
    words, plugged = changes(holed)[-1]
    assert (words, plugged) == ("sound hole plugged", DRUM)


def test_the_change_that_lifts_the_quietest_most_is_named_in_figures() -> None:
    now = box("as it is", (-10.0, 0.0, 10.0, 4.0))
    words = louder_words(
        [now, box("walls 110 mm high", (-6.0, 3.0, 12.0, 4.0)), box("kerf 2 mm", (-7.0, 0.0, 10.0, 4.0))]
    )
    assert words.startswith("Walls 110 mm high: D4, the quietest, is 4 dB louder")
    assert "18 dB instead of 20" in words


def test_a_change_that_puts_a_note_on_the_breathing_is_not_advised() -> None:
    now = box("as it is", (-10.0, 0.0, 10.0, 4.0))
    costly = box("walls 135 mm high", (-4.0, 3.0, 12.0, 20.0), on=(3,))
    assert "kerf 2 mm" in louder_words([now, costly, box("kerf 2 mm", (-7.5, 0.0, 10.0, 4.0))]).lower()
    alone = louder_words([now, costly])
    assert "would lift D4" in alone and "put C5 on the breathing" in alone
    assert "None of these" in louder_words([now, box("kerf 4 mm", (-9.0, 0.0, 9.0, 4.0))])


@pytest.mark.slow
def test_a_higher_box_breathes_lower_and_lifts_the_lowest_note_by_a_full_solve_too() -> None:
    low, high = tried_box(changes(DRUM)[0]), tried_box(changes(DRUM)[2])
    assert low is not None
    assert high is not None
    assert high.breathing_hz < 0.95 * low.breathing_hz
    assert high.power_db[0] > low.power_db[0] + 0.5
    assert high.document()["height_mm"] == 110.0


@pytest.mark.refusal
def test_an_open_box_is_refused_with_what_helps() -> None:
    with pytest.raises(KerftoneError, match=r"no \[bottom\] table.*add a bottom"):
        other_boxes(parse_drum(WREN), Progress())
