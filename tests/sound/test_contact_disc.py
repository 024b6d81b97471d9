"""How much of the wood's strain a contact disc has, by its mounting."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ellipk

from kerftone.sound.contact_disc import (
    BRASS,
    CERAMIC,
    CERAMIC_SHARE,
    GLUE,
    SHEET_MM,
    Layer,
    Mounting,
    charges,
    even,
    mountings,
    passed,
    shares,
    sheet_spring,
    surface_modulus_gpa,
    wood_bent_spring,
    wood_spring,
)
from kerftone.wood import species_table
from kerftone.wood.elastic import Elastic

CHERRY = species_table()["cherry, black"].elastic()
KINDS = {mounting.name: mounting for mounting in mountings(CHERRY)}
FLAT = KINDS["glued flat"]
RADIUS = 0.0135
STONE = Elastic(
    **{name: (value * 1e6 if name.endswith("gpa") else value) for name, value in vars(CHERRY).items()}
)

# Finite elements (benchmarks/contact_disc.py: prisms of order 2, disc, layers and a block of cherry in pure bending):
# the ceramic's strain along plus across for the block's bent along, and bent across, its face strained by 1. The
# pocket is 3 mm deep in 16 and 2 in 10.
POCKET, WEIGHT, PADS = "glued in a pocket", "with 50 g glued on its back", "glued between pads of wood"
BY_ELEMENTS = {
    ("flatsawn", 16.0, 27.0): {
        "glued flat": (0.26517, 0.08868),
        POCKET: (0.30756, 0.08490),
        WEIGHT: (0.14245, 0.02910),
        "on foam tape": (0.00532, 0.00891),
        PADS: (0.03354, 0.03546),
        "between soft pads": (0.00081, 0.00136),
    },
    ("flatsawn", 10.0, 20.0): {"glued flat": (0.21183, 0.07080), POCKET: (0.24232, 0.06852)},
    ("quartersawn", 16.0, 27.0): {"glued flat": (0.2357, 0.1189), "on foam tape": (0.0056, 0.0085)},
}
HOLDS_DB, AGAINST_FLAT_DB = 3.2, 2.2


def _off_db(case: tuple[str, float, float], mounting: Mounting, known: tuple[float, float]) -> np.ndarray:
    """How much louder than the finite elements, block bent along and across, in dB."""
    cut, thick, disc = case
    nu_along, e_width = (
        (CHERRY.nu_lt, CHERRY.e_t_gpa) if cut == "flatsawn" else (CHERRY.nu_lr, CHERRY.e_r_gpa)
    )
    nu_across = nu_along * e_width / CHERRY.e_l_gpa
    deep = replace(mounting, pocket_mm=3.0 if thick > 12.0 else 2.0) if mounting.pocket_mm else mounting
    share = np.array(shares(deep, CHERRY, cut=cut, thick_mm=thick, disc_mm=disc))
    return 20.0 * np.log10(np.array([share @ (1.0, -nu_along), share @ (-nu_across, 1.0)]) / np.array(known))


@pytest.mark.outside
@pytest.mark.parametrize("case", BY_ELEMENTS)
def test_the_laminate_is_near_finite_elements(case: tuple[str, float, float]) -> None:
    flat = _off_db(case, FLAT, BY_ELEMENTS[case]["glued flat"])
    for name, known in BY_ELEMENTS[case].items():
        off = _off_db(case, KINDS[name], known)
        assert (abs(off) < HOLDS_DB).all(), (name, off)
        assert (abs(off - flat) < AGAINST_FLAT_DB).all(), (name, off - flat)


@pytest.mark.outside
def test_where_pads_all_but_silence_a_disc_so_does_the_laminate() -> None:
    """A small disc on a thin part: bent along the grain, stretch and counter-bending nearly cancel in the ceramic.
    The laminate is 10 dB too loud there, both more than 23 dB under a disc that is glued flat."""
    case = ("flatsawn", 10.0, 20.0)
    known, flat = np.array([0.00450, 0.02512]), np.array(BY_ELEMENTS[case]["glued flat"])
    along, across = _off_db(case, KINDS[PADS], (known[0], known[1]))
    assert abs(across) < HOLDS_DB and 8.0 < along < 11.0
    assert known[0] * 10.0 ** (along / 20.0) < 0.07 * flat[0]


def test_without_its_pad_on_the_back_the_laminate_would_be_found_out() -> None:
    case = ("flatsawn", 16.0, 27.0)
    half = replace(KINDS[PADS], behind=())
    assert _off_db(case, half, BY_ELEMENTS[case][PADS])[0] > HOLDS_DB


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


@pytest.mark.outside
def test_the_wood_under_a_curved_disc_gives_as_pressure_on_a_half_space_does() -> None:
    """Rings of pressure, each pressing the face by 4 q s K(m) ds / (pi E* (r + s)) (Johnson, Contact Mechanics, from
    memory), so that they press it into k r²/2 with no force in all."""
    modulus, a, count = 1.0, 1.0, 300
    turns = (np.arange(count) + 0.5) / count * math.pi / 2.0
    s, wide = a * np.sin(turns), a * np.cos(turns) * math.pi / 2.0 / count
    r = a * np.sin(np.arange(1, count) / count * math.pi / 2.0)
    reach = r[:, None] + s
    kernel = 4.0 * s * wide * ellipk(4.0 * r[:, None] * s / reach**2) / (math.pi * modulus * reach)
    basis = np.array([np.ones(count), s**2]) / np.sqrt(a**2 - s**2)
    force = basis @ (2.0 * math.pi * s * wide)
    pressed = kernel @ basis.T
    # two pressures and the depth of the whole: w = A u0 + B u1, with a force of nothing, curved by 1
    shape = pressed[:, 1] - pressed[:, 0] * force[1] / force[0]
    curve, _ = np.polyfit(0.5 * r**2, shape, 1)
    assert shape == pytest.approx(
        np.polyval(np.polyfit(0.5 * r**2, shape, 1), 0.5 * r**2), abs=0.01 * abs(curve)
    )
    pressure = (basis[1] - basis[0] * force[1] / force[0]) / curve
    twice = float(np.sum(pressure * 0.5 * s**2 * 2.0 * math.pi * s * wide))
    assert 2.0 * wood_bent_spring(1e-9 * modulus, a) == pytest.approx(twice, rel=0.02)


def test_an_isotropic_face_has_its_own_modulus_and_cross_ply_gives_more() -> None:
    assert surface_modulus_gpa(5.0, 5.0, 5.0 / 2.6, 0.3) == pytest.approx(5.0, rel=1e-12)
    assert surface_modulus_gpa(5.0, 1.0, 0.5, 0.3) < 5.0


def _free(sheets: list[tuple[Layer, float]]) -> np.ndarray:
    """How a stack of sheets in no one's hold answers to strains and curvatures of its lowest face, (n, n)."""
    held = np.zeros((4 * len(sheets) + 4,) * 2)
    for at, (sheet, radius) in enumerate(sheets):
        held[4 * at : 4 * at + 8, 4 * at : 4 * at + 8] += sheet_spring(sheet, "quartersawn", radius)
    return held


