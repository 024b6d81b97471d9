"""How much of the wood's strain a contact disc has, by its mounting."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from kerftone.sound.contact_disc import (
    GLUE,
    Layer,
    Mounting,
    charges,
    disc_spring,
    layer_spring,
    mountings,
    passed,
    shares,
    surface_modulus_gpa,
    wood_spring,
)
from kerftone.wood import species_table
from kerftone.wood.elastic import Elastic

CHERRY = species_table()["cherry, black"].elastic()
FLAT = mountings(CHERRY)[0]

# Finite elements (benchmarks/contact_disc.py: prisms of order 2, disc, layers and a block of cherry in pure bending):
# the ceramic's strain along plus across for the block's bent along, and bent across, its face strained by 1.
BY_ELEMENTS = {
    ("flatsawn", 16.0, 27.0): {
        "glued flat": (0.2651, 0.0886),
        "on foam tape": (0.0053, 0.0089),
        "between pads of wood": (0.0538, 0.0375),
        "between soft pads": (0.0008, 0.0014),
    },
    ("flatsawn", 10.0, 20.0): {"glued flat": (0.2119, 0.0708), "on foam tape": (0.0040, 0.0066)},
    ("quartersawn", 16.0, 27.0): {"glued flat": (0.2357, 0.1188), "on foam tape": (0.0057, 0.0085)},
}
HOLDS_DB = {"glued flat": 2.0, "on foam tape": 2.0, "between pads of wood": 4.0, "between soft pads": 4.0}


@pytest.mark.outside
@pytest.mark.parametrize("case", BY_ELEMENTS)
def test_the_springs_in_a_row_are_near_finite_elements(case: tuple[str, float, float]) -> None:
    cut, thick, disc = case
    nu_along, e_width = (
        (CHERRY.nu_lt, CHERRY.e_t_gpa) if cut == "flatsawn" else (CHERRY.nu_lr, CHERRY.e_r_gpa)
    )
    nu_across = nu_along * e_width / CHERRY.e_l_gpa
    kinds = {mounting.name: mounting for mounting in mountings(CHERRY)}
    for name, known in BY_ELEMENTS[case].items():
        share = np.array(shares(kinds[name], CHERRY, cut=cut, thick_mm=thick, disc_mm=disc))
        for found, expected in zip((share @ (1.0, -nu_along), share @ (-nu_across, 1.0)), known, strict=True):
            assert abs(20.0 * math.log10(found / expected)) < HOLDS_DB[name], (name, found, expected)


@pytest.mark.outside
def test_the_wood_under_a_disc_gives_as_point_forces_on_a_half_space_do() -> None:
    """Cerruti's displacement under a tangential point force (Johnson, Contact Mechanics, from memory), summed up."""
    e, nu, a, at = 1.0, 0.3, 1.0, 0.4
    phi, wide = (np.arange(400) + 0.5) * math.pi / 400, math.pi / 400
    moved = 0.0
    for angle, reach in zip(phi, -at * np.cos(phi) + np.sqrt(a**2 - (at * np.sin(phi)) ** 2), strict=True):
        # along this ray from the point to the rim, twice for the mirrored one; substitution takes out the rim's root
        t = (np.arange(4000) + 0.5) / 4000
        rho, step = reach * (1.0 - (1.0 - t) ** 2), reach * 2.0 * (1.0 - t) / 4000
        x, y = at + rho * math.cos(angle), rho * math.sin(angle)
        root = np.sqrt(np.maximum(a**2 - x**2 - y**2, 1e-15))
        qx, qy = x / root, y / root
        cos, sin = math.cos(angle), math.sin(angle)
        ux = (1.0 + nu) / (math.pi * e) * ((1.0 - nu + nu * cos**2) * qx + nu * cos * sin * qy)
        moved += 2.0 * float(np.sum(ux * step)) * wide
    # An even strain of both ways by 1 moves this point by `at`, with a shear of 2 E / (pi (1 - nu²)) r / root, whose
    # work on the strain is 4 E a³ / (3 (1 - nu²)), half of the two springs together.
    shear = at / moved
    work = shear * math.pi * 2.0 / 3.0 * a**3
    both = 2.0 * wood_spring(1e-9 * e / (1.0 - nu**2), a)
    assert both == pytest.approx(2.0 * work, rel=0.02)


