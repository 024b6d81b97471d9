"""Laws that the stiffness of turned wood obeys."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest

from kerftone.modal.mechanics import PAIRS, flat_axes, stiffness, wall_axes
from kerftone.modal.plain_board import Bricks, board_space
from kerftone.modal.space import Mass
from kerftone.wood import find_species
from kerftone.wood.elastic import Elastic

GPA = 1e9
QUARTERSAWN = flat_axes("quartersawn")


def any_turn(seed: int) -> Any:
    """A proper rotation about no particular axis."""
    turn, _ = np.linalg.qr(np.random.default_rng(seed).standard_normal((3, 3)))
    return turn * np.sign(np.linalg.det(turn))


def tensor(matrix: Any) -> Any:
    """The 81 components that a 6 by 6 matrix of engineering constants stands for."""
    full = np.zeros((3, 3, 3, 3))
    for (p, (i, j)), (q, (k, m)) in itertools.product(enumerate(PAIRS), repeat=2):
        for a, b in {(i, j), (j, i)}:
            for c, d in {(k, m), (m, k)}:
                full[a, b, c, d] = matrix[p, q]
    return full


@pytest.mark.parametrize("seed", range(3))
def test_what_is_alike_in_every_direction_stays_so_however_it_is_turned(steel: Elastic, seed: int) -> None:
    still = stiffness(steel, np.eye(3))
    np.testing.assert_allclose(stiffness(steel, any_turn(seed)), still, atol=1e-12 * still.max())


@pytest.mark.parametrize("seed", range(3))
def test_turned_stiffness_obeys_the_law_of_tensors(cherry: Elastic, seed: int) -> None:
    axes = any_turn(seed)
    at_rest = tensor(cherry.stiffness() * GPA)
    turned = np.einsum("pi,qj,rk,sm,pqrs->ijkm", axes, axes, axes, axes, at_rest, optimize=True)
    np.testing.assert_allclose(tensor(stiffness(cherry, axes)), turned, rtol=0, atol=1e-9 * at_rest.max())


def test_turning_stores_no_more_and_no_less_energy(cherry: Elastic) -> None:
    """In components whose squares add up (shear over the square root of 2), eigenvalues cannot change."""
    scale = np.array([1.0, 1.0, 1.0, *[math.sqrt(2.0)] * 3])
    still, turned = (
        np.linalg.eigvalsh(stiffness(cherry, axes) * np.outer(scale, scale))
        for axes in (np.eye(3), any_turn(7))
    )
    np.testing.assert_allclose(turned, still, rtol=1e-10)


def test_a_quarter_turn_of_the_grain_swaps_along_and_across(cherry: Elastic) -> None:
    swap = [1, 0, 2, 4, 3, 5]
    straight = stiffness(cherry, flat_axes("flatsawn"))
    across = stiffness(cherry, flat_axes("flatsawn", 90.0))
    np.testing.assert_allclose(across, straight[np.ix_(swap, swap)], atol=1e-9 * straight.max())


def test_half_a_turn_changes_nothing_and_opposite_slants_differ_in_sign_only(cherry: Elastic) -> None:
    straight = stiffness(cherry, flat_axes("flatsawn"))
    half = stiffness(cherry, flat_axes("flatsawn", 180.0))
    np.testing.assert_allclose(half, straight, atol=1e-9 * straight.max())
    left, right = (stiffness(cherry, flat_axes("flatsawn", angle)) for angle in (-20.0, 20.0))
    mirror = np.diag([1.0, 1.0, 1.0, -1.0, 1.0, -1.0])
    np.testing.assert_allclose(mirror @ left @ mirror, right, atol=1e-9 * straight.max())
    assert abs(right[0, 5]) > 0.1 * right[5, 5], "slanted grain must couple direct strain and shear"


@pytest.mark.parametrize(
    ("axes", "along"),
    [
        (flat_axes("flatsawn"), "LTR"),
        (flat_axes("quartersawn"), "LRT"),
        (flat_axes("flatsawn", 90.0), "TLR"),
        (wall_axes(0), "LRT"),
        (wall_axes(1), "RLT"),
    ],
    ids=["flatsawn", "quartersawn", "flatsawn, grain across", "front wall", "end wall"],
)
def test_constants_come_back_from_the_compliance_of_every_part(
    cherry: Elastic, axes: Any, along: str
) -> None:
    """`along` names the wood's axes that lie along x, y and z."""
    give = np.linalg.inv(stiffness(cherry, axes)) * GPA
    moduli = {"L": cherry.e_l_gpa, "R": cherry.e_r_gpa, "T": cherry.e_t_gpa}
    shear = {"LR": cherry.g_lr_gpa, "LT": cherry.g_lt_gpa, "RT": cherry.g_rt_gpa}
    ratio = {"LR": cherry.nu_lr, "LT": cherry.nu_lt, "RT": cherry.nu_rt}
    for place, name in enumerate(along):
        assert 1.0 / give[place, place] == pytest.approx(moduli[name])
    for place, (i, j) in zip((3, 4, 5), PAIRS[3:], strict=True):
        pair = "".join(sorted(along[i] + along[j]))
        assert 1.0 / give[place, place] == pytest.approx(shear[pair])
        pulled, other = (i, j) if along[i] == pair[0] else (j, i)
        assert -give[other, pulled] / give[pulled, pulled] == pytest.approx(ratio[pair])


