"""Every kind of drum a file can describe has an answer in air, in every state of its bottom."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.answer import in_air, retuned
from kerftone.air.notes_in_air import from_arrays, tongues_in_air
from kerftone.air.place import BottomState
from kerftone.drum.design import Bore, Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import Solution

from ..drums import REED, WREN
from ..solving import solve_once

PLAIN = replace(parse_drum(WREN), box=replace(parse_drum(WREN).box, stands="free"))
KINDS = {
    "plain": PLAIN,
    "held": parse_drum(WREN),
    "round ends and stop holes": replace(
        PLAIN, slots=replace(PLAIN.slots, tongue_end="round", stop_hole_mm=6.0)
    ),
    "a tongue alone": replace(PLAIN, tongues=PLAIN.tongues[:1]),
    "in a ledge": replace(PLAIN, box=replace(PLAIN.box, mount="in ledge", ledge_mm=6.0)),
    "root bars": replace(
        PLAIN,
        slots=replace(PLAIN.slots, end_margin_mm=34.0),
        box=replace(PLAIN.box, root_bar_mm=12.0, root_bar_height_mm=20.0),
    ),
    "bored": replace(PLAIN, bores=(Bore(x_mm=150.0, y_mm=35.0, diameter_mm=16.0, depth_mm=5.0),)),
}


def rough(drum: Drum) -> Solution:
    """Solved at order 2, which is plenty for laws that hold at any."""
    return solve_once(drum, fineness=Fineness(order=2))


@pytest.mark.parametrize("kind", KINDS)
def test_every_note_has_a_place_in_air(kind: str) -> None:
    drum: Drum = KINDS[kind]
    for state in (BottomState.LOOSE, BottomState.OFF, BottomState.TABLE):
        found = in_air(rough(drum), state, plate_mm=6.0)
        notes = tongues_in_air(drum, rough(drum).modes(), found)
        assert len(notes) == len(drum.tongues)
        for tongue in notes:
            assert -60.0 < tongue.shift_cents < 60.0
            assert tongue.radiation_q > 5.0
            assert np.isfinite(tongue.power_db)
        assert (found.breathing_hz is None) == (state is BottomState.OFF)
        assert np.all(np.diff(found.modes.hz) >= 0.0)


def test_a_glued_bottom_shuts_the_air_in_as_a_loose_one_does() -> None:
    drum = parse_drum(REED)
    glued = in_air(rough(drum), BottomState.GLUED)
    loose = in_air(rough(replace(drum, bottom=None)), BottomState.LOOSE, plate_mm=8.0)
    assert glued.breathing_hz == pytest.approx(loose.breathing_hz, rel=0.05)


def test_a_smaller_box_breathes_faster() -> None:
    low, high = (
        in_air(rough(replace(PLAIN, box=replace(PLAIN.box, height_mm=mm))), BottomState.TABLE).breathing_hz
        for mm in (40.0, 60.0)
    )
    assert low is not None
    assert high is not None
    assert low > 1.1 * high


def test_asked_for_the_notes_alone_air_moves_them_as_far_as_ever() -> None:
    """To a thousandth of a cent: what air does at a note is read off fewer frequencies, which lie nearer to it."""
    solution = rough(PLAIN)
    whole, bare = (in_air(solution, BottomState.TABLE, notes_only=only) for only in (False, True))
    told, quick = (tongues_in_air(PLAIN, solution.modes(), air) for air in (whole, bare))
    assert [one.shift_cents for one in quick] == pytest.approx([one.shift_cents for one in told], abs=2e-3)
    assert [one.radiation_q for one in quick] == pytest.approx([one.radiation_q for one in told], rel=1e-2)
    assert len(bare.modes.hz) < len(whole.modes.hz)
    assert np.array_equal(bare.q_rubbed, bare.q)
    assert np.array_equal(bare.rubbed_hz, bare.modes.hz)


@pytest.mark.roundtrip
def test_an_answer_put_by_as_arrays_is_the_same_again() -> None:
    found = in_air(rough(PLAIN), BottomState.TABLE)
    again = from_arrays(found.arrays())
    assert again.breathing_hz == found.breathing_hz
    assert again.modes.strike == pytest.approx(found.modes.strike)
    assert list(again.owns) == list(found.owns)


def test_air_outside_is_worked_out_for_the_highest_motion_too() -> None:
    """With more motions asked for, what those before radiate and how they are heard stays."""
    few, many = (in_air(solve_once(PLAIN, count), BottomState.TABLE) for count in (20, 40))
    top = len(few.modes.hz) - 2
    same = int(abs(many.modes.hz - few.modes.hz[top]).argmin())
    assert many.modes.hz[same] == pytest.approx(few.modes.hz[top], rel=2e-3)
    assert many.q[same] == pytest.approx(few.q[top], rel=0.1)
    assert abs(many.ear[same]) == pytest.approx(abs(few.ear[top]), rel=0.1)


def test_a_note_tuned_past_the_breathing_changes_from_the_lower_to_the_upper_motion_once() -> None:
    """Two coupled oscillators push each other apart, the more the nearer, and share their motion evenly where
    they would meet: below it the lower is mostly the wood's, above it the upper."""
    solution = rough(PLAIN)
    breathing = in_air(solution, BottomState.LOOSE, plate_mm=6.0, notes_only=True).breathing_hz
    assert breathing is not None
    asked = retuned(solution, BottomState.LOOSE, plate_mm=6.0)
    above, up = np.arange(-150.0, 151.0, 10.0), 1200.0 * np.log2(breathing / asked.alone_hz[0])
    moved = np.array([asked.shifts(np.array([up + by, 900.0]))[0] for by in above])
    (at,) = np.flatnonzero(np.diff(moved) > 0.0)
    assert -30.0 < above[at] < 20.0, "once, and where they would meet"
    assert moved[at + 1] - moved[at] > 40.0
    before, after = -np.diff(moved[: at + 1]), -np.diff(moved[at + 1 :])
    assert (np.diff(before) > 0.0).all(), "faster and faster towards it"
    assert after[0] > 2.0 * after[4], "and slower and slower away from it"


def test_a_drum_tuned_nowhere_is_as_it_is_solved() -> None:
    solution = rough(PLAIN)
    found = in_air(solution, BottomState.LOOSE, plate_mm=6.0, notes_only=True)
    told = [one.shift_cents for one in tongues_in_air(PLAIN, solution.modes(), found)]
    asked = retuned(solution, BottomState.LOOSE, plate_mm=6.0)
    np.testing.assert_allclose(asked.shifts(np.zeros(len(told))), told, atol=0.01)
