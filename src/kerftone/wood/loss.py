"""How much of a vibration's energy wood eats, by its kind, its direction and its scatter.

Loss factors (tan δ): the share of the energy lost in one cycle, divided by 2 pi; air-dry, at the pitches of a drum.

Along the grain. Few woods have a published figure; `loss.csv` holds those, each with how it is known. For all others
the mean line through many species stands in: tan δ = 10^-1.23 (E/ρ)^-0.68, E/ρ in GPa over g/cm³ (Ono and Norimoto
1983-84, from memory). So stiff light woods ring long, soft heavy ones short. The line explains half of what species
differ by (Brémaud, Minato, Langbour and Thibaut, Ann. For. Sci. 67, 2010: abstract read); coloured heartwoods such as
padauk lose less than it says.

Across the grain and in shear wood loses two to three times as much (from memory); species are not told apart there.

Plywood. Each ply loses by its own direction. In bending, plies across the grain store little and lose much, and
rolling shear takes a share: so plywood is duller than its wood, as is known (lathe checks and glue raise tan δ of
spruce plywood further: Mokuzai Gakkaishi 30, 1984, abstract read; no figure for these, left out).
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from kerftone.wood.axes import Cut
from kerftone.wood.elastic import Elastic
from kerftone.wood.laminate import Ply, bending_shares

TREND_LOG10, TREND_POWER = -1.23, -0.68
"""The line through many species: see the head of this file. For black cherry it gives a decrement of 0.024; the Wood
Handbook (ch. 5, vibration properties, from memory) says about 0.02 for dry, 0.1 for hot moist wood."""
TREND_CV = 0.25
"""How far a board may be from the line: our own judgement. Of the spread of tan δ between species, some 35 % from
memory, the line leaves half of the variance, so 25 %."""
OWN_CV = 0.15
"""How far a board may be from its species' published mean, where the source tells no spread: our own judgement."""
ACROSS_LOSS, SHEAR_LOSS = 0.02, 0.02
"""Across the grain, and in shear: two to three times that along it, from memory."""


@dataclass(frozen=True, kw_only=True)
class Loss:
    """The loss factors of one board when it bends along its length: `along`, of its stretching, and `shear`.

    `cv`: how far one board may be off in `along`, as a share of it. `source` is None where the mean line stands in;
    `known` says how a published figure is known, "read" or "memory", or "measured" by the maker.
    """

    along: float
    shear: float = SHEAR_LOSS
    cv: float = TREND_CV
    known: str = ""
    source: str | None = None


@dataclass(frozen=True, kw_only=True)
class Published:
    """One row of `loss.csv`."""

    along: float
    cv: float
    known: str
    source: str


@cache
def loss_table() -> Mapping[str, Published]:
    """The woods whose loss along the grain is published, by their names in the species table."""
    text = (resources.files("kerftone.wood") / "loss.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#"))
    return {
        row["species"]: Published(
            along=float(row["along"]),
            cv=float(row["cv"]) if row["cv"] else OWN_CV,
            known=row["known"],
            source=row["source"],
        )
        for row in rows
    }


def by_trend(elastic: Elastic) -> float:
    """The loss along the grain that the mean line through many species gives for this stiffness and density."""
    specific = elastic.e_l_gpa / (1e-3 * elastic.density_kg_m3)
    return float(10.0**TREND_LOG10 * specific**TREND_POWER)


def loss_of(
    wood: str, elastic: Elastic, *, plies: Sequence[Ply] = (), cut: Cut = "flatsawn", own: float | None = None
) -> Loss:
    """What a board of this wood loses when it bends along its length.

    Parameters
    ----------
    wood : str
        Its name in the species table; any other name gets the mean line.
    elastic : Elastic
        Its constants.
    plies : Sequence[Ply], optional
        Of plywood, from the upper face down.
    cut : Cut, optional
        How the rings of the plies lie.
    own : float, optional
        The loss along the grain that the maker has measured.
    """
    if own is not None:
        return Loss(along=own, cv=0.0, known="measured", source="your own measurement")
    if plies:
        return _of_plies(plies, cut)
    row = loss_table().get(wood)
    if row is None:
        return Loss(along=by_trend(elastic))
    return Loss(along=row.along, cv=row.cv, known=row.known, source=row.source)


def _of_plies(plies: Sequence[Ply], cut: Cut) -> Loss:
    """Each ply's loss weighs by what it stores when the board bends along its length."""
    losses = [loss_of(ply.wood, ply.elastic) for ply in plies]
    each = [
        one.along * math.cos(math.radians(ply.turn_deg)) ** 2
        + ACROSS_LOSS * math.sin(math.radians(ply.turn_deg)) ** 2
        for one, ply in zip(losses, plies, strict=True)
    ]
    return Loss(along=float(np.dot(bending_shares(plies, cut), each)), cv=max(one.cv for one in losses))