def test_an_isotropic_face_has_its_own_modulus_and_cross_ply_gives_more() -> None:
    assert surface_modulus_gpa(5.0, 5.0, 5.0 / 2.6, 0.3) == pytest.approx(5.0, rel=1e-12)
    assert surface_modulus_gpa(5.0, 1.0, 0.5, 0.3) < 5.0


def test_the_softer_the_layer_the_less_arrives_down_to_what_bending_alone_leaves() -> None:
    def along(shear_gpa: float) -> float:
        soft = Mounting(name="one", layers=(Layer(shear_gpa=shear_gpa, thick_mm=1.0),))
        return shares(soft, CHERRY, cut="flatsawn", thick_mm=16.0, disc_mm=27.0)[0]

    found = [along(shear) for shear in (1e-9, 1e-4, 1e-2, 1.0, 1e6)]
    assert found == sorted(found) and found[0] < 1e-6
    # held by nothing but the wood itself: the two springs alone, and its own bending
    radius = 0.0135
    wood = np.diag(
        [
            wood_spring(
                surface_modulus_gpa(CHERRY.e_l_gpa, CHERRY.e_r_gpa, CHERRY.g_lr_gpa, CHERRY.nu_lr), radius
            ),
            wood_spring(
                surface_modulus_gpa(
                    CHERRY.e_t_gpa,
                    CHERRY.e_r_gpa,
                    CHERRY.g_rt_gpa,
                    CHERRY.nu_rt * CHERRY.e_t_gpa / CHERRY.e_r_gpa,
                ),
                radius,
            ),
        ]
    )
    bare = np.linalg.solve(disc_spring(radius) + wood, wood).sum(axis=0)[0]
    assert bare < found[-1] < bare + 0.03


def test_stiff_wood_strains_the_disc_wholly_and_a_thin_layer_is_a_stiff_spring() -> None:
    stone = Elastic(
        **{name: (value * 1e5 if name.endswith("gpa") else value) for name, value in vars(CHERRY).items()}
    )
    tight = Mounting(name="tight", layers=(Layer(shear_gpa=1e6, thick_mm=0.01),))
    along, across = shares(tight, stone, cut="flatsawn", thick_mm=1000.0, disc_mm=27.0)
    assert along == pytest.approx(1.0, abs=0.01) and across == pytest.approx(1.0, abs=0.01)
    assert layer_spring(replace(GLUE, thick_mm=0.05), 0.01) == pytest.approx(2.0 * layer_spring(GLUE, 0.01))


def test_a_weight_on_the_back_adds_its_push_and_more_so_the_higher() -> None:
    strain, lift, hz = np.zeros((2, 2)), np.ones(2), np.array([100.0, 200.0])
    heavy = replace(FLAT, mass_g=50.0)
    low, high = charges(heavy, 27.0, share=(0.3, 0.1), strain=strain, lift=lift, hz=hz)
    # 374 pC/N x 0.05 kg x (2 pi 100)² per metre: 7.38 uC
    assert low == pytest.approx(374e-12 * 0.05 * (2.0 * math.pi * 100.0) ** 2 * 1e9, rel=1e-12)
    assert high == pytest.approx(4.0 * low)
    assert charges(FLAT, 27.0, share=(0.3, 0.1), strain=strain, lift=lift, hz=hz) == pytest.approx([0.0, 0.0])


def test_the_load_takes_three_decibels_at_its_corner() -> None:
    assert 20.0 * np.log10(passed(np.array([20.0, 2000.0]), 20.0)) == pytest.approx([-3.0103, 0.0], abs=1e-3)