@pytest.mark.outside
def test_two_strips_that_swell_apart_curve_as_timoshenko_says() -> None:
    """Timoshenko, Analysis of Bi-Metal Thermostats, 1925: 1/rho = 6 s (1 + m)² / (h (3 (1 + m)² + (1 + m n)
    (m² + 1 / (m n)))), m and n the ratios of thickness and of stiffness, s the strain by which one swells more."""
    low, high = Layer(thick_mm=0.25, elastic=even(105.0, 0.0)), Layer(thick_mm=0.4, elastic=even(61.0, 0.0))
    held = _free([(low, RADIUS), (high, RADIUS)])
    plane = math.pi * RADIUS**2 * 1e9 * 61.0 * 0.4e-3
    pull = np.zeros(12)
    pull[[4, 5, 8, 9]] = 0.5 * plane  # the upper strip would be 1 longer both ways
    moved = np.linalg.lstsq(held, pull, rcond=None)[0]
    m, n, thick = 0.25 / 0.4, 105.0 / 61.0, 0.65e-3
    known = 6.0 * (1.0 + m) ** 2 / (thick * (3.0 * (1.0 + m) ** 2 + (1.0 + m * n) * (m**2 + 1.0 / (m * n))))
    assert moved[[2, 3, 10, 11]] == pytest.approx(known, rel=0.01)
    assert moved[2] != pytest.approx(known * 1.05, rel=0.01)


