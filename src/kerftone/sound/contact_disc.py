"""What a contact disc answers to, and how much of it arrives, by the way it is mounted.

A contact disc is a thin plate of piezoelectric ceramic on one of brass. Its charge follows the strain of the ceramic
in its plane. Glued under a top it is not simply strained as bare wood would be: the wood under its rim gives way,
what lies between shears and is pressed, and the disc holds against both. So all that is stacked on the wood, pads,
glue, disc and what sits on its back, is one laminate whose sheets shear (`shares`). In each sheet the motion is taken
as an even strain and an even curvature, each along and across the grain, which change from sheet to sheet; the wood
below answers as a half-space. Where all sheets are stiff in shear this is the classical laminate; where one is soft,
what lies beyond is left to its own bending, in which the ceramic of a disc lies a fraction of a millimetre beside the
unstrained layer, and that of a disc between two like pads next to nothing.

Under a mass the disc answers besides to the mass's weight in motion.

Sizes and constants of discs are from memory and scatter between makes: only ratios of signals are told, in dB.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kerftone.wood.elastic import Elastic

Array = NDArray[np.floating[Any]]

CERAMIC_SHARE = 20.0 / 27.0
"""The ceramic's diameter over the brass's: from memory, a common disc of 27 mm has 20 mm of it."""
D31_PC_N, D33_PC_N = -171.0, 374.0
"""Charge of a soft lead zirconate titanate (PZT-5A) for a pull in its plane and through its thickness, pC/N:
Berlincourt's figures, from memory."""
SHEET_MM = 0.5
"""Thicker layers are cut into sheets of this at the most: halving it moves no share by a hundredth of itself."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer of what is stacked on the wood: its thickness and what it is made of, its grain along the wood's."""

    thick_mm: float
    elastic: Elastic


@dataclass(frozen=True, kw_only=True)
class Mounting:
    """One way to fix a disc: the layers between wood and disc, those on its back (as wide as its ceramic), how deep a
    pocket in the wood it lies in, and what mass is on its back."""

    name: str
    layers: tuple[Layer, ...]
    behind: tuple[Layer, ...] = ()
    pocket_mm: float = 0.0
    mass_g: float = 0.0


def even(gpa: float, nu: float) -> Elastic:
    """A body alike in all directions, by its Young's modulus and Poisson's ratio; its density is not asked for."""
    shear = gpa / (2.0 * (1.0 + nu))
    return Elastic(
        e_l_gpa=gpa, e_r_gpa=gpa, e_t_gpa=gpa, g_lr_gpa=shear, g_lt_gpa=shear, g_rt_gpa=shear,
        nu_lr=nu, nu_lt=nu, nu_rt=nu, density_kg_m3=1.0,
    )  # fmt: skip


BRASS = Layer(thick_mm=0.25, elastic=even(105.0, 0.34))
"""The disc's brass: thickness from memory, handbook values of brass, from memory."""
CERAMIC = Layer(thick_mm=0.25, elastic=even(61.0, 0.35))
"""Its ceramic: thickness from memory; PZT-5A, short-circuited, in its plane: Berlincourt's figures, from memory."""
GLUE = Layer(thick_mm=0.1, elastic=even(2.7, 0.35))
"""Set epoxy or superglue, some 3 GPa (from memory); thickness own judgement."""
TAPE = Layer(thick_mm=0.8, elastic=even(0.00135, 0.35))
"""Double-sided foam tape: own judgement, of the order that makers of such tapes print."""
SOFT_PAD = Layer(thick_mm=3.0, elastic=even(0.00081, 0.35))
"""Felt, cork or rubber of a hand's softness: own judgement."""
PAD_MM = 3.0
"""Of a pad of wood: own judgement."""
MASS_G = 50.0
"""Of a piece of brass on the disc's back: own judgement."""
MASS = Layer(thick_mm=18.0, elastic=BRASS.elastic)
"""That piece, as wide as the ceramic of a common disc: 50 g of 8.5 g/cm³ on 20 mm."""
POCKET_MM = 2.0
"""Of a pocket for the disc, where the drum file asks for none: own judgement."""
POCKET_POWER = 2.5
"""How the wood left under a pocket bends more: with the inverse thickness to this power. A groove all across it would
do so with the third; fitted to the finite elements of the test."""


