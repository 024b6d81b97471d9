"""Where may a bore be, and how deep? The one rule that the log, the map and the adviser read.

Three clearances, each wider than the one before: below the first a bore cannot be and is refused; below the second
it is doubtful, and asked about; the adviser keeps the third and never plans nearer, and the printed map hatches
everything nearer than that. mm, seen from above, measured from the bore's rim. The limits are common practice or our
own judgement, no source; `[shop]` of the drum file sets `min_web` and `min_left`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from kerftone.drum.check import MIN_BORE_RIM_MM, over_bore_mm
from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import tongue_polygon
from kerftone.drum.plan_lines import layout

ROOT_KEPT_MM = 8.0
"""Kept between a bore and the root line: nearer, the model of a tongue alone does not say well what a bore does."""
BETWEEN_SHARE, LEAST_BETWEEN_MM = 0.5, 1.0
"""Between two bores half the web kept beside a slot: the wall between them carries no tongue. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class Clearance:
    """Wood that stays round a bore, in mm.

    edge: to a slot, the tip or a wall. root: to the tongue's root line; None: the bore's middle need only be under
    the tongue. between: to another bore; None: they may meet. over: above its bottom.
    """

    edge_mm: float
    root_mm: float | None
    between_mm: float | None
    over_mm: float


@dataclass(frozen=True, kw_only=True)
class BoreLimits:
    """The three clearances: a bore below the first is refused, below the second asked about; the third is kept."""

    refused: Clearance
    asked: Clearance
    kept: Clearance


def bore_limits(drum: Drum) -> BoreLimits:
    """The clearances in this drum. Held by tests/drum/test_bore_limits.py."""
    over = over_bore_mm(drum.top.thickness_mm)
    web = max(MIN_BORE_RIM_MM, drum.shop.min_web_mm)
    between = max(LEAST_BETWEEN_MM, BETWEEN_SHARE * drum.shop.min_web_mm)
    left = max(over, drum.shop.min_left_mm)
    return BoreLimits(
        refused=Clearance(edge_mm=MIN_BORE_RIM_MM, root_mm=None, between_mm=None, over_mm=over),
        asked=Clearance(edge_mm=web, root_mm=web, between_mm=between, over_mm=left),
        kept=Clearance(edge_mm=web, root_mm=max(web, ROOT_KEPT_MM), between_mm=between, over_mm=left),
    )


def between_mm(one: Bore, other: Bore) -> float:
    """How much wood stands between two bores, in mm; below 0 where they meet."""
    apart = math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm)
    return apart - 0.5 * (one.diameter_mm + other.diameter_mm)


def to_root_mm(drum: Drum, number: int, bore: Bore) -> float:
    """How much wood stands between a bore and the root line of a tongue (counted from 0), in mm.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    bore : Bore
        The bore, in mm.
    """
    along, _ = layout(drum).place_mm(drum.tongues[number], bore.x_mm, bore.y_mm)
    return along - 0.5 * bore.diameter_mm


def room_for_bit(drum: Drum, number: int, bit_mm: float, clearance: Clearance) -> BaseGeometry:
    """Where the middle of a bit may be under a tongue (counted from 0), other bores left aside.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    bit_mm : float
        Diameter of the bit, in mm.
    clearance : Clearance
        How much wood must stay round it.
    """
    lines, tongue = layout(drum), drum.tongues[number]
    assert tongue.side is not None
    radius = 0.5 * bit_mm
    shape = tongue_polygon(drum, tongue, lines)
    room = shape.buffer(-(radius + clearance.edge_mm))
    if clearance.root_mm is None:
        return room
    root, by = lines.root_mm(tongue.side), radius + clearance.root_mm
    low, high = (root + by, drum.top.length_mm) if tongue.side == "left" else (0.0, root - by)
    return room.intersection(shapely.box(low, 0.0, high, drum.top.width_mm))


def room_on_board(drum: Drum, bit_mm: float, clearance: Clearance) -> BaseGeometry:
    """Where the middle of a new bore may be anywhere on this drum, clear of the bores that are there.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    bit_mm : float
        Diameter of the bit, in mm.
    clearance : Clearance
        How much wood must stay round it.
    """
    free = shapely.union_all(
        [room_for_bit(drum, number, bit_mm, clearance) for number in range(len(drum.tongues))]
    )
    if clearance.between_mm is None:
        return free
    made = [
        Point(bore.x_mm, bore.y_mm).buffer(0.5 * (bore.diameter_mm + bit_mm) + clearance.between_mm)
        for bore in drum.bores
    ]
    return free.difference(shapely.union_all(made))
