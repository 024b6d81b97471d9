"""How low a contact disc hears.

A disc is a small capacitor; with the load it feeds (volume control and amplifier together) it loses the low
notes below f = 1/(2 pi R C). Capacitances are from memory and scatter widely between makes: a range is shown, never
one number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NF_PER_MM2 = (15.0 / 27.0**2, 25.0 / 27.0**2)
"""From memory: a passive disc 27 mm across has some 15 to 25 nF; by area for other sizes."""


def corner_hz(*, capacitance_nf: float, load_kohm: float) -> float:
    """Below what frequency this disc into this load grows weak: 3 dB down there, 6 dB an octave below.

    >>> round(corner_hz(capacitance_nf=1000.0, load_kohm=1.0), 3)
    159.155
    """
    return 1.0 / (2.0 * math.pi * capacitance_nf * 1e-9 * load_kohm * 1e3)


def loss_db(*, hz: float, corner: float) -> float:
    """How much weaker a note of this pitch is than one far above the corner, in dB, from 0 up."""
    return 10.0 * math.log10(1.0 + (corner / hz) ** 2)


@dataclass(frozen=True, kw_only=True)
class Bass:
    """How a disc and load treat the lowest note: corners for the most and the least capacitance expected."""

    capacitance_nf: tuple[float, float]
    load_kohm: float
    corner_hz: tuple[float, float]
    lowest_hz: float
    loss_db: tuple[float, float]


def bass_of(*, disc_mm: float, load_kohm: float, lowest_hz: float) -> Bass:
    """What the low corner does to the lowest note, best and worst case of the disc's capacitance.

    Parameters
    ----------
    disc_mm : float
        Diameter of the disc, in mm.
    load_kohm : float
        What it is connected to, in kOhm.
    lowest_hz : float
        The drum's lowest note, in Hz.
    """
    small, large = (share * disc_mm**2 for share in NF_PER_MM2)
    corners = (
        corner_hz(capacitance_nf=large, load_kohm=load_kohm),
        corner_hz(capacitance_nf=small, load_kohm=load_kohm),
    )
    losses = loss_db(hz=lowest_hz, corner=corners[0]), loss_db(hz=lowest_hz, corner=corners[1])
    return Bass(
        capacitance_nf=(small, large),
        load_kohm=load_kohm,
        corner_hz=corners,
        lowest_hz=lowest_hz,
        loss_db=losses,
    )


def loss_words(bass: Bass) -> str:
    """How much the lowest note loses, in words."""
    low, high = bass.loss_db
    if high < 0.1:
        return "next to nothing"
    return f"{low:.1f} to {high:.1f} dB" if high - low >= 0.1 else f"{high:.1f} dB"
