"""What is said of loudness and of the breathing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.jobs.loudness import breathing_words, loudness_words
from kerftone.jobs.prediction import Prediction


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
    low = predicted.tongues[0].heard.hz
    on_it = sounding(predicted, breathing_hz=1.03 * low, q=60.0, power_db=(20.0, 18.0))
    words = breathing_words(on_it)
    assert f"breathes at {1.03 * low:.0f} Hz" in words
    assert "D4 (L1)" in words and "Bb4" not in words
    high = float(words.split("A box about ")[1].split(" mm")[0])
    moved = (
        1.03 * low * (on_it.drum.box.height_mm / high) ** 0.5
    )  # a box breathes as one over the root of its air
    assert abs(low / moved - 1.0) == pytest.approx(0.1, abs=0.015)


def test_a_quiet_note_near_the_breathing_is_let_be(predicted: Prediction) -> None:
    low = predicted.tongues[0].heard.hz
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
    low = predicted.tongues[0].heard.hz
    uneven = sounding(predicted, breathing_hz=1.6 * low, q=2000.0, power_db=(-7.0, 13.0))
    assert loudness_words(uneven).startswith("Bb4 (R1) is 20 dB louder than D4 (L1)")
    assert "higher box" in loudness_words(uneven)
    even = sounding(predicted, breathing_hz=1.6 * low, q=2000.0, power_db=(3.0, 8.0))
    assert loudness_words(even) == ""
