"""How long each mode rings: what the wood eats and what the air carries off.

Loss factors throughout: the share of the vibration's energy lost in one cycle, divided by 2 pi; the
inverse of the quality factor; pi times it is the logarithmic decrement.

The wood: bending stretches it along the grain, where it loses little, and shears it, where it loses
more; the shorter the wave, the more shear (that damping of wooden beams rises with the mode and with
stubbiness, and that shear is the cause, is the finding of Labonnote, Rønnquist and Malo, Wood Science
and Technology 47, 2013: abstract read). How much is lost along the grain and in shear is the wood's own
(`wood/loss.py`). Modes that mostly twist lose more than this says.

The air: a monopole's radiated power. Left out, so the real drum dies away somewhat sooner: glue lines,
feet, the hands and the table that hold the box, finish, and flow of air through the slots.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Top
from kerftone.sound.air import Air
from kerftone.wood.loss import Loss, loss_of

Array = NDArray[np.float64]

# Timoshenko's shear coefficient of a rectangular section, 5/6: standard (from memory).
SHEAR_COEFFICIENT = 5.0 / 6.0


def loss_of_top(top: Top) -> Loss:
    """What the wood of this top loses, stretched along its grain and sheared, and how sure that is."""
    return loss_of(top.wood, top.elastic, plies=top.plies, cut=top.cut, own=top.loss)


def wood_loss(hz: Array, top: Top) -> Array:
    """How much of its energy the wood of the top eats: the loss factor at each frequency.

    The share of shear in the bending of a beam of thickness h is phi = E h² k² / (12 kappa G), with the
    wave number k of thin bending waves at that frequency; the loss is (along + phi shear)/(1 + phi).
    Rises from the loss along the grain at low pitch towards that of shear. Meant for 50 Hz to 10 kHz.
    """
    e, loss = top.elastic, loss_of_top(top)
    specific = e.e_l_gpa / (1e-3 * e.density_kg_m3)
    g = e.g_lr_gpa if top.cut == "flatsawn" else e.g_lt_gpa
    along_m_s = math.sqrt(1e6 * specific)
    h2k2_12 = 2.0 * math.pi * np.asarray(hz) * 1e-3 * top.thickness_mm / (math.sqrt(12.0) * along_m_s)
    phi = e.e_l_gpa / (SHEAR_COEFFICIENT * g) * h2k2_12
    return np.asarray((loss.along + phi * loss.shear) / (1.0 + phi))


def radiation_loss(hz: Array, volume: Array, air: Air) -> Array:
    """How much of its energy a mode sends out as sound: the loss factor of each mode.

    hz (n,); volume (n,): net air volume a mode pushes, m² kg^-1/2, for unit modal mass. A monopole
    with volume velocity Q (peak) radiates rho c k² Q² / (2 Omega) watts (8 pi below in free space:
    standard acoustics texts, from memory; derived from the far pressure in a test). The mode holds half
    its peak velocity squared in joules and Q is volume times that velocity, so the loss factor is
    rho omega volume² / (c Omega).

    Parameters
    ----------
    hz : Array
        Of the modes, (n,), in Hz.
    volume : Array
        Net air volume each pushes, (n,), in m² kg^-1/2 for unit modal mass.
    air : Air
        Its density and speed of sound.
    """
    omega = 2.0 * math.pi * np.asarray(hz)
    return air.density_kg_m3 * omega * np.asarray(volume) ** 2 / (air.speed_m_s * air.solid_angle_sr)


def t60_s(hz: Array, loss: Array) -> Array:
    """How long a mode takes to fall by 60 dB, in seconds: 2 ln 1000 / (omega loss)."""
    return 2.0 * math.log(1000.0) / (2.0 * math.pi * np.asarray(hz) * np.asarray(loss))


def poles(hz: Array, loss: Array) -> NDArray[np.complex128]:
    """How each mode turns and shrinks: s in exp(s t), per second; |s| is the undamped 2 pi hz."""
    omega = 2.0 * math.pi * np.asarray(hz)
    damping = 0.5 * np.asarray(loss)
    return omega * (-damping + 1j * np.sqrt(1.0 - damping**2))
