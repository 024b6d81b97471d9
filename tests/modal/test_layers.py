"""A root face in one layer and in two: the same motion at every point."""

from __future__ import annotations

from itertools import pairwise

import ngsolve as ng
import numpy as np
import pytest

from kerftone.modal.layers import in_order_two, in_two_layers
from kerftone.modal.solid import LOWER_LAYER, Cells
from kerftone.modal.space import Parts, Space, embedding
from kerftone.modal.tongue import Root, root_unknowns

THICK_MM = 16.0
MARKS_MM = np.array([20.0, 31.0, 36.5, 52.0])


def block(heights_mm: list[float], order: int) -> Space:
    """A row of bricks behind the root face at x = 40 mm."""
    cells = Cells()
    for front, back in pairwise(MARKS_MM):
        corners = [(40.0, front), (47.0, front), (47.0, back), (40.0, back)]
        for low, high in pairwise(heights_mm):
            cells.raise_column("wood", [(*c, low) for c in corners], [(*c, high) for c in corners])
    return Space(ng.Mesh(cells.mesh()), Parts({"wood": np.eye(6)}, {"wood": 1.0}), order=order, held=None)


def read(space: Space, motion: np.ndarray, points_m: tuple[np.ndarray, ...]) -> np.ndarray:
    """The motion of the root face, given in its unknowns, at points of it (points, 3)."""
    face = root_unknowns(space, 0.04, (MARKS_MM[0] * 1e-3, MARKS_MM[-1] * 1e-3))
    field = ng.GridFunction(space.field)
    fields = np.zeros((3, space.scalar.ndof))
    fields[:, face] = motion.reshape(3, -1)
    field.vec.FV().NumPy()[:] = fields.ravel()
    return np.array(field(space.mesh(*points_m)))


@pytest.mark.parametrize("order", [3, 4])
def test_a_motion_in_one_layer_is_the_same_motion_in_two(order: int) -> None:
    rng = np.random.default_rng(5)
    one, two = block([0.0, THICK_MM], order), block([0.0, LOWER_LAYER * THICK_MM, THICK_MM], order)
    unknowns = len(root_unknowns(one, 0.04, (MARKS_MM[0] * 1e-3, MARKS_MM[-1] * 1e-3)))
    motion = rng.standard_normal((1, 3 * unknowns))
    turned = in_two_layers(Root(marks_mm=MARKS_MM, motions=motion), thickness_mm=THICK_MM, order=order)
    y, z = rng.uniform(20.1, 51.9, 40) * 1e-3, rng.uniform(0.1, THICK_MM - 0.1, 40) * 1e-3
    points = (np.full(40, 0.04), y, z)
    before, after = read(one, motion[0], points), read(two, turned.motions[0], points)
    assert abs(before).max() > 0.5
    np.testing.assert_allclose(after, before, atol=1e-9)
    # A level of the layers other than the two meshes' own would not hold the motion.
    wrong = block([0.0, 0.5 * THICK_MM, THICK_MM], order)
    assert abs(read(wrong, turned.motions[0], points) - before).max() > 1e-3


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("order", [3, 4])
def test_a_motion_that_order_two_can_hold_is_left_as_it_is(layers: int, order: int) -> None:
    heights = [0.0, THICK_MM] if layers == 1 else [0.0, LOWER_LAYER * THICK_MM, THICK_MM]
    few, many = block(heights, 2), block(heights, order)
    low, high = embedding(few, many)
    fields = np.random.default_rng(7).standard_normal((3, few.scalar.ndof))
    raised = np.zeros((3, many.scalar.ndof))
    raised[:, high] = fields[:, low]
    few_face, many_face = (
        root_unknowns(space, 0.04, (MARKS_MM[0] * 1e-3, MARKS_MM[-1] * 1e-3)) for space in (few, many)
    )
    root = Root(marks_mm=MARKS_MM, motions=raised[:, many_face].reshape(1, -1))
    np.testing.assert_array_equal(
        in_order_two(root, layers=layers, order=order).motions[0], fields[:, few_face].ravel()
    )
