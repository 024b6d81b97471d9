"""Plywood and laminated boards: what plies glued on one another are as one board.

Plies are listed from the upper face down. Each has its own wood and its grain turned against the board's. Classical
laminate theory (Jones, Mechanics of Composite Materials, ch. 4, from memory): the plies stretch as one, so that the
strains in the plane run straight through the thickness, and each ply answers with its own stiffness in plane stress.
Bending then counts the outer plies most, stretching counts all alike.

Shear through the thickness is left out of that theory and must not be: a ply with its grain across rolls, and
is a tenth as stiff as one along. There the stress is what is common to the plies, not the strain. `graded` keeps each
ply's stiffness in the plane at its own height, and gives the whole thickness one compliance for the other three
stresses, the mean of the plies' (that of a finely layered solid: Backus, J. Geophys. Res. 67, 1962, from memory). How
near that comes to plies meshed one by one is in docs/accuracy.md.

Glue lines add their weight and no stiffness. Moduli in GPa, strains in the order xx, yy, zz, yz, xz, xy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from kerftone.wood.axes import Cut, Matrix, flat_axes, turned
from kerftone.wood.elastic import Elastic

GLUE_G_M2 = 75.0
"""Dry weight of one glue line, g/m²: that of birch plywood with 1.4 mm plies, from memory."""
IN_PLANE, THROUGH = [0, 1, 5], [2, 3, 4]
"""Strains in the plane of the board, and those through it."""
DEGREE = 8
"""Of the polynomial that a board's stiffness through its thickness is told by: the strains of an order-3 element
multiply to degree 6, so that what is left out meets nothing there; two more for boards meshed in two layers."""


@dataclass(frozen=True, kw_only=True)
class Ply:
    """One layer: its wood, its thickness, and its grain to the board's, from above, counter-clockwise."""

    wood: str
    elastic: Elastic
    thickness_mm: float
    turn_deg: float = 0.0


@dataclass(frozen=True)
class Layer:
    """A ply where it lies: from and to, as shares of the board's thickness from its lower face; 6 by 6, GPa."""

    low: float
    high: float
    stiffness: Matrix

    @property
    def share(self) -> float:
        """Of the thickness."""
        return self.high - self.low


def board_name(plies: Sequence[Ply]) -> str:
    """What a board of these plies is called: by the wood of its upper face.

    With grain across it is plywood, with all plies alike a laminate.
    """
    crossed = any(ply.turn_deg != plies[0].turn_deg for ply in plies)
    return f"{plies[0].wood} {'plywood' if crossed else 'laminate'}"


def layers(plies: Sequence[Ply], cut: Cut, grain_angle_deg: float = 0.0) -> tuple[Layer, ...]:
    """The plies from the lower face up, along the drum's axes; thicknesses are taken in proportion.

    Parameters
    ----------
    plies : Sequence[Ply]
        From the upper face down.
    cut : Cut
        How the rings lie in every ply: peeled veneer is flatsawn.
    grain_angle_deg : float, optional
        Of the board to the drum's length.
    """
    whole = sum(ply.thickness_mm for ply in plies)
    found, low = [], 0.0
    for ply in reversed(plies):
        high = low + ply.thickness_mm / whole
        axes = flat_axes(cut, grain_angle_deg + ply.turn_deg)
        found.append(Layer(low, high, turned(ply.elastic, axes)))
        low = high
    return tuple(found)


def graded(found: Sequence[Layer]) -> tuple[Layer, ...]:
    """The same board with one compliance for the stresses through its thickness: see the head of this file."""
    parts = [_parted(layer.stiffness) for layer in found]
    through = np.asarray(sum(layer.share * part[2] for layer, part in zip(found, parts, strict=True)))
    return tuple(
        Layer(layer.low, layer.high, _joined(plane, meets, through))
        for layer, (plane, meets, _) in zip(found, parts, strict=True)
    )


def _parted(stiffness: Matrix) -> tuple[Matrix, Matrix, Matrix]:
    """In plane stress, what couples plane and thickness, and the compliance through the thickness."""
    plane, mixed = (stiffness[np.ix_(IN_PLANE, other)] for other in (IN_PLANE, THROUGH))
    compliance = np.linalg.inv(stiffness[np.ix_(THROUGH, THROUGH)])
    meets = mixed @ compliance
    return plane - meets @ mixed.T, meets, compliance


def _joined(plane: Matrix, meets: Matrix, compliance: Matrix) -> Matrix:
    """The whole stiffness from those three."""
    through = np.linalg.inv(compliance)
    whole = np.zeros((6, 6))
    whole[np.ix_(THROUGH, THROUGH)] = through
    whole[np.ix_(IN_PLANE, THROUGH)] = meets @ through
    whole[np.ix_(THROUGH, IN_PLANE)] = (meets @ through).T
    whole[np.ix_(IN_PLANE, IN_PLANE)] = plane + meets @ through @ meets.T
    return whole


def bending_part(stiffness: Matrix) -> Matrix:
    """The part of a stiffness (6 by 6, any unit) that holds against strains in the plane alone.

    It goes with the third power of a plate's thickness, on a mesh that stays as thick; the rest, shear through the
    thickness, with the first.
    """
    whole = np.zeros((6, 6))
    whole[np.ix_(IN_PLANE, IN_PLANE)] = _parted(stiffness)[0]
    return whole


def plate_stiffness(found: Sequence[Layer]) -> tuple[Matrix, Matrix, Matrix]:
    """A, B and D of a board 1 thick (3 by 3, GPa): stretching, coupling and bending about its middle.

    Of xx, yy, xy. For a board h thick multiply by h, h² and h³. Source: Jones, ch. 4, from memory.
    """
    powers = []
    for power in (1, 2, 3):
        terms = [
            ((layer.high - 0.5) ** power - (layer.low - 0.5) ** power) / power * _parted(layer.stiffness)[0]
            for layer in found
        ]
        powers.append(np.asarray(sum(terms)))
    return powers[0], powers[1], powers[2]