def mountings(wood: Elastic, pocket_mm: float = 0.0) -> tuple[Mounting, ...]:
    """The ways to mount a disc that are compared: first the drum's own, glued flat or in a pocket, then others.

    Parameters
    ----------
    wood : Elastic
        Of the part: pads of wood are of the same, their grain along its.
    pocket_mm : float, optional
        How deep the drum's own pocket is, in mm; 0 without one.
    """
    pad = Layer(thick_mm=PAD_MM, elastic=wood)
    flat = Mounting(name="glued flat", layers=(GLUE,))
    pocket = Mounting(name="glued in a pocket", layers=(GLUE,), pocket_mm=pocket_mm or POCKET_MM)
    return (
        *((pocket, flat) if pocket_mm else (flat, pocket)),
        Mounting(name="with 50 g glued on its back", layers=(GLUE,), behind=(GLUE, MASS), mass_g=MASS_G),
        Mounting(name="on foam tape", layers=(TAPE,)),
        Mounting(name="glued between pads of wood", layers=(GLUE, pad, GLUE), behind=(GLUE, pad)),
        Mounting(name="between soft pads", layers=(SOFT_PAD,), behind=(SOFT_PAD,)),
    )


def wood_spring(modulus_gpa: float, radius_m: float) -> float:
    """How deep wood holds against a disc that keeps its face from being strained, one way, N m: twice the energy is
    e K e.

    modulus_gpa: E / (1 - nu²) as a half-space answers to shear on its face. The shear is as r / sqrt(a² - r²), which
    moves the face in proportion to r, as for a twisted disc (Johnson, Contact Mechanics, from memory): held by a test
    that sums up point forces. Half the energy of a strain both ways is taken for one way.
    """
    return 4.0 / 3.0 * 1e9 * modulus_gpa * radius_m**3


def wood_bent_spring(modulus_gpa: float, radius_m: float) -> float:
    """How deep wood holds against a disc that keeps its face from being curved, one way, N m³: twice the energy is
    k K k.

    modulus_gpa: the same for pressure on its face. A face pressed into w = k r²/2, with no force in all, has the
    energy E* k² a⁵ 4/45 (from Sneddon's solution for a punch, International Journal of Engineering Science 1965, from
    memory): held by a test that solves for the pressure. Half of it is taken for one way.
    """
    return 4.0 / 45.0 * 1e9 * modulus_gpa * radius_m**5


def surface_modulus_gpa(along: float, through: float, shear: float, nu_along_through: float) -> float:
    """What modulus an even half-space would have that gives way as this wood does to shear along its face, in GPa.

    For a half-plane of an orthotropic body the face's strain is as s11 sqrt(2 sqrt(s33/s11) + (2 s13 + s55)/s11),
    for an isotropic one as 2 / E (Lekhnitskii, from memory). With along and through in each other's place it is that
    for pressure.

    Parameters
    ----------
    along : float
        Young's modulus along the pull, in GPa.
    through : float
        Into the depth, in GPa.
    shear : float
        Of the plane of both, in GPa.
    nu_along_through : float
        How much it thins in depth when pulled along.
    """
    s11, s33, s13, s55 = 1.0 / along, 1.0 / through, -nu_along_through / along, 1.0 / shear
    return 2.0 / (s11 * math.sqrt(2.0 * math.sqrt(s33 / s11) + (2.0 * s13 + s55) / s11))


def ground(wood: Elastic, cut: str, radius_m: float) -> Array:
    """How the wood under a disc holds against strain along, across, and curvature along, across: (4, 4), SI.

    Parameters
    ----------
    wood : Elastic
        Of the part.
    cut : str
        "flatsawn" or "quartersawn": which way the rings lie.
    radius_m : float
        Of the disc, in m.
    """
    flat = cut == "flatsawn"
    width, depth = (wood.e_t_gpa, wood.e_r_gpa) if flat else (wood.e_r_gpa, wood.e_t_gpa)
    shear, thins = (wood.g_lr_gpa, wood.nu_lr) if flat else (wood.g_lt_gpa, wood.nu_lt)
    narrows = wood.nu_rt * wood.e_t_gpa / wood.e_r_gpa if flat else wood.nu_rt
    ways = ((wood.e_l_gpa, shear, thins), (width, wood.g_rt_gpa, narrows))
    strained = [wood_spring(surface_modulus_gpa(e, depth, g, nu), radius_m) for e, g, nu in ways]
    curved = [
        wood_bent_spring(surface_modulus_gpa(depth, e, g, nu * depth / e), radius_m) for e, g, nu in ways
    ]
    return np.diag([*strained, *curved])


