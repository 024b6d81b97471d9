"""What a contact disc hears of a small drum with a bottom: from the motion under it to levels."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum import parse_drum
from kerftone.errors import ShopError
from kerftone.jobs import plan_shop
from kerftone.jobs.air_asked import AirAsked
from kerftone.jobs.disc_motions import DiscMotions, UnderDisc, check_pickup
from kerftone.jobs.pickup_heard import disc_motions, faces_heard, pickup_heard, through_pickup
from kerftone.jobs.plan_drum import PICKED, REPORT, SOUND, results
from kerftone.jobs.prediction import Prediction, predict
from kerftone.jobs.preview_sound import SoundRequest, preview_sound
from kerftone.jobs.progress import Progress
from kerftone.modal.shelf import Shelf
from kerftone.modal.surface import motions_of
from kerftone.shop.pickup import worth_db

from ..drums import WREN

COUNT = 12
TABLE = '[bottom]\nwood = "teak"\nthickness = 6.0\n[pickup]\ndisc = 10.0\njack_thread = 9.5\n'


@pytest.fixture(scope="module")
def predicted() -> Prediction:
    """The small drum with a bottom and a pickup whose place is open."""
    return predict(parse_drum(WREN + TABLE), count=COUNT)


@pytest.fixture(scope="module")
def motions(predicted: Prediction) -> DiscMotions:
    return disc_motions(predicted, UnderDisc(predicted))


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
    assert max(told.own.notes_db) == 0.0 and min(told.own.notes_db) > -40.0 and told.own.level_db == 0.0
    others = {one.name: one for one in told.others}
    levels = [
        others[name].level_db for name in ("between soft pads", "on foam tape", "glued between pads of wood")
    ]
    assert levels == sorted(levels) and levels[-1] < 0.0
    half = pickup_heard(predicted, replace(motions, wall=0.5 * motions.wall))
    for one, other in zip((told.own, *told.others), (half.own, *half.others), strict=True):
        assert one.knock_db - other.knock_db == pytest.approx(6.02, abs=0.01)
        assert one.rub_db - other.rub_db == pytest.approx(6.02, abs=0.01)
    knocks, mounts = told.checks()
    assert "a knuckle on the front wall" in knocks.numbers
    assert all(one.name in mounts.numbers for one in told.others)
    louder = replace(told.own, name="otherwise", level_db=3.0, knock_db=told.own.knock_db + 2.0)
    beside = f"{abs(louder.knock_db):.0f} dB {'over' if louder.knock_db > 0 else 'under'}"
    assert louder.against(told.own) == f"otherwise 3 dB louder, a knock {beside} the quietest"
    assert told.own.against(told.own) == "glued flat as loud", "what is alike is left out"
    assert "otherwise it hears" in replace(told, others=(replace(louder, worth_db=99.0),)).checks()[1].mend


def test_the_places_of_the_faces_have_what_the_disc_there_has(
    predicted: Prediction, motions: DiscMotions
) -> None:
    # the same drum heard in vacuo, by all its modes at the disc's own place and by the face's net there
    alone = replace(predicted, air=None, in_air=None)
    faces = {one.on: one for one in faces_heard(alone, UnderDisc(alone))}
    face = faces[motions.on]
    near = np.hypot(*(face.points_mm - np.array(motions.place_mm)).T) <= 5.0
    notes = np.abs(face.signal[near].mean(axis=0))
    told = pickup_heard(alone, motions)
    levels = 20.0 * np.log10(notes / notes.max())
    assert levels == pytest.approx(told.own.notes_db, abs=3.0)
    assert face.knock is not None and face.rub is not None
    knock = np.linalg.norm(face.knock[near].mean(axis=0)) / notes.min()
    assert 20.0 * np.log10(knock) == pytest.approx(told.own.knock_db, abs=3.0)


def test_with_played_sides_a_knock_is_one_more_note() -> None:
    level = np.array([[0.0, -2.0], [-4.0, -6.0], [-4.0, -6.0], [-4.0, -6.0]])
    knock = np.array([10.0, -5.0, -30.0, -60.0])
    assert worth_db(level) == pytest.approx([-3.0, -7.0, -7.0, -7.0])
    quiet, played = worth_db(level, knock), worth_db(level, knock, sides_played=True)
    assert quiet[:2] == pytest.approx([-3.0 - 0.3 * 12.0, -7.0 - 0.3 * 1.0]), "a loud knock costs"
    assert quiet[2] == quiet[3] > quiet[1], "and nothing is gained by one that is hardly heard"
    assert played[:2] == pytest.approx([-2.0 - 6.0, -6.0 - 1.0]), (
        "and here only for being apart from the notes"
    )


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
    first = disc_motions(predicted, UnderDisc(predicted, shelf))
    kept = replace(predicted, live=None)
    under = UnderDisc(kept, shelf)
    again = disc_motions(kept, under)
    assert faces_heard(kept, under)
    assert under.once.live is None, "nothing was solved again"
    assert (again.on, again.place_mm) == (first.on, first.place_mm) == (motions.on, motions.place_mm)
    assert again.strain == pytest.approx(first.strain)


def test_build_asks_one_solve_for_all_and_none_where_all_is_kept(
    predicted: Prediction, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kerftone.modal.solve.solve", lambda *_, **__: pytest.fail("solved again"))
    shelf, drum = Shelf(tmp_path), predicted.drum
    monkeypatch.setattr(plan_shop, "predict", lambda *_, **__: predicted)
    first = plan_shop.heard_of(drum, Progress(), shelf, shaken=True)
    monkeypatch.setattr(plan_shop, "predict", lambda *_, **__: replace(predicted, live=None))
    again = plan_shop.heard_of(drum, Progress(), shelf, shaken=True)
    assert first.shakes is not None and first.shakes == again.shakes
    assert [check.name for check in first.pickup_checks] == ["Pickup and knocks", "Pickup's mounting"]
    assert first.pickup_checks == again.pickup_checks and len(again.faces) == 2


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
