"""How long a mallet touches the wood, and how hard it presses while it does.

The head is an elastic ball meeting the flat of the board: Hertz's contact, force proportional to the
indentation to the power 3/2 (K. L. Johnson, Contact Mechanics, and W. Goldsmith, Impact: both from
memory; the contact time is held by a test that integrates the motion). The wood is softer than along
its grain here: the mallet presses across it. Head sizes are common practice, no source; the stiffness of
rubber comes from its Shore A hardness.

This module knows one ball and one unyielding block. What changes when the tongue gives way under the
blow is `strike.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kerftone.drum.design import Top
from kerftone.errors import KerftoneError


class MalletError(KerftoneError):
    """A mallet was asked for that is not one of the three; `nearest` is a tuple of those that are."""


@dataclass(frozen=True, kw_only=True)
class Mallet:
    """One mallet: the mass of its head, the radius where it strikes, and what the head is made of."""

    name: str
    head: str
    mass_g: float
    radius_mm: float
    e_gpa: float
    nu: float


def rubber_gpa(shore_a: float) -> float:
    """How stiff rubber of this Shore A hardness is, in GPa.

    log10(E / MPa) = 0.0235 S - 0.6403 (Ruess's fit, read in a public note on rubber testing, said there
    to hold for S from 30 to 60; above 60 it is an extrapolation, good to a factor of two at best).
    """
    return 1e-3 * math.pow(10.0, 0.0235 * shore_a - 0.6403)


# Head sizes: common practice, no source. Masses: a solid ball of that radius (rubber 1.1, maple 0.7 g/cm³,
# round figures) and 3 g for the stick's share in the blow, own estimate.
SOFT_RUBBER = Mallet(
    name="soft rubber",
    head="a rubber ball of about Shore A 50",
    mass_g=15.5,
    radius_mm=14.0,
    e_gpa=rubber_gpa(50.0),
    nu=0.5,
)
HARD_RUBBER = Mallet(
    name="hard rubber",
    head="a rubber ball of about Shore A 85",
    mass_g=11.0,
    radius_mm=12.0,
    e_gpa=rubber_gpa(85.0),
    nu=0.5,
)
# A turned maple ball meets the drum partly with end grain, partly with side grain. 2 GPa lies between
# the Wood Handbook's 1.8 GPa across (sugar maple, E_R = 0.132 x 12.6 x 1.1) and its 13.9 GPa along;
# which of it meets the drum is chance, so the low end is taken. Own choice, no source.
WOOD = Mallet(name="wood", head="a turned hardwood ball", mass_g=8.0, radius_mm=12.0, e_gpa=2.0, nu=0.4)
MALLETS = {m.name: m for m in (SOFT_RUBBER, HARD_RUBBER, WOOD)}


def mallet_named(name: str) -> Mallet:
    """Which mallet this name means; spaces, hyphens and capitals do not matter. Raises MalletError."""
    key = " ".join(name.lower().replace("-", " ").replace("_", " ").split())
    if key not in MALLETS:
        known = ", ".join(f'"{m}"' for m in MALLETS)
        raise MalletError(
            f'The mallet is "{name}". There are {len(MALLETS)} kinds. Choose one of {known}.',
            given=name,
            nearest=tuple(MALLETS),
        )
    return MALLETS[key]


def board_modulus_gpa(top: Top) -> float:
    """How stiffly the face of the board takes the head of a mallet, in GPa: E / (1 - nu²), across the grain.

    The face of a flatsawn board looks along R, of a quartersawn one along T. A ball on wood really
    makes an oval mark; taking the board as equally soft all ways across is the usual simplification
    (from memory) and errs on the soft side, by less than the choice of mallet matters.
    """
    e = top.elastic
    nu_rt_tr = e.nu_rt**2 * e.e_t_gpa / e.e_r_gpa
    through = e.e_r_gpa if top.cut == "flatsawn" else e.e_t_gpa
    return through / (1.0 - nu_rt_tr)


def contact_modulus_gpa(mallet: Mallet, top: Top) -> float:
    """How stiff head and board are together, in GPa: 1 / (1/M_head + 1/M_board), M = E / (1 - nu²)."""
    head = mallet.e_gpa / (1.0 - mallet.nu**2)
    return 1.0 / (1.0 / head + 1.0 / board_modulus_gpa(top))


def contact_stiffness(mallet: Mallet, top: Top) -> float:
    """The k of Hertz's law F = k d^1.5, in N/m^1.5: (4/3) E* sqrt(R)."""
    return (4.0 / 3.0) * 1e9 * contact_modulus_gpa(mallet, top) * math.sqrt(1e-3 * mallet.radius_mm)


def rigid_contact_ms(mallet: Mallet, top: Top, *, speed_m_s: float) -> float:
    """How long the mallet would touch a board that does not give way, in ms.

    Energy gives the deepest indentation d = (5 m v² / 4 k)^(2/5), and the time there and back is
    2 d/v times the integral of (1 - x^2.5)^-1/2 from 0 to 1, which is a beta function. Together
    2.87 (m² / (R E*² v))^(1/5), as in Johnson. Held by a test that integrates m x'' = -k x^1.5.

    Parameters
    ----------
    mallet : Mallet
        The ball.
    top : Top
        The board it strikes.
    speed_m_s : float
        Of the blow, in m/s.
    """
    mass = 1e-3 * mallet.mass_g
    deepest = math.pow(1.25 * mass * speed_m_s**2 / contact_stiffness(mallet, top), 0.4)
    quarter = 0.4 * math.gamma(0.4) * math.gamma(0.5) / math.gamma(0.9)
    return 1e3 * 2.0 * quarter * deepest / speed_m_s
