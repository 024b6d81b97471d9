"""The sound of a drum has the knock of a hard blow: high, short tones that a soft mallet hardly moves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum import parse_drum
from kerftone.drum.shop import Feet
from kerftone.jobs.air_asked import AirAsked, AirError
from kerftone.jobs.modes_heard import KNOCK_MODES, air_of
from kerftone.jobs.prediction import LISTED, Prediction, predict
from kerftone.jobs.preview_sound import preview_of
from kerftone.sound.mallet import HARD_RUBBER, SOFT_RUBBER, WOOD, Mallet

from ..drums import WREN


@pytest.mark.slow
def test_a_hard_blow_knocks_and_a_soft_one_does_not() -> None:
    """In the first 60 ms, between 3 and 6 kHz, against all that sounds.

    A ball touches wood the shorter the stiffer it is, by the power -2/5 of the stiffness (Hertz): above the inverse
    of that time a blow drives nothing. Rubber is a hundred times as soft as wood.
    """
    drum = parse_drum(WREN)
    few, many = (predict(drum, count=count) for count in (LISTED, KNOCK_MODES))

    def high_db(heard: object, mallet: Mallet) -> float:
        sound = preview_of(heard, mallet)  # type: ignore[arg-type]
        begin = int(np.argmax(abs(sound.samples) > 1e-4))
        first = sound.samples[begin : begin + int(0.06 * sound.rate_hz)]
        power = abs(np.fft.rfft(first * np.hanning(2 * len(first))[len(first) :])) ** 2
        hz = np.fft.rfftfreq(len(first), 1.0 / sound.rate_hz)
        return float(10.0 * np.log10(power[(hz > 3000.0) & (hz < 6000.0)].sum() / power.sum()))

    wood, hard, soft = (high_db(many, mallet) for mallet in (WOOD, HARD_RUBBER, SOFT_RUBBER))
    assert wood > hard + 10.0 and hard > soft + 10.0
    assert wood > high_db(few, WOOD) + 6.0, "the drum's higher modes are what knocks"
    assert wood > -24.0 and soft < -33.0  # at the listener's place, to which short waves beam


def test_a_table_leaves_half_of_space_for_the_sound_and_warm_air_is_lighter(predicted: Prediction) -> None:
    for asked, angle in ((AirAsked(), 4.0), (AirAsked(on="table"), 2.0), (AirAsked(bottom="table"), 2.0)):
        assert air_of(replace(predicted, air=asked)).solid_angle_sr == pytest.approx(angle * np.pi)
    warm = air_of(replace(predicted, air=AirAsked(temperature_c=35.0)))
    assert warm.density_kg_m3 < air_of(replace(predicted, air=None)).density_kg_m3
    assert AirAsked(on="table").state(predicted.drum) == "table", (
        "a box open below stands on it with its walls"
    )


def test_on_feet_and_in_a_lap_the_wood_is_held_by_those_alone(predicted: Prediction) -> None:
    drum = predicted.drum
    assert drum.box.stands == "held"
    for on, stands, angle in (("feet", "free", 2.0), ("lap", "free", 4.0), ("nothing", "held", 4.0)):
        asked = AirAsked(on=on)
        assert asked.wood(drum).box.stands == stands
        assert air_of(replace(predicted, air=asked)).solid_angle_sr == pytest.approx(angle * np.pi)


@pytest.mark.refusal
def test_a_drum_without_feet_cannot_stand_on_them(predicted: Prediction) -> None:
    drum = predicted.drum
    bare = replace(drum, box=replace(drum.box, feet=Feet(kind="none")))
    with pytest.raises(AirError, match=r'kind = "none" in \[box.feet\].*ask for "table"'):
        AirAsked(on="feet").state(bare)


def test_what_a_lap_takes_shortens_the_sound(predicted: Prediction) -> None:
    air = predicted.in_air
    assert air is not None
    lap = replace(predicted, in_air=replace(air, holding=np.full(len(air.modes.hz), 0.02)))
    long, short = preview_of(predicted, HARD_RUBBER), preview_of(lap, HARD_RUBBER)
    loss, more = (np.log(1e6) / (2.0 * np.pi * one.hz * one.t60_s) for one in (long, short))
    assert more - loss == pytest.approx(0.02, rel=1e-3)
