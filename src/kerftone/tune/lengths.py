"""First guesses of tongue lengths, before any model has run.

A tongue is close to a cantilever bar with its root a little further back than the slot, since root strip
and walls give way. f = 1.8751² / (2 pi) · sqrt(E / 12 rho) · t / (L + a)² (Euler and Bernoulli's bar; the root
1.8751 as in Fletcher & Rossing, from memory). The set-back a is 2 to 6 thicknesses in the reference drums.
Good to some 20 % of the length: enough to start from, never shown as a result.
"""

from __future__ import annotations

import math

from kerftone.drum.design import Top

FIRST_ROOT = 1.8751
"""Of cos x cosh x = -1: a bar clamped at one end (textbooks of vibration, from memory)."""
SET_BACK = 3.5
"""How much longer than cut a tongue sounds, in thicknesses of the top."""
STIFF_SET_BACK = 1.5
"""The same where a root bar holds the roots, by the model."""


def _stiffness_constant(top: Top) -> float:
    """f (Hz) times the square of the sounding length (mm²)."""
    speed = math.sqrt(top.elastic.e_l_gpa * 1e9 / (12.0 * top.elastic.density_kg_m3))
    return FIRST_ROOT**2 / (2 * math.pi) * speed * top.thickness_mm * 1e3


def guess_length_mm(top: Top, hz: float, *, set_back: float = SET_BACK) -> float:
    """About how long a tongue of this board must be to sound this pitch, mm, root line to tip.

    Parameters
    ----------
    top : Top
        The board.
    hz : float
        The pitch, in Hz.
    set_back : float, optional
        How much longer than cut the tongue sounds, in thicknesses.
    """
    return math.sqrt(_stiffness_constant(top) / hz) - set_back * top.thickness_mm
