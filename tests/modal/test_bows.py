"""Slots that bow in the model: tables, what a length does, symmetry, and a finer mesh.

The drum is Wren, two facing tongues 27 mm wide in one row; its bows here are INVENTED.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.modal.frame import Assembly, assemble
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness, plan
from kerftone.modal.search import SearchModel, search_model
from kerftone.modal.solve import Solution, lifts_at

from ..drums import WREN
from ..solving import solve_once
from .afresh import PLACES, REACH_MM, both, rises_told_alike


def bowed(*bows: float) -> Drum:
    drum = parse_drum(WREN)
    return replace(drum, slots=replace(drum.slots, bow_mm=bows))


@pytest.fixture(scope="module")
def solved() -> Solution:
    return solve_once(bowed(4.0, -2.0))


@pytest.fixture(scope="module")
def model(solved: Solution) -> SearchModel:
    return search_model(solved, REACH_MM)


@pytest.fixture(scope="module")
def afresh(solved: Solution) -> Assembly:
    return assemble(solved)


def test_a_side_of_bowed_slots_has_its_own_table_and_tells_lengths_as_tongues_made_afresh(
    model: SearchModel, afresh: Assembly
) -> None:
    rises_told_alike(model, afresh)


def test_the_tables_of_bowed_slots_give_what_the_whole_drum_gives(
    solved: Solution, model: SearchModel
) -> None:
    own = np.argmax(weights(solved.modes()), axis=1)
    true = np.sqrt(solved.fine_values)[own] / (2 * math.pi)
    said = model.read(model.fitted(PLACES, (140.0, 105.0)), 1.5 * float(true.max())).hz[own]
    assert abs(1200.0 * np.log2(said / true)).max() < 0.3


def test_the_slope_by_which_lengths_are_found_is_that_of_tongues_made_afresh(
    model: SearchModel, afresh: Assembly
) -> None:
    lengths = np.array([140.0, 105.0])
    tongues = model.fitted(PLACES, lengths)
    notes = both(model, afresh, (140.0, 105.0))[1]
    by_length = np.diag(model.sounding(tongues, notes).slope)
    for n in (0, 1):
        high, low = (
            model.sounding(tongues, notes * np.exp(np.where(np.arange(2) == n, by, 0.0))).excess[n]
            for by in (1e-4, -1e-4)
        )
        said = -by_length[n] / ((high - low) / 2e-4)
        longer, shorter = (
            both(model, afresh, tuple(np.where(np.arange(2) == n, by * lengths, lengths)))[1][n]
            for by in (1.01, 0.99)
        )
        assert said == pytest.approx(math.log(longer / shorter) / math.log(1.01 / 0.99), rel=0.01)


def unlikeness(solved: Solution) -> float:
    """How far front and back of the long tongue are from like motion, or from its opposite, in the lowest modes."""
    x, off = np.meshgrid(np.linspace(40.0, 125.0, 8), [3.0, 7.0])
    front, back = (
        lifts_at(solved, np.column_stack([x.ravel(), (35.0 + side * off).ravel()])) for side in (-1.0, 1.0)
    )
    size = abs(front[:, :4]).max(axis=0)
    even, odd = (abs(front[:, :4] - sign * back[:, :4]).max(axis=0) / size for sign in (1.0, -1.0))
    return float(np.minimum(even, odd).max())


def test_symmetric_bows_give_symmetric_modes(solved: Solution) -> None:
    """What is left is the mesh, which is not symmetric; bows that are not symmetric show."""
    assert unlikeness(solve_once(bowed(4.0, -4.0))) < 0.05
    leaning = unlikeness(solve_once(bowed(5.0, 5.0)))
    assert leaning > 0.1


def test_no_bow_is_meshed_as_the_straight_drum() -> None:
    none, straight = (plan(drum, Fineness()) for drum in (bowed(0.0, 0.0), parse_drum(WREN)))
    assert np.array_equal(none.points_mm, straight.points_mm)
    assert np.array_equal(none.triangles, straight.triangles)


@pytest.mark.parametrize("bows", [(4.0, -2.0), (-3.0, 5.0), (5.0, 5.0)])
def test_the_mesh_has_the_area_of_the_wood_that_is_drawn(bows: tuple[float, float]) -> None:
    """Against the drawing in chords a thousandth of a millimetre true, by shapely."""
    drum = bowed(*bows)
    cut, drawn = plan(drum, Fineness()), outline(drum, tolerance_mm=1e-3)
    a, b, c = (cut.points_mm[cut.triangles[:, corner]] for corner in range(3))
    mine = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum()
    inner = shapely.box(*cut.inner)
    assert mine == pytest.approx(drawn.top.intersection(inner).area, rel=2e-5)


@pytest.mark.slow
def test_what_a_bow_does_to_the_notes_is_the_same_on_a_finer_mesh() -> None:
    """Measured: 105.5 and 94.5 cents, on the finer mesh 104.9 and 94.7."""
    fine = Fineness(order=4, curve_mm=0.03, largest_mm=30.0)
    moved = []
    for fineness in (None, fine):
        hz = [
            np.sqrt(solve_once(drum, fineness=fineness).fine_values[:2])
            for drum in (parse_drum(WREN), bowed(2.0, -2.0))
        ]
        moved.append(1200.0 * np.log2(hz[1] / hz[0]))
    assert abs(moved[0]).min() > 50.0
    np.testing.assert_allclose(moved[0], moved[1], atol=1.0)


def test_a_tongue_alone_between_bowed_slots_is_put_together_as_the_whole_drum_is_solved() -> None:
    """Its slots end beside its tip, and the cut round that meets their arcs without slivers to mesh."""
    drum = bowed(4.0, -3.0)
    alone = solve_once(replace(drum, tongues=drum.tongues[1:]), fineness=Fineness(order=2))
    assert outline(alone.drum, tolerance_mm=0.15, same_area=True).top.geom_type == "Polygon"
    made = assemble(alone)
    assert abs(1200.0 * np.log2(np.sqrt(made.values[:3] / alone.fine_values[:3]))).max() < 0.3