@pytest.mark.outside
def test_on_stone_through_stiff_glue_the_ceramic_is_strained_as_a_classical_laminate_there() -> None:
    """Plane sections stay plane: strain grows with the distance from the part's middle (Jones, Mechanics of Composite
    Materials, from memory)."""
    stiff = dict.fromkeys(("e_t_gpa", "g_lr_gpa", "g_lt_gpa", "g_rt_gpa"), 1e7)
    spacer = Elastic(**vars(even(1.0, 0.0)) | stiff)  # holds its thickness and its angles, but not its length
    tight = Mounting(name="tight", layers=(Layer(thick_mm=2.0, elastic=spacer),))
    thick = 16.0
    along, across = shares(tight, STONE, cut="quartersawn", thick_mm=thick, disc_mm=27.0)
    height = 2.0 + BRASS.thick_mm + 0.5 * CERAMIC.thick_mm
    known = (0.5 * thick + height) / (0.5 * thick)
    assert along == pytest.approx(known, rel=0.01) and across == pytest.approx(known, rel=0.01)


@pytest.mark.outside
def test_a_soft_layer_lets_through_what_shear_lag_says() -> None:
    """An even disc on a layer that only shears, on ground that is strained: r² u'' + r u' - u = (g r)² (u - r), free
    at its rim, so its mean strain is 1 - 2 I1(ga) ... by numbers: Volkersen's shear lag in the round."""
    shear, thick, radius = 2e5, 0.8e-3, RADIUS
    stiff = 1e9 * sum(
        one.elastic.e_l_gpa / (1.0 - one.elastic.nu_lr**2) * 1e-3 * one.thick_mm for one in (BRASS,)
    )
    g = math.sqrt(shear / (thick * stiff))
    nu, count = BRASS.elastic.nu_lr, 2000
    r = np.linspace(0.0, radius, count + 1)
    step = r[1]
    rows = np.zeros((3, count + 1))  # a band of three
    right = np.zeros(count + 1)
    rows[1, 0] = 1.0
    inner = r[1:-1]
    rows[0, 2:] = inner**2 / step**2 + inner / (2.0 * step)
    rows[1, 1:-1] = -2.0 * inner**2 / step**2 - 1.0 - (g * inner) ** 2
    rows[2, :-2] = inner**2 / step**2 - inner / (2.0 * step)
    right[1:-1] = -(g**2) * inner**3
    rows[1, -1], rows[2, -2] = 1.0 / step + nu / radius, -1.0 / step
    from scipy.linalg import solve_banded

    known = 2.0 * solve_banded((1, 1), rows, right)[-1] / radius  # the area's strain: of its rim
    soft = Layer(thick_mm=1e3 * thick, elastic=even(1e-9 * shear * 2.6, 0.3))
    held = _free([(soft, radius), (BRASS, radius)])
    flat = [0, 1, 4, 5, 8, 9]  # held flat, so that nothing bends
    known_below, free = flat[:2], flat[2:]
    moved = np.linalg.solve(held[np.ix_(free, free)], -held[np.ix_(free, known_below)] @ np.ones(2))
    found = moved[[0, 2]].mean() + moved[[1, 3]].mean()
    assert found == pytest.approx(known, rel=0.05)


def test_halving_the_sheets_moves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    for mounting in KINDS.values():
        before = shares(mounting, CHERRY, cut="flatsawn", thick_mm=16.0, disc_mm=27.0)
        monkeypatch.setattr("kerftone.sound.contact_disc.SHEET_MM", 0.5 * SHEET_MM)
        after = shares(mounting, CHERRY, cut="flatsawn", thick_mm=16.0, disc_mm=27.0)
        monkeypatch.undo()
        assert after == pytest.approx(before, rel=0.01), mounting.name


def test_the_softer_the_layer_the_less_arrives() -> None:
    def along(gpa: float) -> float:
        soft = Mounting(name="one", layers=(Layer(thick_mm=1.0, elastic=even(gpa, 0.35)),))
        return shares(soft, CHERRY, cut="flatsawn", thick_mm=16.0, disc_mm=27.0)[0]

    found = [along(gpa) for gpa in (1e-9, 1e-4, 1e-2, 1.0)]
    assert found == sorted(found) and found[0] < 1e-6


def test_a_pad_on_its_back_takes_from_a_disc_what_its_own_bending_gave() -> None:
    def along(behind: tuple[Layer, ...]) -> float:
        pad = Layer(thick_mm=3.0, elastic=even(0.01, 0.35))
        stack = Mounting(name="one", layers=(pad,), behind=behind)
        return shares(stack, CHERRY, cut="flatsawn", thick_mm=16.0, disc_mm=27.0)[0]

    stiff = Layer(thick_mm=0.25 / CERAMIC_SHARE**2, elastic=even(105.0, 0.34))
    assert along((GLUE, stiff)) < 0.3 * along(())


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
