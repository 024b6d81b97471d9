"""The frame-and-tongues model against full solves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Bore
from kerftone.drum.plan_lines import layout
from kerftone.modal.frame import Assembly, assemble, frame_of
from kerftone.modal.notes import weights
from kerftone.modal.solve import Solution, solve
from kerftone.modal.tongue import PROBE_SHARE

from ..solving import solve_once

COUNT = 9


def moved(after, before) -> np.ndarray:
    return 1200.0 * np.log2(after[:COUNT] / before[:COUNT])


def own_pitches(model: Assembly) -> np.ndarray:
    return np.sqrt(model.values)


def fine_pitches(solution: Solution) -> np.ndarray:
    return np.sqrt(solution.fine_values)


def test_the_parts_together_sound_as_the_whole_does(model: Assembly, solved_w1: Solution) -> None:
    assert abs(moved(own_pitches(model), fine_pitches(solved_w1))).max() < 0.3
    whole, parts = solved_w1.modes(), model.modes()
    np.testing.assert_allclose(abs(parts.strike[:, :5]), abs(whole.strike[:, :5]), atol=0.02)
    # Half a percent of the largest: in the other modes large volumes cancel.
    np.testing.assert_allclose(abs(parts.volume[:5]), abs(whole.volume[:5]), atol=2e-4)
    assert abs(whole.volume[:5]).max() > 0.03
    assert abs(moved(parts.hz, whole.hz)[:5]).max() < 1.0


@pytest.mark.parametrize(("number", "by_mm"), [(0, 3.0), pytest.param(4, -10.0, marks=pytest.mark.slow)])
def test_a_changed_length_moves_the_model_as_it_moves_full_solves(
    model: Assembly, solved_w1: Solution, number: int, by_mm: float
) -> None:
    lengths = [tongue.length_mm or 0.0 for tongue in solved_w1.drum.tongues]
    lengths[number] += by_mm
    drum = solved_w1.drum.with_lengths(tuple(lengths))
    said = moved(own_pitches(model.with_drum(drum)), own_pitches(model))
    true = moved(fine_pitches(solve(drum)), fine_pitches(solved_w1))
    assert abs(true).max() > 20.0
    assert abs(said - true).max() < 1.0


@pytest.mark.slow
def test_a_changed_end_moves_the_model_as_it_moves_full_solves(model: Assembly, solved_w1: Solution) -> None:
    drum = replace(solved_w1.drum, slots=replace(solved_w1.drum.slots, tongue_end="round"))
    said = moved(own_pitches(model.with_drum(drum)), own_pitches(model))
    true = moved(fine_pitches(solve(drum)), fine_pitches(solved_w1))
    assert abs(true).max() > 20.0
    assert abs(said - true)[:6].max() < 1.0


@pytest.mark.slow
def test_bores_move_the_model_as_they_move_full_solves(known, solved_w1: Solution) -> None:
    plain = solve_once(known["W1"].drum, layered=True)
    bores = (
        Bore(x_mm=168.0, y_mm=49.0, diameter_mm=20.0, depth_mm=6.0),
        Bore(x_mm=97.0, y_mm=95.0, diameter_mm=22.0, depth_mm=8.0),
    )
    drum = replace(known["W1"].drum, bores=bores)
    true = moved(fine_pitches(solve(drum)), fine_pitches(plain))
    assert abs(true).max() > 10.0
    # The frame may have been solved in two layers or, at half the cost, in one.
    for model in (assemble(plain), assemble(solved_w1, layered=True)):
        said = moved(own_pitches(model.with_drum(drum)), own_pitches(model))
        assert abs(said - true).max() < 1.0


def test_only_the_tongue_that_changed_is_made_again(model: Assembly) -> None:
    lengths = [tongue.length_mm or 0.0 for tongue in model.drum.tongues]
    other = model.with_drum(model.drum.with_lengths((lengths[0] + 1.0, *lengths[1:])))
    assert other.tongues[0] is not model.tongues[0]
    assert all(new is old for new, old in zip(other.tongues[1:], model.tongues[1:], strict=True))


def test_a_board_of_no_round_length_is_meshed_in_one_piece(known) -> None:
    """Root lines off the mesher's grid: a tongue that hung loose would ring at nothing."""
    drum = known["W1"].drum
    odd = solve(replace(drum, top=replace(drum.top, length_mm=419.9873471)))
    even = solve_once(drum)
    assert abs(1200.0 * np.log2(odd.hz[:8] / even.hz[:8])).max() < 3.0


@pytest.mark.parametrize(
    ("share", "raises", "within"),
    [
        pytest.param(0.8, True, 0.03, id="near the tip"),
        pytest.param(0.15, False, 0.15, id="near the root", marks=pytest.mark.slow),
    ],
)
def test_a_tongue_of_order_two_says_what_a_bore_does_nearly_as_well(
    solved_w1: Solution, share: float, raises: bool, within: float
) -> None:
    model, number = assemble(solved_w1, layered=True), 1
    rough = model.coarser(number)
    assert len(rough.tongues[number].root) <= len(model.tongues[number].root)
    drum = solved_w1.drum
    tongue, lines = drum.tongues[number], layout(drum)
    x = lines.root_mm(tongue.side) + (1 if tongue.side == "left" else -1) * share * tongue.length_mm
    bore = Bore(x_mm=x, y_mm=lines.centre_mm(tongue.row), diameter_mm=15.0, depth_mm=5.0)
    drum = replace(drum, bores=(bore,))
    mode = int(np.argmax(weights(model.modes()), axis=1)[number])
    true = moved(own_pitches(model.with_drum(drum)), own_pitches(model))[mode]
    said = moved(own_pitches(rough.with_drum(drum)), own_pitches(rough))[mode]
    assert (true > 3.0) if raises else (true < -3.0)
    assert abs(said / true - 1.0) < within


@pytest.mark.parametrize(
    "radii", [pytest.param(0.99, marks=pytest.mark.slow), 1.01, pytest.param(1.03, marks=pytest.mark.slow)]
)
def test_a_bore_may_have_its_rim_where_the_tongue_is_probed(solved_w1: Solution, radii: float) -> None:
    """Rims are meshed as polygons: at 9 degrees a corner reaches 1.023 times as far as the round rim."""
    drum, number, radius = solved_w1.drum, 1, 7.5
    tongue = drum.tongues[number]
    probed, centre = layout(drum).spot_mm(tongue, PROBE_SHARE * tongue.length_mm)
    off = radii * radius * np.array([np.cos(np.radians(9.0)), np.sin(np.radians(9.0))])
    bore = Bore(x_mm=probed - off[0], y_mm=centre - off[1], diameter_mm=2 * radius, depth_mm=4.0)
    made = frame_of(solved_w1, layered=True).fresh_tongue(replace(drum, bores=(bore,)), number)
    assert np.isfinite(made.probe).all() and abs(made.probe).max() > 0.0


def test_tongues_made_side_by_side_are_those_made_one_by_one(solved_w1: Solution) -> None:
    frame = frame_of(solved_w1)
    together = replace(frame, made={}).tongues(solved_w1.drum)
    for number, tongue in enumerate(together):
        alone = frame.fresh_tongue(solved_w1.drum, number)
        assert tongue.live is None
        np.testing.assert_allclose(
            tongue.stiffness, alone.stiffness, rtol=1e-9, atol=1e-9 * alone.stiffness.max()
        )
        np.testing.assert_allclose(abs(tongue.root), abs(alone.root), rtol=1e-6, atol=1e-9)
