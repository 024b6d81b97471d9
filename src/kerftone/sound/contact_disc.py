"""What a contact disc answers to, and how much of it arrives, by the way it is mounted.

A contact disc is a thin plate of piezoelectric ceramic on one of brass. Its charge follows the strain of the ceramic
in its plane. Glued under a top it is not simply strained as bare wood would be: the wood under its rim gives way, the
layer between gives way, and the disc holds against both. Three springs in a row, each found for a strain that is even
under the disc: the disc's own (a plate pulled from its rim), the layer's (shear between two discs) and the wood's (a
disc held on a half-space). Two directions, along and across the grain, are taken each by itself.

Pressed or stuck to a curved face the disc is also bent by itself, whatever lies between: its ceramic lies beside the
disc's own unstrained layer, a fraction of a millimetre, where the wood's own face lies half its thickness away. That
is all that is left of a disc between soft pads. Under a mass it answers besides to the mass's weight in motion.

Sizes and constants of discs are from memory and scatter between makes: only ratios of signals are told, in dB.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kerftone.wood.elastic import Elastic

Array = NDArray[np.floating]

CERAMIC_SHARE = 20.0 / 27.0
"""The ceramic's diameter over the brass's: from memory, a common disc of 27 mm has 20 mm of it."""
BRASS_MM, CERAMIC_MM = 0.25, 0.25
"""How thick each is: from memory."""
BRASS_GPA, BRASS_NU = 105.0, 0.34
"""Brass: handbook values, from memory."""
CERAMIC_GPA, CERAMIC_NU = 61.0, 0.35
"""A soft lead zirconate titanate (PZT-5A), short-circuited, in its plane: Berlincourt's figures, from memory."""
D31_PC_N, D33_PC_N = -171.0, 374.0
"""The same ceramic's charge for a pull in its plane and through its thickness, pC/N: the same, from memory."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """What lies between the wood and the disc: its shear stiffness and its thickness."""

    shear_gpa: float
    thick_mm: float


@dataclass(frozen=True, kw_only=True)
class Mounting:
    """One way to fix a disc to the wood: the layers between, and what mass sits on its back."""

    name: str
    layers: tuple[Layer, ...]
    mass_g: float = 0.0


GLUE = Layer(shear_gpa=1.0, thick_mm=0.1)
"""Set epoxy or superglue: a third of its Young's modulus of some 3 GPa; thickness own judgement."""
TAPE = Layer(shear_gpa=0.0005, thick_mm=0.8)
"""Double-sided foam tape: own judgement, of the order that makers of such tapes print."""
SOFT_PAD = Layer(shear_gpa=0.0003, thick_mm=3.0)
"""Felt, cork or rubber of a hand's softness: own judgement."""
PRESSED_OVER_SHEARED = 4.0
"""How much stiffer a thin layer is when pressed than when sheared: 2 (1 - nu) / (1 - 2 nu) at a Poisson's ratio of
about a third, as its width lets it not spread; theory of elasticity."""
PAD_MM = 3.0
"""Of a pad of wood: own judgement."""
MASS_G = 50.0
"""Of a piece of brass or lead on the disc's back: own judgement."""


def mountings(wood: Elastic) -> tuple[Mounting, ...]:
    """The ways to mount a disc that are compared; pads of wood are of the top's own, their grain along its."""
    pad = Layer(shear_gpa=2.0 / (1.0 / wood.g_lt_gpa + 1.0 / wood.g_rt_gpa), thick_mm=PAD_MM)
    return (
        Mounting(name="glued flat", layers=(GLUE,)),
        Mounting(name="glued, with a weight on its back", layers=(GLUE,), mass_g=MASS_G),
        Mounting(name="on foam tape", layers=(TAPE,)),
        Mounting(name="between pads of wood", layers=(GLUE, pad, GLUE)),
        Mounting(name="between soft pads", layers=(SOFT_PAD,)),
    )


def disc_spring(radius_m: float) -> Array:
    """How the disc holds against an even strain in its plane, (2, 2), N m: twice the energy is e K e."""
    plates = ((BRASS_GPA, BRASS_NU, BRASS_MM), (CERAMIC_GPA, CERAMIC_NU, CERAMIC_MM))
    held = sum(
        1e6 * gpa * thick / (1.0 - nu**2) * np.array([[1.0, nu], [nu, 1.0]]) for gpa, nu, thick in plates
    )
    return np.asarray(math.pi * radius_m**2 * held)


def layer_spring(layer: Layer, radius_m: float) -> float:
    """The same, one way, of a layer sheared when what is on its one side is strained and the other not, N m."""
    return math.pi * 1e9 * layer.shear_gpa * radius_m**4 / (4.0 * 1e-3 * layer.thick_mm)


