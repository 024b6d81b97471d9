"""What the drum stands on: feet, a table, a lap, or nothing; and how hands-off that leaves its wood.

Feet are springs upright under the corners, on a hard table; what they let through sideways is left out. A lap is two
legs across the drum: cloth and skin as springs over the strips they cover, the legs behind them taken as still, for
they are far heavier than the wood they touch. Springs have a loss: the share of their energy that a swing loses, over
2 pi. They press against the motions of a drum that stands free. mm for places, SI for the rest.

No figure here was compared with a drum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.seat import SKIN_MM, below_mm, depth_mm
from kerftone.drum.shop import On

if TYPE_CHECKING:
    from kerftone.modal.surface import Motions

Array = NDArray[np.floating[Any]]
Complex = NDArray[np.complexfloating[Any, Any]]
FOOT_LOSS = {"rubber": 0.15, "felt": 0.4, "cork": 0.2, "wood": 0.03}
"""The loss of what feet are of: own judgement, in the middle of what is told of rubber, cork and wood (from memory);
felt as cloth below."""
LEG_MM, LEGS_APART_MM = 120.0, 250.0
"""How wide a strip each leg covers, and from the middle of one to that of the other: own judgement."""
CLOTH_PA_M, CLOTH_LOSS = 1.0e7, 0.4
"""Cloth and skin under a drum, by the square metre: some 1.5 mm that give as 15 kPa of foam would, with a loss as of
felt. Own judgement."""
STEP_MM = 20.0
"""From point to point under a leg, at the most."""


@dataclass(frozen=True, kw_only=True)
class Hold:
    """Springs against the wood's motions (n, n): what they press back with, rad²/s², and what of it is loss."""

    stiff: Array
    loss: Array

    def loss_of(self, shape: Complex, omega: float) -> float:
        """The share of a motion's energy that the springs take in a swing, over 2 pi: 1/Q. Of unit mass, (n,)."""
        return float(np.real(shape.conj() @ self.loss @ shape)) / omega**2


@dataclass(frozen=True, kw_only=True)
class Springs:
    """Upright springs: where they touch the wood (p, 3), mm, how stiff each is, N/m, and their loss."""

    points_mm: Array
    stiff_n_m: Array
    loss: float


def gap_mm(drum: Drum, on: On) -> float | None:
    """How far the table lies under the lowest face, in mm; None where there is no table."""
    return {"table": 0.0, "feet": drum.box.feet.height_mm}.get(on)


def springs_under(drum: Drum, on: On) -> Springs | None:
    """What holds a drum up with a give of its own; None where nothing does, or all of it is hard."""
    if on == "feet":
        return _feet(drum)
    return _lap(drum) if on == "lap" else None


def _feet(drum: Drum) -> Springs:
    feet = drum.box.feet
    x0, y0, x1, y1 = outline(drum).box_outer.bounds
    half, low = 0.5 * drum.box.wall_mm, SKIN_MM - depth_mm(drum)
    corners = [(x, y, low) for x in (x0 + half, x1 - half) for y in (y0 + half, y1 - half)]
    return Springs(
        points_mm=np.array(corners), stiff_n_m=np.full(4, 1e3 * feet.stiff_n_mm), loss=FOOT_LOSS[feet.kind]
    )


def _lap(drum: Drum) -> Springs:
    """Under each leg: all of a bottom that is the lowest face, else the lower edges of the walls."""
    _, y0, _, y1 = outline(drum).box_outer.bounds
    wall, low = drum.box.wall_mm, SKIN_MM - depth_mm(drum)
    flat = drum.bottom is not None and below_mm(drum) == 0.0
    across = _strip(y0, y1) if flat else [(y0 + 0.5 * wall, wall), (y1 - 0.5 * wall, wall)]
    points, areas = [], []
    for a, b in legs_mm(drum):
        for x, along in _strip(a, b):
            for y, wide in across:
                points.append((x, y, low))
                areas.append(1e-6 * along * wide)
    return Springs(points_mm=np.array(points), stiff_n_m=CLOTH_PA_M * np.array(areas), loss=CLOTH_LOSS)


def legs_mm(drum: Drum) -> tuple[tuple[float, float], tuple[float, float]]:
    """From where to where along the drum each leg lies, mm; nearer together under a short drum."""
    x0, _, x1, _ = outline(drum).box_outer.bounds
    apart = min(LEGS_APART_MM, max(x1 - x0 - LEG_MM, 0.5 * (x1 - x0)))
    half, middle = 0.5 * min(LEG_MM, apart), 0.5 * (x0 + x1)
    left, right = middle - 0.5 * apart, middle + 0.5 * apart
    return (max(left - half, x0), left + half), (right - half, min(right + half, x1))


def _strip(low: float, high: float) -> list[tuple[float, float]]:
    """The middles and the widths of equal parts of an interval."""
    count = max(1, math.ceil((high - low) / STEP_MM))
    wide = (high - low) / count
    return [(low + (number + 0.5) * wide, wide) for number in range(count)]


def hold_under(motions: Motions, on: On) -> Hold:
    """What a drum stands on presses back with, against each motion of its wood. Held by tests/air/test_held.py."""
    from kerftone.modal.band import in_band

    springs = springs_under(motions.solution.drum, on)
    if springs is None:
        none = np.zeros((len(motions.squares),) * 2)
        return Hold(stiff=none, loss=none)
    points = in_band(motions.solution.drum, springs.points_mm, SKIN_MM)
    lifts = motions.at(points)[:, :, 2]
    stiff = (lifts * springs.stiff_n_m) @ lifts.T
    return Hold(stiff=stiff, loss=springs.loss * stiff)
