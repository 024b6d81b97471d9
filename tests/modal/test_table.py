"""A tongue interpolated over its length against tongues made afresh."""

from __future__ import annotations

import math
from dataclasses import replace

import ngsolve as ng
import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.plan_lines import layout
from kerftone.modal import table as table_module
from kerftone.modal.frame import Assembly, assemble
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness, plan_tongue
from kerftone.modal.search import SearchModel, search_model
from kerftone.modal.solve import Solution, solve
from kerftone.modal.table import Table, blank_for, main_lifts, root_face
from kerftone.modal.tongue import Root, TongueModel, mesh_tongue, reduced_tongue, root_unknowns

from ..drums import WREN
from ..solving import solve_once

FINENESS = Fineness()
"""Of order 3: at order 2 the cells a tongue is cut into show, some cents, where one more fits its length."""
LENGTHS = (140.0, 105.0)
PLACES = ((1, "left"), (1, "right"))
REACH_MM = (70.0, 190.0)
UNEVEN = ((-12.0, -13.5), (0.0, -7.0), (-6.0, 0.0), (-12.0, 13.5))
"""A path for the tongue's end that is not its own mirror image: its tongues are 27 mm wide."""


@pytest.fixture(scope="module")
def wren() -> Solution:
    return solve_once(parse_drum(WREN))


@pytest.fixture(scope="module")
def afresh(wren: Solution) -> Assembly:
    """The frame of the same drum, its tongues made one by one for their lengths."""
    return assemble(wren)


@pytest.fixture(scope="module")
def model(wren: Solution) -> SearchModel:
    return search_model(wren, REACH_MM)


def lengths_times(left: float, right: float) -> tuple[float, float]:
    return LENGTHS[0] * left, LENGTHS[1] * right


def furthest_cents(model: SearchModel, afresh: Assembly, lengths: tuple[float, float]) -> float:
    """How far any note is from that of a drum whose tongues were made for these lengths."""
    made = afresh.with_drum(afresh.drum.with_lengths(lengths))
    own = np.argmax(weights(made.modes()), axis=1)
    true = np.sqrt(made.values) / (2 * math.pi)
    said = model.read(model.fitted(PLACES, lengths), 1.5 * float(true[own].max())).hz
    return float(abs(1200.0 * np.log2(said[own] / true[own])).max())


@pytest.mark.parametrize("times", [(0.8, 0.8), (0.8, 1.25), (0.93, 1.11), (1.0, 1.0), (1.25, 0.8)])
def test_a_tongue_of_any_length_sounds_in_the_drum_as_one_made_for_it(model, afresh, times) -> None:
    assert furthest_cents(model, afresh, lengths_times(*times)) < 0.15


def test_with_three_nodes_a_table_would_be_wrong(wren, afresh, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table_module, "NODES", 0)
    few = search_model(wren, REACH_MM)
    assert len(few.seats[1, "left"].table.nodes) == 3
    assert max(furthest_cents(few, afresh, lengths_times(*by)) for by in ((0.93, 1.11), (1.25, 0.8))) > 0.5


def test_a_motion_of_the_root_that_is_a_polynomial_is_held_exactly(wren: Solution) -> None:
    face = root_face(-13.5, 13.5, 3.0, thickness_mm=12.0, order=3)
    blank = blank_for(wren.drum, 140.0)
    lines = layout(blank)
    centre, x = lines.centre_mm(1), lines.root_mm("left")
    plan = plan_tongue(blank, 0, centre + np.array(face.marks_mm), FINENESS)
    space = mesh_tongue(blank, plan, layered=False, order=3)
    front, back = lines.edges_mm(1)
    on_root = root_unknowns(space, x * 1e-3, (front * 1e-3, back * 1e-3))
    y, z = face.points_mm.T
    spots = np.array([(-13.0, 0.3), (-5.1, 11.9), (0.7, 6.0), (8.2, 3.3), (13.4, 8.8)])

    def wrong(power_y: int, power_z: int) -> float:
        samples = np.tile((y / 10.0) ** power_y * (z / 10.0) ** power_z, (1, 3, 1))
        function = ng.GridFunction(space.scalar)
        function.vec.FV().NumPy()[on_root] = face.held(samples).reshape(3, -1)[1]
        at = space.mesh(np.full(len(spots), x * 1e-3), (centre + spots[:, 0]) * 1e-3, spots[:, 1] * 1e-3)
        meant = (spots[:, 0] / 10.0) ** power_y * (spots[:, 1] / 10.0) ** power_z
        return float(abs(function(at)[:, 0] - meant).max())

    assert max(wrong(*powers) for powers in [(0, 0), (1, 0), (0, 1), (1, 1), (2, 1), (3, 0), (0, 3)]) < 1e-10
    assert wrong(6, 0) > 1e-4, "what order 3 cannot hold"


