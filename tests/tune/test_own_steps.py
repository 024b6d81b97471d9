from __future__ import annotations

import numpy as np
import pytest

from kerftone.tune.own_steps import LARGEST_STEP_CENTS, Bands, by_turn, own_steps, pull

SURE = np.full(3, 1.0)


def test_tongues_that_do_not_pull_at_each_other_are_each_moved_by_what_they_are_off() -> None:
    steps = own_steps(np.array([-40.0, 12.0, 0.0]), SURE, Bands(tolerance=5.0), np.eye(3))
    np.testing.assert_allclose(steps, [40.0, -12.0, 0.0], atol=0.05)


def test_a_tongue_that_its_neighbour_will_lift_is_moved_less_by_its_own_bores() -> None:
    pulls = np.array([[1.0, 0.0, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]])
    cents = np.array([-50.0, -50.0, 0.0])
    steps = own_steps(cents, SURE, Bands(tolerance=5.0), pulls)
    np.testing.assert_allclose(steps, [50.0, 30.0, 0.0], atol=0.05)
    np.testing.assert_allclose(cents + pulls @ steps, 0.0, atol=0.05)


def test_what_is_in_its_band_is_left_alone() -> None:
    steps = own_steps(np.array([-3.0, 3.0, 0.0]), SURE, Bands(tolerance=5.0), np.eye(3))
    assert not steps.any()


def test_a_tongue_that_would_be_carried_past_is_moved_the_other_way() -> None:
    pulls = np.eye(3)
    pulls[1, 0] = 0.5
    steps = own_steps(np.array([-60.0, -2.0, 0.0]), SURE, Bands(tolerance=5.0), pulls)
    assert steps[0] == pytest.approx(60.0, abs=0.1) and steps[1] == pytest.approx(-28.0, abs=0.1)


def test_room_is_made_first_and_what_would_overshoot_by_itself_comes_last() -> None:
    flat = np.array([1.0, 1.0, -1.0])
    steps, cents = np.array([60.0, -28.0, -20.0]), np.array([-60.0, -2.0, 6.0])
    assert by_turn(steps, cents, flat, 5.0) == [1, 0, 2]


def test_room_is_made_for_a_tongue_that_a_step_would_carry_too_near_its_far_side() -> None:
    """It began sharp, lies 2 cents flat, and lowering its neighbour by 6 carries it further."""
    pulls = np.array([[1.0, 0.0, 0.0], [0.25, 1.0, 0.0], [0.0, 0.0, 1.0]])
    sure = 0.8 * SURE
    cents, far = np.array([9.0, -2.0, 0.0]), np.array([-1.0, -1.0, 1.0])
    assert own_steps(cents, sure, Bands(tolerance=5.0), pulls)[1] == 0.0
    steps = own_steps(cents, sure, Bands(tolerance=5.0, far=far), pulls)
    assert steps[0] < -4.0 and steps[1] > 0.5
    assert (cents + pulls @ steps)[1] >= -3.1
    # One that already lies there, and is not carried, is left alone.
    assert not own_steps(np.array([0.0, -3.0, 0.0]), sure, Bands(tolerance=5.0, far=far), pulls).any()


def test_a_band_narrower_than_the_taps_are_sure_of_asks_for_no_step_within_it() -> None:
    """Room of less than nothing on the far side would ask for a step of each tongue that lies near its note."""
    cents, unsure, far = np.array([0.4, -0.4, 0.0]), np.full(3, 1.5), np.array([-1.0, 1.0, 1.0])
    pulls = np.eye(3) + 0.1
    assert not own_steps(cents, unsure, Bands(tolerance=2.0, far=far), pulls).any()


def test_two_tongues_that_cannot_be_nearer_each_other_are_not_bored_without_end() -> None:
    """What raises the one raises the other nearly as much: 200 cents up and 200 down would move them 35."""
    pulls = np.array([[1.0, 0.83, 0.0], [0.9, 1.0, 0.0], [0.3, 0.05, 1.0]])
    steps = own_steps(np.array([-34.0, 26.0, -19.0]), SURE, Bands(tolerance=5.0), pulls)
    assert abs(steps[:2]).max() < 40.0
    assert steps[2] == pytest.approx(19.0, abs=12.0)
    loose = np.array([[1.0, 0.42, 0.0], [0.47, 1.0, 0.0], [0.15, 0.0, 1.0]])
    cents = np.array([-72.0, 16.0, -34.0])
    np.testing.assert_allclose(
        cents + loose @ own_steps(cents, SURE, Bands(tolerance=5.0), loose), 0.0, atol=3.5
    )


def test_no_step_is_planned_larger_than_bores_can_be() -> None:
    assert (
        own_steps(np.array([-300.0, 0.0, 0.0]), SURE, Bands(tolerance=5.0), np.eye(3))[0]
        == LARGEST_STEP_CENTS
    )


def test_a_tongue_that_cannot_be_moved_is_left_to_its_neighbours() -> None:
    pulls = np.array([[1.0, 0.0, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]])
    steps = own_steps(np.array([0.0, -8.0, 0.0]), SURE, Bands(tolerance=5.0), pulls, fixed=(1,))
    assert steps[1] == 0.0 and steps[0] > 1.0


def test_the_pull_between_tongues_is_that_of_a_shallow_bore_solved_again(bench) -> None:
    from kerftone.drum.design import Bore
    from kerftone.tune.history import Bored, after

    drum = bench.design
    pulls = pull(bench.assembly(drum))
    hole = Bore(x_mm=32.0 + 0.8 * 170.0, y_mm=141.0, diameter_mm=20.0, depth_mm=1.0)
    before = np.array([note.hz for note in bench.notes(drum)])
    bored = np.array([note.hz for note in bench.notes(after(drum, [Bored(tongue=2, bore=hole)]))])
    moved = 1200.0 * np.log2(bored / before)
    assert moved[2] > 2.0
    np.testing.assert_allclose(pulls[:, 2], moved / moved[2], atol=0.1)
    assert np.sort(abs(pulls[:, 2]))[-2] > 0.02