@pytest.mark.outside
@pytest.mark.parametrize("angle", [15.0, 45.0, 70.0])
def test_wood_pulled_off_the_grain_follows_the_textbook(cherry: Elastic, angle: float) -> None:
    """Jones, Mechanics of Composite Materials, modulus off the axis of a lamina (from memory)."""
    give = np.linalg.inv(stiffness(cherry, flat_axes("quartersawn", angle))) * GPA
    c, s = math.cos(math.radians(angle)) ** 2, math.sin(math.radians(angle)) ** 2
    shear = 1.0 / cherry.g_lr_gpa - 2.0 * cherry.nu_lr / cherry.e_l_gpa
    expected = c * c / cherry.e_l_gpa + shear * s * c + s * s / cherry.e_r_gpa
    assert give[0, 0] == pytest.approx(expected)
    assert give[1, 1] == pytest.approx(s * s / cherry.e_l_gpa + shear * s * c + c * c / cherry.e_r_gpa)


def test_the_weak_form_stores_what_an_even_strain_stores(cherry: Elastic) -> None:
    """Even strains of all six kinds at once; the first derivatives of the field are known by hand."""
    size_mm = (100.0, 60.0, 20.0)
    axes = any_turn(3)
    space = board_space(size_mm=size_mm, elastic=cherry, axes=axes, bricks=Bricks(order=1, parts=(3, 2, 2)))
    gradient = np.array([[3.0, -1.0, 4.0], [1.0, 5.0, -9.0], [2.0, 6.0, 5.0]]) * 1e-3
    points = np.array([vertex.point for vertex in space.mesh.vertices])
    field = (points @ gradient.T).T.reshape(-1)
    stored = field @ applied(space.stiffness().mat, field)
    even = np.array([3.0, 5.0, 5.0, -9.0 + 6.0, 4.0 + 2.0, -1.0 + 1.0]) * 1e-3
    volume = math.prod(size_mm) * 1e-9
    assert stored == pytest.approx(volume * even @ stiffness(cherry, axes) @ even)


def test_slides_and_turns_of_a_free_board_strain_nothing(cherry: Elastic) -> None:
    space = board_space(
        size_mm=(300.0, 80.0, 16.0), elastic=cherry, axes=QUARTERSAWN, bricks=Bricks(order=3, parts=(4, 2, 1))
    )
    matrix = space.stiffness().mat
    slack = 1e-9 * max(abs(applied(matrix, np.eye(1, space.unknowns)[0])))
    for move in space.rigid():
        assert abs(applied(matrix, move)).max() < slack


def test_the_mass_of_a_board_is_its_volume_times_its_density(cherry: Elastic) -> None:
    size_mm = (300.0, 80.0, 16.0)
    space = board_space(size_mm=size_mm, elastic=cherry, axes=QUARTERSAWN, bricks=Bricks(order=2))
    mass = Mass(space.mass())
    for slide in space.rigid()[:3]:
        assert slide @ mass(slide) == pytest.approx(math.prod(size_mm) * 1e-9 * cherry.density_kg_m3)


def applied(matrix: Any, vector: Any) -> Any:
    """A sparse matrix of the model times a plain array."""
    into, out = matrix.CreateRowVector(), matrix.CreateColVector()
    into.FV().NumPy()[:] = vector
    out.data = matrix * into
    return np.array(out.FV().NumPy())


@pytest.mark.outside
@pytest.mark.parametrize("cut", ["flatsawn", "quartersawn"])
@pytest.mark.parametrize("dive", [3.0, 12.0, 45.0])
def test_diving_grain_is_as_stiff_along_as_the_turned_compliance_says(cut: Any, dive: float) -> None:
    # 1/E = c⁴/E_L + s⁴/E_N + s²c² (1/G_LN - 2 nu_LN/E_L), N through the board: any text on orthotropic elasticity.
    cherry = find_species("cherry, black").elastic()
    n, g, nu = (
        (cherry.e_r_gpa, cherry.g_lr_gpa, cherry.nu_lr)
        if cut == "flatsawn"
        else (cherry.e_t_gpa, cherry.g_lt_gpa, cherry.nu_lt)
    )
    c2, s2 = np.cos(np.radians(dive)) ** 2, np.sin(np.radians(dive)) ** 2
    wanted = c2**2 / cherry.e_l_gpa + s2**2 / n + s2 * c2 * (1.0 / g - 2.0 * nu / cherry.e_l_gpa)
    for sign in (1.0, -1.0):
        axes = flat_axes(cut, 0.0, sign * dive)
        assert axes @ axes.T == pytest.approx(np.eye(3)) and np.linalg.det(axes) == pytest.approx(
            np.linalg.det(flat_axes(cut))
        )
        assert np.linalg.inv(stiffness(cherry, axes) / GPA)[0, 0] == pytest.approx(wanted)


def test_grain_that_dives_rises_to_the_right_and_turns_with_the_board() -> None:
    assert flat_axes("flatsawn", 0.0, 30.0)[0] == pytest.approx([np.sqrt(0.75), 0.0, 0.5])
    assert flat_axes("flatsawn", 90.0, 30.0)[0] == pytest.approx([0.0, np.sqrt(0.75), 0.5])