def sheet_spring(layer: Layer, cut: str, radius_m: float) -> Array:
    """How a sheet holds against its lower face's strain (2) and curvature (2), and its upper face's, (8, 8), SI.

    It is stretched in its plane, sheared where its faces differ in strain otherwise than its curvature has them, and
    pressed where they differ in curvature.

    Parameters
    ----------
    layer : Layer
        One thin layer.
    cut : str
        As of the wood.
    radius_m : float
        Of the sheet, in m.
    """
    x, y, z = (0, 2, 1) if cut == "flatsawn" else (0, 1, 2)
    give = layer.elastic.compliance()
    plane = 1e9 * np.linalg.inv(give[np.ix_([x, y], [x, y])])
    # LL, RR, TT, RT, LT, LR: shear of two directions stands at 6 less their numbers' sum
    shears = 1e9 / np.array([give[6 - x - z, 6 - x - z], give[6 - y - z, 6 - y - z]])
    pressed = 1e9 * layer.elastic.stiffness()[z, z]
    thick, one, none = 1e-3 * layer.thick_mm, np.eye(2), np.zeros((2, 2))
    stretch = math.pi * radius_m**2 * thick / 6.0 * plane
    held = np.zeros((8, 8))
    for low, high, part in ((0, 0, 2.0), (0, 4, 1.0), (4, 0, 1.0), (4, 4, 2.0)):
        held[low : low + 2, high : high + 2] = part * stretch
    sheared = np.hstack([-one / thick, -0.5 * one, one / thick, -0.5 * one])
    held += math.pi * radius_m**4 / 4.0 * thick * sheared.T @ np.diag(shears) @ sheared
    bent = np.hstack([none, -one, none, one])
    return np.asarray(held + math.pi * radius_m**6 / 96.0 * pressed / thick * bent.T @ bent)


def shares(
    mounting: Mounting, wood: Elastic, *, cut: str, thick_mm: float, disc_mm: float
) -> tuple[float, float]:
    """How much of the bare face's strain along, and of that across the grain, the ceramic's area is strained by.

    With no more than the bare wood's strain both were 1. Held by tests/sound/test_contact_disc.py against finite
    elements, classical laminates and Timoshenko's two strips.

    Parameters
    ----------
    mounting : Mounting
        How the disc is fixed.
    wood : Elastic
        Of the part it is fixed to.
    cut : str
        "flatsawn" or "quartersawn": which way the rings lie.
    thick_mm : float
        How thick the part is, in mm.
    disc_mm : float
        The disc's diameter, in mm.
    """
    radius = 0.5e-3 * disc_mm
    below = _sheets(mounting.layers)
    sheets = [*below, BRASS, CERAMIC, *_sheets(mounting.behind)]
    held = np.zeros((4 * len(sheets) + 4,) * 2)
    held[:4, :4] = under = ground(wood, cut, radius)
    for at, sheet in enumerate(sheets):
        wide = radius if at <= len(below) else CERAMIC_SHARE * radius
        held[4 * at : 4 * at + 8, 4 * at : 4 * at + 8] += sheet_spring(sheet, cut, wide)
    bare = np.vstack([np.eye(2), np.eye(2) / (0.5e-3 * thick_mm)]) * _at_floor(mounting, thick_mm)
    pulled = np.zeros((len(held), 2))
    pulled[:4] = under @ bare
    moved = np.linalg.solve(held, pulled)
    first = 4 * (len(below) + 1)
    strained = 0.5 * (moved[first : first + 2] + moved[first + 4 : first + 6]).sum(axis=0)
    return float(strained[0]), float(strained[1])


def _sheets(layers: tuple[Layer, ...]) -> list[Layer]:
    """The layers, the thick ones cut into sheets."""
    found = []
    for layer in layers:
        count = math.ceil(layer.thick_mm / SHEET_MM)
        found += [replace(layer, thick_mm=layer.thick_mm / count)] * count
    return found


def _at_floor(mounting: Mounting, thick_mm: float) -> float:
    """How much of the bare face's strain the floor of the mounting's pocket has."""
    left = 1.0 - mounting.pocket_mm / thick_mm
    return (2.0 * left - 1.0) / math.pow(left, POCKET_POWER)


def charges(
    mounting: Mounting,
    disc_mm: float,
    *,
    share: tuple[float, float],
    strain: Array,
    lift: Array,
    hz: Array,
) -> Array:
    """The charge of each mode for a modal displacement of 1, nC: from the wood's strain and a mass's weight in
    motion.

    Parameters
    ----------
    mounting : Mounting
        How the disc is fixed.
    disc_mm : float
        Its diameter, in mm.
    share : tuple[float, float]
        From `shares`.
    strain : Array
        The bare face's mean strain under the disc along and across, (n, 2), per metre of modal displacement.
    lift : Array
        How far the disc's middle moves off its face, (n,).
    hz : Array
        Of the modes, (n,).
    """
    area = math.pi * (0.5e-3 * disc_mm * CERAMIC_SHARE) ** 2
    held = 1e9 * CERAMIC.elastic.e_l_gpa / (1.0 - CERAMIC.elastic.nu_lr)
    strained = D31_PC_N * 1e-12 * held * area * (strain @ np.array(share))
    pressed = D33_PC_N * 1e-12 * 1e-3 * mounting.mass_g * (2.0 * math.pi * hz) ** 2 * lift
    return np.asarray(1e9 * (strained + pressed))


def passed(hz: Array, corner_hz: float) -> Array:
    """How much of a charge's voltage a load leaves: a resistor across a capacitor passes what is above the corner."""
    return np.asarray(1.0 / np.sqrt(1.0 + (corner_hz / np.asarray(hz)) ** 2))
