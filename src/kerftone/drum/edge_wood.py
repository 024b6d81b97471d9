"""The wood that goes when the upper edges of the slots are rounded over, as points that each stand for some of it.

A round-over bit takes a quarter round of radius r off the edge: at a distance d from the slot, measured square to its
edge, it goes r − √(r² − (r − d)²) deep. Round the corner of a tongue's tip the two edges meet in a mitre, round the
end of a slot the bit swings in an arc, so that a place is as deep as its distance from the slot says everywhere. Sums
over the points are integrals over that wood: of volume exactly, of strain and motion to the order of Gauss. mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LinearRing, MultiPolygon, Polygon
from shapely.geometry.polygon import orient

Array = NDArray[np.floating]
USUAL_MM = 3.175
"""A 1/8 in round-over bit, the smallest that most shops have: common practice, no source."""
STEP_MM = 12.0
"""Stations along an edge are two to so many mm. With a third of it the cents of the small drum move by less than a
hundredth: tests/modal/test_rounded.py."""
ALONG, ACROSS, THROUGH = 2, 4, 2
"""Gauss points along a step, across the edge and down from the upper face."""
SWUNG_RAD = 1e-3
"""A corner of a slot that turns by less is straight: rounding."""


@dataclass(frozen=True)
class EdgeWood:
    """places_mm (p, 3) inside the wood that goes, and volume_mm3 (p,), how much of it each stands for."""

    places_mm: Array
    volume_mm3: Array


def edge_wood(top: Polygon | MultiPolygon, *, radius_mm: float, thickness_mm: float) -> EdgeWood:
    """What a round-over takes off the upper edges of all slots of this top.

    Sound as long as the radius is smaller than half of every piece of wood beside a slot. Held by
    tests/drum/test_edge_wood.py.

    Parameters
    ----------
    top : Polygon | MultiPolygon
        The wood of the top seen from above, its slots inside it.
    radius_mm : float
        Of the bit, in mm.
    thickness_mm : float
        Of the top, in mm.
    """
    across, shares = _section(radius_mm)
    plans, lengths = [], []
    for ring in _slot_edges(top):
        for places, parts in (_sides(ring, across[:, 0]), _swings(ring, across[:, 0])):
            plans.append(places)
            lengths.append(parts)
    plan, length = (
        np.concatenate(plans),
        np.concatenate(lengths),
    )  # (stations, section, 2), (stations, section)
    high = np.broadcast_to(thickness_mm - across[:, 1], length.shape)
    places = np.concatenate([plan, high[..., None]], axis=2)
    return EdgeWood(places.reshape(-1, 3), (length * shares).ravel())


def _section(radius_mm: float) -> tuple[Array, Array]:
    """Points (s, 2) in the section of the wood that goes: from the edge, down from the face; and their areas (s,)."""
    turn, wide = _gauss(ACROSS, 0.5 * math.pi)
    down, thick = _gauss(THROUGH, 1.0)
    deep = radius_mm * (1.0 - np.sin(turn))
    aside = np.repeat(radius_mm * (1.0 - np.cos(turn)), THROUGH)
    areas = np.outer(wide * radius_mm * np.sin(turn) * deep, thick)
    return np.column_stack([aside, np.outer(deep, down).ravel()]), areas.ravel()


def _gauss(count: int, to: float) -> tuple[Array, Array]:
    """Places from 0 to `to` and their weights."""
    places, weights = np.polynomial.legendre.leggauss(count)
    return 0.5 * to * (1.0 + places), 0.5 * to * weights


def _slot_edges(top: Polygon | MultiPolygon) -> list[Array]:
    """The corners (n, 2) of each edge between wood and slot, the wood to its left."""
    parts = getattr(top, "geoms", [top])
    rings: list[LinearRing] = [ring for part in parts for ring in orient(part).interiors]
    return [np.array(ring.coords)[:-1] for ring in rings]


def _turns(ring: Array) -> Array:
    """By how much the edge turns at each corner (n,): positive where the wood has a corner, negative round a slot."""
    after = np.roll(ring, -1, axis=0) - ring
    before = np.roll(after, 1, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.arctan2(cross, (before * after).sum(axis=1)))


def _sides(ring: Array, aside: Array) -> tuple[Array, Array]:
    """Stations along the straight pieces of an edge, so far aside: places (n, s, 2), lengths (n, s)."""
    turns = _turns(ring)
    lost = np.where(turns < -SWUNG_RAD, 0.0, np.tan(0.5 * turns))  # per mm aside, at each corner
    at, wide = _gauss(ALONG, 1.0)
    places, lengths = [], []
    for start, end, first, last in zip(ring, np.roll(ring, -1, axis=0), lost, np.roll(lost, -1), strict=True):
        long = math.dist(start, end)
        way = (end - start) / long
        inwards = np.array([-way[1], way[0]])
        pieces = max(1, math.ceil(long / STEP_MM))
        shares = ((np.arange(pieces)[:, None] + at) / pieces).ravel()
        room = long - aside * (first + last)
        along = first * aside + shares[:, None] * room
        places.append(start + along[..., None] * way + aside[:, None] * inwards)
        lengths.append(np.outer(np.tile(wide, pieces) / pieces, room))
    return np.concatenate(places), np.concatenate(lengths)


def _swings(ring: Array, aside: Array) -> tuple[Array, Array]:
    """The same on the arcs round the ends of slots."""
    turns = _turns(ring)
    at, wide = _gauss(ALONG, 1.0)
    places, lengths = [np.zeros((0, len(aside), 2))], [np.zeros((0, len(aside)))]
    for number in np.flatnonzero(turns < -SWUNG_RAD):
        corner, way = ring[number], ring[number] - ring[number - 1]
        begins = math.atan2(way[1], way[0]) + 0.5 * math.pi
        angles = begins + at * turns[number]
        out = np.column_stack([np.cos(angles), np.sin(angles)])
        places.append(corner + aside[:, None] * out[:, None, :])
        lengths.append(np.outer(wide * -turns[number], aside))
    return np.concatenate(places), np.concatenate(lengths)