def bending_shares(plies: Sequence[Ply], cut: Cut) -> Matrix:
    """What share of its energy each ply stores, from the upper face down, when the board bends along its length."""
    found = layers(plies, cut)
    stretch, couple, _ = plate_stiffness(found)
    neutral = 0.5 + couple[0, 0] / stretch[0, 0]
    stored = [
        _parted(layer.stiffness)[0][0, 0] * ((layer.high - neutral) ** 3 - (layer.low - neutral) ** 3)
        for layer in found
    ]
    return np.asarray(np.array(stored[::-1]) / sum(stored))


def in_bending(found: Sequence[Layer]) -> Matrix:
    """The stiffness (6 by 6, GPa) of one even material that bends as this board does."""
    stretch, couple, bend = plate_stiffness(found)
    plane = 12.0 * (bend - couple @ np.linalg.inv(stretch) @ couple)
    even = [_parted(layer.stiffness) for layer in graded(found)]
    meets = sum(layer.share * part[1] for layer, part in zip(found, even, strict=True))
    return _joined(plane, np.asarray(meets), even[0][2])


def as_one(plies: Sequence[Ply], cut: Cut, *, glue_g_m2: float, thickness_mm: float) -> Elastic:
    """The constants of one solid board that bends and weighs as these plies do; L along the board's own grain.

    Where plies lie askew, what couples stretching with shear in the plane is left out.

    Parameters
    ----------
    plies : Sequence[Ply]
        From the upper face down.
    cut : Cut
        How the rings lie in every ply, and which of the constants is through the thickness.
    glue_g_m2 : float
        Dry weight of one glue line, in g/m².
    thickness_mm : float
        Of the board.
    """
    give = np.linalg.inv(in_bending(layers(plies, cut)))
    shares = [ply.thickness_mm / sum(one.thickness_mm for one in plies) for ply in plies]
    wood = sum(share * ply.elastic.density_kg_m3 for share, ply in zip(shares, plies, strict=True))
    r, t = (2, 1) if cut == "flatsawn" else (1, 2)
    shear = {frozenset(pair): at for at, pair in {3: (1, 2), 4: (0, 2), 5: (0, 1)}.items()}
    g_lr, g_lt, g_rt = (1.0 / give[at, at] for at in (shear[frozenset(p)] for p in ((0, r), (0, t), (r, t))))
    return Elastic(
        e_l_gpa=float(1.0 / give[0, 0]),
        e_r_gpa=float(1.0 / give[r, r]),
        e_t_gpa=float(1.0 / give[t, t]),
        g_lr_gpa=float(g_lr),
        g_lt_gpa=float(g_lt),
        g_rt_gpa=float(g_rt),
        nu_lr=float(-give[0, r] / give[0, 0]),
        nu_lt=float(-give[0, t] / give[0, 0]),
        nu_rt=float(-give[r, t] / give[r, r]),
        density_kg_m3=float(wood + glue_g_m2 * (len(plies) - 1) / thickness_mm),
    )


def polynomials(found: Sequence[Layer], degree: int = DEGREE) -> Matrix:
    """The layers' stiffness as a polynomial through the thickness (degree + 1, 6, 6), GPa.

    Powers of x, -1 at the lower face and 1 at the upper. It has the same moments as the layers up to its degree, so
    that an integral over the whole thickness with any polynomial of that degree is the layers' own; at one height it
    may be off.
    """
    series = np.zeros((degree + 1, 6, 6))
    steps, weights = legendre.leggauss(degree // 2 + 1)
    for layer in found:
        x = 2.0 * (layer.low + layer.share * (0.5 + 0.5 * steps)) - 1.0
        values = legendre.legvander(x, degree)
        moments = layer.share * (weights @ values)
        series += ((np.arange(degree + 1) + 0.5) * moments)[:, None, None] * layer.stiffness
    turn = np.zeros((degree + 1, degree + 1))
    for at in range(degree + 1):
        turn[at, : at + 1] = legendre.leg2poly(np.eye(at + 1)[at])
    return np.asarray(np.einsum("kp,kij->pij", turn, series))


LENGTHWISE = 0.00005
"""Swelling along the grain per 1 % of moisture: 0.1 to 0.2 % from green to dry (Wood Handbook ch. 4, from memory)."""


def swelling(plies: Sequence[Ply], cut: Cut, across: Sequence[float]) -> tuple[float, float]:
    """How much longer and wider a board of plies gets for each 1 % of moisture, as shares of its size.

    The plies hold each other: they stretch as one, and what they press on each other with adds up to nothing.

    Parameters
    ----------
    plies : Sequence[Ply]
        From the upper face down.
    cut : Cut
        How the rings lie in every ply.
    across : Sequence[float]
        Of each ply, its wood's change across its grain in the plane of the board, per 1 %.
    """
    found = layers(plies, cut)
    pull = np.zeros(3)
    for layer, ply, free in zip(found, reversed(plies), reversed(across), strict=True):
        turn = np.radians(ply.turn_deg)
        c, s = np.cos(turn), np.sin(turn)
        own = np.array(
            [
                LENGTHWISE * c * c + free * s * s,
                LENGTHWISE * s * s + free * c * c,
                2.0 * (LENGTHWISE - free) * s * c,
            ]
        )
        pull += layer.share * _parted(layer.stiffness)[0] @ own
    long, wide, _ = np.linalg.solve(plate_stiffness(found)[0], pull)
    return float(long), float(wide)