def made_at(drum: Drum, table: Table, length_mm: float) -> TongueModel:
    blank = blank_for(drum, length_mm)
    lines = layout(blank)
    marks = lines.centre_mm(lines.rows) + np.array(table.face.marks_mm)
    root = Root(marks_mm=marks, motions=table.lifts)
    return reduced_tongue(blank, 0, root, fineness=FINENESS, own_modes=5)


def own_answers(table: Table, length_mm: float, made: TongueModel) -> float:
    """By how much the five lowest own modes differ from those of the tongue made afresh, of the largest; whatever
    sign a mode has, what a push at the root does at the strike point has the same."""
    piece, r = table.piece(length_mm), len(table.lifts)
    lowest = np.argsort(piece.own)[:5]
    said = (piece.coupling * piece.strike[r:])[:, lowest]
    true = made.mass[:r, r:] * made.strike[r:]
    return float(abs(said - true).max() / abs(true).max())


@pytest.mark.parametrize("node", [1, 3, 5])
def test_own_modes_keep_their_order_and_sign_from_node_to_node(model, wren, node: int) -> None:
    """Midway between a node and the next, where both count about half."""
    table = model.seats[1, "left"].table
    middle, half = 0.5 * math.log(REACH_MM[0] * REACH_MM[1]), 0.5 * math.log(REACH_MM[1] / REACH_MM[0])
    length_mm = math.exp(middle + half * table.nodes[node : node + 2].mean())
    made = made_at(wren.drum, table, length_mm)
    r = len(table.lifts)
    off = abs(600.0 * np.log2(np.sort(table.piece(length_mm).own)[:5] / np.diag(made.stiffness)[r:]))
    # The higher ones lie far above any note: measured 7.8 cents for the fourth of a tongue 82 mm long.
    assert off[0] < 0.4 and off.max() < 12.0
    assert own_answers(table, length_mm, made) < 1e-3
    # One mode turned upside down at one node, as an eigensolver may leave it, is found out.
    signs = np.ones((len(table.nodes), 1))
    signs[node] = -1.0
    strike, coupling = table.strike.copy(), table.coupling.copy()
    strike[:, r : r + 1] *= signs
    coupling[:, :, 0] *= signs
    assert own_answers(replace(table, strike=strike, coupling=coupling), length_mm, made) > 0.5


def test_an_end_that_is_not_its_own_mirror_image_has_a_table_for_each_side(wren: Solution) -> None:
    uneven = replace(wren.drum, slots=replace(wren.drum.slots, tongue_end=UNEVEN))
    solved = solve(uneven)
    made = search_model(solved, REACH_MM)
    left, right = (made.seats[place] for place in PLACES)
    assert left.table is not right.table
    again = assemble(solved)
    for times in ((1.0, 1.0), (0.8, 1.2)):
        assert furthest_cents(made, again, lengths_times(*times)) < 0.15
    # Read on the right as on the left, the end is the wrong way round: what the root feels of it differs.
    assert abs(left.table.mass - right.table.mass).max() > 1e-3 * abs(left.table.mass).max()


def test_a_square_end_needs_one_table_only(model: SearchModel) -> None:
    assert model.seats[1, "left"].table is model.seats[1, "right"].table


def test_lifts_that_say_the_same_are_kept_once() -> None:
    one, other = np.eye(6)[:2]
    assert main_lifts([np.array([one, one + other]), np.array([other, 1e-6 * np.eye(6)[4]])]).shape == (2, 6)


def test_the_slope_of_a_table_is_that_of_its_values(model: SearchModel) -> None:
    table = model.seats[1, "left"].table
    step = 1e-4
    low, high = (table.shares(120.0 * math.exp(by))[0] for by in (-step, step))
    np.testing.assert_allclose(table.shares(120.0)[1], (high - low) / (2 * step), atol=1e-5)
    assert table.shares(120.0)[0].sum() == pytest.approx(1.0)


def test_a_table_holds_a_whole_drums_rows_not_only_the_first(wren: Solution) -> None:
    """The blank has as many rows as the drum: its tongue is as wide as theirs."""
    tongues = (*wren.drum.tongues, replace(wren.drum.tongues[0], row=2))
    wide = replace(wren.drum, tongues=tongues, top=replace(wren.drum.top, width_mm=100.0))
    blank = blank_for(wide, 120.0)
    assert layout(blank).tongue_width_mm == layout(wide).tongue_width_mm == layout(wren.drum).tongue_width_mm
