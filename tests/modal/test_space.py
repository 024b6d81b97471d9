"""How the two orders on one mesh belong together."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kerftone.modal.mechanics import flat_axes
from kerftone.modal.plain_board import Bricks, board_space
from kerftone.modal.space import Inverse, Mass, Space, embedding
from kerftone.wood.elastic import Elastic

SIZE_MM = (200.0, 60.0, 16.0)


@pytest.fixture(scope="module")
def coarse(cherry: Elastic) -> Space:
    axes = flat_axes("flatsawn", 12.0)
    return board_space(size_mm=SIZE_MM, elastic=cherry, axes=axes, bricks=Bricks(order=2, parts=(4, 2, 1)))


@pytest.fixture(scope="module")
def fine(coarse: Space) -> Space:
    return Space(coarse.mesh, coarse.parts, order=3, held=None)


def lifted(coarse: Space, fine: Space, field: Any) -> Any:
    ours, theirs = embedding(coarse, fine)
    answer = np.zeros((3, fine.scalar.ndof))
    answer[:, theirs] = field.reshape(3, -1)[:, ours]
    return answer.reshape(-1)


def energy(space: Space, field: Any) -> float:
    matrix = space.stiffness().mat
    into, out = matrix.CreateRowVector(), matrix.CreateColVector()
    into.FV().NumPy()[:] = field
    out.data = matrix * into
    return float(field @ out.FV().NumPy())


def test_a_coarse_motion_lifted_to_the_fine_order_is_the_same_motion(coarse: Space, fine: Space) -> None:
    """The same strain energy and the same kinetic energy, for a motion in which every unknown takes part."""
    field = np.random.default_rng(0).standard_normal(coarse.unknowns)
    copy = lifted(coarse, fine, field)
    assert energy(fine, copy) == pytest.approx(energy(coarse, field), rel=1e-10)
    weight = field @ Mass(coarse.mass())(field)
    assert copy @ Mass(fine.mass())(copy) == pytest.approx(weight, rel=1e-10)


def test_every_coarse_unknown_has_a_place_of_its_own_in_the_fine_order(coarse: Space, fine: Space) -> None:
    ours, theirs = embedding(coarse, fine)
    assert sorted(ours) == list(range(coarse.scalar.ndof))
    assert len(set(theirs)) == len(theirs)


def test_the_inverse_undoes_the_stiffness(fine: Space) -> None:
    """Stiffness plus mass is what is inverted: load a known motion, and get it back."""
    shift = 1e7
    field = np.random.default_rng(1).standard_normal(fine.unknowns)
    form = fine.stiffness(shift)
    into, out = form.mat.CreateRowVector(), form.mat.CreateColVector()
    into.FV().NumPy()[:] = field
    out.data = form.mat * into
    back = Inverse(form, fine.field.FreeDofs())(np.array(out.FV().NumPy()))
    np.testing.assert_allclose(back, field, atol=1e-6 * abs(field).max())


def test_the_shift_adds_that_much_mass(fine: Space) -> None:
    field = fine.rigid()[2]
    form = fine.stiffness(250.0)
    into, out = form.mat.CreateRowVector(), form.mat.CreateColVector()
    into.FV().NumPy()[:] = field
    out.data = form.mat * into
    assert field @ out.FV().NumPy() == pytest.approx(250.0 * field @ Mass(fine.mass())(field), rel=1e-6)


@pytest.mark.parametrize("where", [None, "wood"])
@pytest.mark.parametrize("shift", [0.0, 250.0])
def test_the_blocks_are_the_same_matrix_as_the_librarys_own_form(
    fine: Space, shift: float, where: str | None
) -> None:
    """For wood whose grain runs 12 degrees off the axes, so that nearly all of its stiffnesses count."""
    if where is not None:
        where = fine.mesh.GetMaterials()[0]
    fields = np.random.default_rng(2).standard_normal((3, fine.unknowns))
    matrix = fine.stiffness(shift, where).mat
    into, out = matrix.CreateRowVector(), matrix.CreateColVector()
    images = fine.blocks(shift, where).times(fields)
    for field, image in zip(fields, images, strict=True):
        into.FV().NumPy()[:] = field
        out.data = matrix * into
        wanted = np.array(out.FV().NumPy())
        np.testing.assert_allclose(image, wanted, atol=1e-11 * abs(wanted).max())