def wood_spring(modulus_gpa: float, radius_m: float) -> float:
    """The same, one way, of deep wood under a disc that keeps its face from being strained, N m.

    modulus_gpa: E / (1 - nu²) as a half-space answers to shear on its face. The shear is as r / sqrt(a² - r²), which
    moves the face in proportion to r, as for a twisted disc (Johnson, Contact Mechanics, from memory): held by a test
    that sums up point forces. Half the energy of a strain both ways is taken for one way.
    """
    return 4.0 / 3.0 * 1e9 * modulus_gpa * radius_m**3


def surface_modulus_gpa(along: float, through: float, shear: float, nu_along_through: float) -> float:
    """What modulus an even half-space would have that gives way as this wood does to shear along its face, in GPa.

    For a half-plane of an orthotropic body the face's strain is as s11 sqrt(2 sqrt(s33/s11) + (2 s13 + s55)/s11),
    for an isotropic one as 2 / E (Lekhnitskii, from memory).

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


def own_bending() -> tuple[float, float]:
    """How far the ceramic's middle lies from what the disc's own bending does not strain, mm; its stiffness, N m."""
    brass = BRASS_GPA * BRASS_MM / (1.0 - BRASS_NU)
    ceramic = CERAMIC_GPA * CERAMIC_MM / (1.0 - CERAMIC_NU)
    middles = 0.5 * BRASS_MM, BRASS_MM + 0.5 * CERAMIC_MM
    neutral = (brass * middles[0] + ceramic * middles[1]) / (brass + ceramic)
    stiff = sum(
        held * (thick**2 / 12.0 + (middle - neutral) ** 2)
        for held, thick, middle in zip((brass, ceramic), (BRASS_MM, CERAMIC_MM), middles, strict=True)
    )
    return middles[1] - neutral, stiff


def followed(mounting: Mounting, radius_m: float) -> float:
    """How far the disc is bent with the wood, 0 to 1: the layers press it into the curve, its own stiffness
    resists."""
    _, stiff = own_bending()
    softness = sum(
        1e-3 * one.thick_mm / (1e9 * PRESSED_OVER_SHEARED * one.shear_gpa) for one in mounting.layers
    )
    pressed = math.pi * radius_m**6 / (48.0 * softness)
    return pressed / (pressed + 2.0 * math.pi * radius_m**2 * stiff)


def shares(
    mounting: Mounting, wood: Elastic, *, cut: str, thick_mm: float, disc_mm: float
) -> tuple[float, float]:
    """How much of the bare face's strain along, and of that across the grain, the ceramic's area is strained by.

    With no more than the bare wood's strain both were 1. Held by tests/sound/test_contact_disc.py against finite
    elements, which it meets to some 2 dB.

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
    flat = cut == "flatsawn"
    width, depth = (wood.e_t_gpa, wood.e_r_gpa) if flat else (wood.e_r_gpa, wood.e_t_gpa)
    shear, thins = (wood.g_lr_gpa, wood.nu_lr) if flat else (wood.g_lt_gpa, wood.nu_lt)
    narrows = wood.nu_rt * wood.e_t_gpa / wood.e_r_gpa if flat else wood.nu_rt
    faces = (
        surface_modulus_gpa(wood.e_l_gpa, depth, shear, thins),
        surface_modulus_gpa(width, depth, wood.g_rt_gpa, narrows),
    )
    give = sum(1.0 / layer_spring(one, radius) for one in mounting.layers)
    held = np.diag([1.0 / (1.0 / wood_spring(face, radius) + give) for face in faces])
    strained = np.linalg.solve(disc_spring(radius) + held, held).sum(axis=0)
    offset, _ = own_bending()
    bent = followed(mounting, radius) * offset / (0.5 * thick_mm)
    return float(strained[0] + bent), float(strained[1] + bent)


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
    strained = D31_PC_N * 1e-12 * 1e9 * CERAMIC_GPA / (1.0 - CERAMIC_NU) * area * (strain @ np.array(share))
    pressed = D33_PC_N * 1e-12 * 1e-3 * mounting.mass_g * (2.0 * math.pi * hz) ** 2 * lift
    return np.asarray(1e9 * (strained + pressed))


def passed(hz: Array, corner_hz: float) -> Array:
    """How much of a charge's voltage a load leaves: a resistor across a capacitor passes what is above the corner."""
    return np.asarray(1.0 / np.sqrt(1.0 + (corner_hz / np.asarray(hz)) ** 2))
