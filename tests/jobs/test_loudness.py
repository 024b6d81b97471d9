"""What is said of loudness and of the breathing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.air.breathing import breathing_of
from kerftone.drum.file import parse_drum
from kerftone.jobs.air_asked import AirAsked
from kerftone.jobs.loudness import (
    breathing_words,
    height_words,
    loudness_words,
    strike_from_tip_mm,
)
from kerftone.jobs.prediction import Prediction
from kerftone.modal.shelf import shelf_beside
from kerftone.tune.box_air import Height

from ..drums import REED


def sounding(
    predicted: Prediction, *, breathing_hz: float, q: float, power_db: tuple[float, float]
) -> Prediction:
    """The small drum as if its box breathed there, its notes so loud and of this radiation Q."""
    assert predicted.in_air is not None
    modes = predicted.in_air.modes
    air = replace(
        predicted.in_air, breathing=0, modes=replace(modes, hz=np.array([breathing_hz, *modes.hz[1:]]))
    )
    tongues = tuple(
        replace(one, in_air=one.in_air and replace(one.in_air, power_db=level, radiation_q=q))
        for one, level in zip(predicted.tongues, power_db, strict=True)
    )
    return replace(predicted, in_air=air, tongues=tongues)


def test_a_note_on_the_breathing_is_named_with_a_height_that_takes_it_off(predicted: Prediction) -> None:
    low = predicted.tongues[0].target_hz
    on_it = sounding(predicted, breathing_hz=1.03 * low, q=60.0, power_db=(20.0, 18.0))
    words = breathing_words(on_it)
    assert f"breathes at {1.03 * low:.0f} Hz" in words
    assert "D4 (L1)" in words and "Bb4" not in words
    high = float(words.split("A box about ")[1].split(" mm")[0])  # without a bottom: by the plain resonator
    moved = 1.03 * low * (on_it.drum.box.height_mm / high) ** 0.5
    assert abs(low / moved - 1.0) == pytest.approx(0.1, abs=0.015)


def test_a_height_that_takes_the_notes_off_the_breathing_was_tried_on_the_model(
    predicted: Prediction,
) -> None:
    drum = replace(predicted.drum, bottom=parse_drum(REED).bottom)
    closed = replace(predicted, drum=drum)
    low = predicted.tongues[0].target_hz
    words = breathing_words(sounding(closed, breathing_hz=1.03 * low, q=60.0, power_db=(20.0, 18.0)))
    box = breathing_of(drum)
    assert box is not None
    if words.split("not sure: ")[1].startswith("D4 (L1). Walls"):
        high = float(words.split("Walls ")[1].split(" mm")[0])
        there = breathing_of(replace(drum, box=replace(drum.box, height_mm=high)))
        assert there is not None
        assert f"breathe at {there.hz:.0f} Hz" in words
    else:
        assert "No other height of the walls" in words
        off = np.abs(np.array(drum.targets_hz) / box.hz - 1.0).min()
        assert f"{int(100 * off)} % off" in words


def test_where_a_box_breathes_is_worked_out_once_and_kept_beside_the_drum(
    predicted: Prediction, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drum = replace(predicted.drum, bottom=parse_drum(REED).bottom)
    closed = replace(predicted, drum=drum, shelf=shelf_beside(tmp_path / "drum.toml"))
    low = predicted.tongues[0].target_hz
    on_it = sounding(closed, breathing_hz=1.03 * low, q=60.0, power_db=(20.0, 18.0))
    first = breathing_words(on_it)

    def worked_out(*given: object) -> None:
        raise AssertionError("worked out again")

    monkeypatch.setattr("kerftone.air.breathing.breathing_at", worked_out)
    assert breathing_words(on_it) == first
    wider = replace(drum, slots=replace(drum.slots, kerf_mm=drum.slots.kerf_mm + 0.1))
    with pytest.raises(AssertionError, match="worked out again"):
        breathing_words(replace(on_it, drum=wider))


@pytest.mark.parametrize(("apart", "moved"), [(0.12, True), (0.04, False)])
def test_a_height_is_told_with_what_it_does_and_on_how_many_boards(
    predicted: Prediction, apart: float, moved: bool
) -> None:
    now = predicted.drum.box.height_mm
    found = Height(mm=now + 20.0 * moved, breathing_hz=321.0, nearest=1, apart=apart, safe=0.75, boards=16)
    words = height_words(predicted, found)
    assert ("Walls 60 mm high instead of 40" in words and "321 Hz" in words) == moved
    assert f"Bb4 (R1) nearest, {100 * apart:.0f} % off" in words and "75 of 100 boards" in words
    assert "boards" not in height_words(predicted, replace(found, boards=0))


def test_a_quiet_note_near_the_breathing_is_let_be(predicted: Prediction) -> None:
    low = predicted.tongues[0].target_hz
    quiet = sounding(predicted, breathing_hz=1.01 * low, q=7000.0, power_db=(0.0, 1.0))
    assert breathing_words(quiet) == f"The box breathes at {1.01 * low:.0f} Hz."


def test_an_open_box_breathes_not_and_in_vacuo_nothing_is_loud(predicted: Prediction) -> None:
    assert breathing_words(predicted) == ""
    vacuum = replace(
        predicted,
        in_air=None,
        air=None,
        tongues=tuple(replace(one, in_air=None) for one in predicted.tongues),
    )
    assert loudness_words(vacuum) == breathing_words(vacuum) == ""


def test_notes_that_differ_much_in_loudness_are_told_and_even_ones_are_not(predicted: Prediction) -> None:
    low = predicted.tongues[0].target_hz
    uneven = sounding(predicted, breathing_hz=1.6 * low, q=2000.0, power_db=(-7.0, 13.0))
    assert loudness_words(uneven).startswith("Bb4 (R1) is 20 dB louder than D4 (L1)")
    assert "higher box" in loudness_words(uneven)
    assert "Struck further from its tip" in loudness_words(uneven)
    assert "soft rubber in place of hard takes" in loudness_words(uneven), "the louder is the higher"
    other = sounding(predicted, breathing_hz=1.6 * low, q=2000.0, power_db=(13.0, -7.0))
    assert "soft rubber" not in loudness_words(other)
    even = sounding(predicted, breathing_hz=1.6 * low, q=2000.0, power_db=(3.0, 8.0))
    assert loudness_words(even) == ""


def test_a_tongue_is_softer_where_its_note_lifts_it_less(predicted: Prediction) -> None:
    """A clamped bar's first bending falls to a half of its tip at 0.66 of its length (standard table of modes, from
    memory); a tongue's root gives way, so its shape is nearer to a straight line."""
    one = predicted.tongues[0]
    away = strike_from_tip_mm(predicted, one, 6.0)
    assert away is not None
    length = one.tongue.length_mm or 0.0
    assert 15.0 + 0.2 * length < away < 0.55 * length + 15.0
    further = strike_from_tip_mm(predicted, one, 12.0)
    assert further is not None
    assert further > away + 10.0
    assert strike_from_tip_mm(predicted, one, 0.0) == pytest.approx(15.0, abs=0.1)
    assert strike_from_tip_mm(replace(predicted, modes=replace(predicted.modes, view=None)), one, 6.0) is None


def test_what_holds_the_wood_is_said_where_the_file_has_no_say(predicted: Prediction) -> None:
    told = {on: replace(predicted, air=AirAsked(on=on)).held_by for on in ("nothing", "table", "feet", "lap")}
    assert told == {"nothing": "", "table": "", "feet": "on its feet on a table", "lap": "in the lap"}
    assert replace(predicted, air=None).held_by == ""


def test_a_note_that_is_near_the_breathing_only_as_cut_is_not_made_a_reason_for_another_box(
    predicted: Prediction,
) -> None:
    first, second = predicted.tongues
    flat = replace(first, heard=replace(first.heard, hz=0.98 * first.target_hz))
    cut_flat = replace(predicted, tongues=(flat, second))
    words = breathing_words(
        sounding(cut_flat, breathing_hz=first.target_hz / 1.085, q=60.0, power_db=(20.0, 18.0))
    )
    assert words.endswith("Within 8 % of it as cut, but off it once tuned: D4 (L1).")
    assert "Walls" not in words and "not sure" not in words
