"""What a contact disc hears of a small drum with a bottom: from the motion under it to levels."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum import parse_drum
from kerftone.errors import ShopError
from kerftone.jobs.air_asked import AirAsked
from kerftone.jobs.pickup_heard import (
    DiscMotions,
    check_pickup,
    disc_motions,
    pickup_heard,
    through_pickup,
)
from kerftone.jobs.plan_drum import PICKED, REPORT, SOUND, results
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.preview_sound import SoundRequest, preview_sound
from kerftone.modal.shelf import Shelf
from kerftone.modal.surface import motions_of

from ..drums import WREN

COUNT = 12
TABLE = '[bottom]\nwood = "teak"\nthickness = 6.0\n[pickup]\ndisc = 10.0\njack_thread = 9.5\n'


@pytest.fixture(scope="module")
def predicted() -> Prediction:
    """The small drum with a bottom and a pickup whose place is open."""
    return predict(parse_drum(WREN + TABLE), count=COUNT)


@pytest.fixture(scope="module")
def motions(predicted: Prediction) -> DiscMotions:
    return disc_motions(predicted, COUNT)


def test_the_strain_under_the_disc_is_the_slope_of_the_motion_there(
    predicted: Prediction, motions: DiscMotions
) -> None:
    solution = predicted.live
    assert solution is not None
    bottom = predicted.drum.bottom
    assert bottom is not None
    x, y = motions.place_mm
    z = 0.05 if motions.on == "top" else -predicted.drum.box.height_mm - 0.05
    ends = np.array([[x - 5.0, y, z], [x + 5.0, y, z], [x, y - 5.0, z], [x, y + 5.0, z]])
    moved = motions_of(solution).at(ends)[: len(solution.hz)]
    slopes = np.column_stack(
        [(moved[:, 1, 0] - moved[:, 0, 0]) / 0.01, (moved[:, 3, 1] - moved[:, 2, 1]) / 0.01]
    )
    # two strips through the disc against its whole area: alike where the motion is smooth
    low = slice(0, 4)
    size = np.abs(motions.strain[low]).max()
    assert motions.strain[low] == pytest.approx(slopes[low], abs=0.15 * size)


def test_levels_are_against_the_loudest_note_and_glue_beats_tape_and_pads(
    predicted: Prediction, motions: DiscMotions
) -> None:
    told = pickup_heard(predicted, motions)
    assert max(told.notes_db) == 0.0 and min(told.notes_db) > -40.0
    others = dict(told.mountings_db)
    assert others["between soft pads"] < others["on foam tape"] < others["between pads of wood"] < 0.0
    half = replace(motions, wall=0.5 * motions.wall)
    quiet = pickup_heard(predicted, half)
    assert told.knock_db - quiet.knock_db == pytest.approx(6.02, abs=0.01)
    assert told.rub_db - quiet.rub_db == pytest.approx(6.02, abs=0.01)


def test_a_heavy_load_takes_the_low_note_more_than_the_high(
    predicted: Prediction, motions: DiscMotions
) -> None:
    pickup = predicted.drum.making.pickup
    assert pickup is not None
    loaded = replace(predicted.drum.making, pickup=replace(pickup, load_kohm=20.0))
    heavy = replace(predicted, drum=replace(predicted.drum, making=loaded))
    before, after = (through_pickup(one, motions) for one in (predicted, heavy))
    left = np.abs(after.sweep[0] / before.sweep[0])
    assert (np.diff(left) > 0.0).all() and left[0] < 0.7


def test_the_motion_is_kept_and_found_again(
    predicted: Prediction, motions: DiscMotions, tmp_path: Path
) -> None:
    shelf = Shelf(tmp_path)
    first = disc_motions(predicted, COUNT, shelf)
    again = disc_motions(replace(predicted, live=None), COUNT, shelf)
    assert (again.on, again.place_mm) == (first.on, first.place_mm) == (motions.on, motions.place_mm)
    assert again.strain == pytest.approx(first.strain)


@pytest.mark.refusal
def test_without_a_pickup_nothing_is_solved(tmp_path: Path) -> None:
    with pytest.raises(ShopError, match=r"Add a line \[pickup\]"):
        check_pickup(parse_drum(WREN), None)
    (tmp_path / "drum.toml").write_text(WREN)
    with pytest.raises(ShopError, match="through its pickup"):
        preview_sound(SoundRequest(drum=tmp_path, output=tmp_path / "a.wav", through="pickup"))
    assert not (tmp_path / "a.wav").exists()


@pytest.mark.refusal
def test_a_disc_on_a_bottom_that_is_off_is_refused_before_any_solve() -> None:
    drum = parse_drum(WREN + TABLE + 'on = "bottom"\n')
    check_pickup(drum, AirAsked())
    for bottom in ("off", "loose", "table"):
        with pytest.raises(ShopError, match=f"asked to be {bottom}") as caught:
            check_pickup(drum, AirAsked(bottom=bottom))
        assert caught.value.nearest == "glued"


@pytest.mark.slow
def test_the_sound_through_the_pickup_is_another_and_says_what_it_hears(tmp_path: Path) -> None:
    (tmp_path / "drum.toml").write_text(WREN + TABLE)
    done = preview_sound(SoundRequest(drum=tmp_path, output=tmp_path / "a.wav", through="pickup"))
    plain = preview_sound(SoundRequest(drum=tmp_path, output=tmp_path / "b.wav"))
    assert done.pickup is not None and plain.pickup is None
    assert set(done.document()) - set(plain.document()) == {"pickup"}
    assert done.preview.hz == pytest.approx(plain.preview.hz), "the same notes"
    assert not np.allclose(done.preview.samples[:48000], plain.preview.samples[:48000], atol=0.05)


def test_a_plan_has_the_sound_through_the_pickup_beside_the_other(predicted: Prediction) -> None:
    made = results(predicted, predicted)
    assert made[PICKED][:4] == b"RIFF" and made[PICKED] != made[SOUND]
    page = made[REPORT].decode("utf-8")
    assert page.count("<audio") == 2 and "Through the pickup" in page
    none = replace(predicted.drum, making=replace(predicted.drum.making, pickup=None))
    without = replace(predicted, drum=none)
    bare = results(without, without)
    assert PICKED not in bare and bare[REPORT].decode("utf-8").count("<audio") == 1
