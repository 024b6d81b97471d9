"""A joint that holds in spots: against finite elements of one strip between two dry spots."""

from __future__ import annotations

import ngsolve as ng
import numpy as np
import pytest
from netgen.geom2d import SplineGeometry

from kerftone.modal.joints import REACH_MM
from kerftone.tune.glue import (
    LEAST_SHARE,
    SPOTS_MM,
    falls_cents,
    gives_mm,
    glue_covariance,
    likely_mm,
    with_glue_cents,
)

HIGH = 20.0
"""Of the strip, mm: four half distances between dry spots, above which nothing of them is felt."""


NU = 0.3
"""Of the strip, whose modulus is 1; its plane modulus is 1 over 1 less the square of this."""


def strip_gives_mm(share: float) -> float:
    """How much further both sides of a joint part in tension, as mm of wood, by plane finite elements.

    Half the distance between spots wide, symmetric at both sides, held where it is glued; pulled at above. How much
    higher it rises than where it is glued all over, times its stiffness, for both sides of the joint.
    """
    half = 0.5 * SPOTS_MM
    glued = share * half
    geometry = SplineGeometry()
    corners = [(0.0, 0.0), (glued, 0.0), (half, 0.0), (half, HIGH), (0.0, HIGH)]
    numbers = [geometry.AddPoint(*at, maxh=0.02 if at == (glued, 0.0) else 2.0) for at in corners]
    names = ["glued", "dry", "side", "upper", "side"]
    for a, b, name in zip(numbers, [*numbers[1:], numbers[0]], names, strict=True):
        geometry.Append(["line", a, b], bc=name)
    mesh = ng.Mesh(geometry.GenerateMesh(maxh=2.0))
    space = ng.VectorH1(mesh, order=3, dirichletx="side", dirichlety="glued")
    u, v = space.TnT()
    strained, felt = (0.5 * (ng.Grad(w) + ng.Grad(w).trans) for w in (u, v))
    twice_mu, lame = 1.0 / (1.0 + NU), NU / ((1.0 + NU) * (1.0 - 2.0 * NU))
    stress = twice_mu * strained + lame * ng.Trace(strained) * ng.Id(2)
    stiff = ng.BilinearForm(ng.InnerProduct(stress, felt) * ng.dx).Assemble()
    load = ng.LinearForm(v[1] * ng.ds("upper")).Assemble()
    moved = ng.GridFunction(space)
    moved.vec.data = stiff.mat.Inverse(space.FreeDofs()) * load.vec
    rise = float(ng.Integrate(moved[1] * ng.ds("upper"), mesh)) / half
    return 2.0 * (rise - HIGH / (twice_mu + lame)) / (1.0 - NU**2)


@pytest.mark.outside
@pytest.mark.parametrize("share", [LEAST_SHARE, 0.9])
def test_dry_spots_give_as_a_strip_cut_into_finite_elements_does(share: float) -> None:
    assert gives_mm(share) == pytest.approx(strip_gives_mm(share), rel=0.01)


def test_a_joint_that_holds_all_over_gives_nothing_and_the_likely_lies_between() -> None:
    assert gives_mm(1.0) == 0.0
    drawn = np.random.default_rng(5).uniform(LEAST_SHARE, 1.0, 20000)
    square = np.mean([gives_mm(float(share)) ** 2 for share in drawn])
    assert likely_mm() == pytest.approx(np.sqrt(square), rel=0.03)
    assert 2.0 * REACH_MM == SPOTS_MM


def test_joints_count_for_themselves_and_all_notes_of_one_go_together() -> None:
    joints = {"top": np.array([3.0, 1.0]), "bottom": np.array([0.0, 2.0])}
    covariance = glue_covariance(joints) / likely_mm() ** 2
    np.testing.assert_allclose(covariance, [[9.0, 3.0], [3.0, 5.0]])
    assert with_glue_cents([4.0 * likely_mm(), 2.0 * likely_mm()], joints) == pytest.approx(
        (5.0 * likely_mm(), 3.0 * likely_mm())
    )
    assert falls_cents(joints)["top"] == pytest.approx(joints["top"] * gives_mm(LEAST_SHARE))
