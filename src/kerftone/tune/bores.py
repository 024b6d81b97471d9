"""Where a tongue may be bored, with which bit, how deep, and what the first-order map says that would do.

A map of the tongue's underside (cents per cm³), read on a grid, is averaged over the disc of each bit at each
place that is free: inside the tongue, clear of the slots, the root and other bores, or in a bore that is there, to
make it deeper.
Places are tried along the centre line first, then beside it. Lengths in mm, seen from above.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import distance_transform_edt, map_coordinates

from kerftone.drum.bore_limits import between_mm, bore_limits, room_for_bit
from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.modal.frame import own_bores
from kerftone.modal.result import Array
from kerftone.units import MM_PER_INCH

STEP_MM = 4.0
"""How far apart the places are that are looked at."""
GRID_MM = 2.0
"""As fine as the map is read; own judgement."""
SIXTY_FOURTH_MM = MM_PER_INCH / 64.0
"""The finest step of bits in inches."""
EDGE_MM = 0.2
"""Points so near the edge of the wood are left to its inside: rounding."""
RIM_MM = 0.9
"""The map is not read this near the rim of a bore, which is a polygon in the model."""
RINGS, TURNS = 4, 16
"""A disc is averaged over so many rings of so many points, of equal areas."""
ASIDE = (0.0, 0.5, -0.5)
"""Lines along a tongue that are tried: shares of the way from the centre line to where the bit would meet a web."""


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A place and a bit: how deep a bore there may be, how deep it is now, and cents per mm deeper.

    slope: the change of `per_mm` with place, as a share per mm. overtone_per_mm: cents per mm of its first overtone
    against its note.
    """

    x_mm: float
    y_mm: float
    bit_mm: float
    aside: float
    now_mm: float
    deepest_mm: float
    per_mm: float
    slope: float
    overtone_per_mm: float = 0.0

    def bore(self, depth_mm: float) -> Bore:
        """The bore made here so deep."""
        return Bore(x_mm=self.x_mm, y_mm=self.y_mm, diameter_mm=self.bit_mm, depth_mm=depth_mm)


def deepest_mm(drum: Drum) -> float:
    """How deep a bore may be in this top: by the shop's own limit, and never past what the outline allows."""
    return drum.top.thickness_mm - bore_limits(drum).kept.over_mm


def depth_step_mm(drum: Drum) -> float:
    """In what steps a depth is set: the shop's own, and in inches the whole number of 64ths nearest to it."""
    step = drum.shop.depth_step_mm
    return step if drum.units == "mm" else max(1, round(step / SIXTY_FOURTH_MM)) * SIXTY_FOURTH_MM


@dataclass(frozen=True, kw_only=True)
class Map:
    """Cents per cm³ bored from under a tongue, on a grid: values (x, y) from `corner`, `GRID_MM` apart, mm."""

    corner: tuple[float, float]
    values: Array

    def __call__(self, x_mm: Array, y_mm: Array) -> Array:
        """Between the grid's points, linearly; beyond them, as at the nearest."""
        places = [(x_mm - self.corner[0]) / GRID_MM, (y_mm - self.corner[1]) / GRID_MM]
        return np.asarray(map_coordinates(self.values, places, order=1, mode="nearest"))


def grid_map(drum: Drum, number: int, density: Callable[[Array, Array], Array]) -> Map:
    """The map of one tongue read on a grid; points beside the wood take the value of the nearest in it.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    density : Callable[[Array, Array], Array]
        Cents per cm³ at x and y in mm.
    """
    shape = tongue_polygon(drum, drum.tongues[number], layout(drum))
    x0, y0, x1, y1 = shape.bounds
    x, y = np.meshgrid(
        np.arange(x0, x1 + GRID_MM, GRID_MM), np.arange(y0, y1 + GRID_MM, GRID_MM), indexing="ij"
    )
    inside = shapely.contains_xy(shape.buffer(-EDGE_MM), x, y)
    for bore in own_bores(drum, number):
        inside &= abs(np.hypot(x - bore.x_mm, y - bore.y_mm) - 0.5 * bore.diameter_mm) > RIM_MM
    values = np.zeros(x.shape)
    values[inside] = density(x[inside], y[inside])
    nearest = distance_transform_edt(~inside, return_distances=False, return_indices=True)
    return Map(corner=(float(x0), float(y0)), values=values[tuple(nearest)])


def spots(drum: Drum, number: int, cents_per_cm3: Map, overtone: Map | None = None) -> list[Spot]:
    """Every place and bit that may be bored under this tongue in this state; `overtone`: the same map of that.

    Parameters
    ----------
    drum : Drum
        The drum in this state, in mm.
    number : int
        Which tongue, counted from 0.
    cents_per_cm3 : Map
        The bore map of its note.
    overtone : Map | None, optional
        The same map of its overtone; None to leave that alone.
    """
    found: list[Spot] = []
    made = own_bores(drum, number)
    deepest, kept = deepest_mm(drum), bore_limits(drum).kept
    for bit in drum.shop.bits_mm:
        free = room_for_bit(drum, number, bit, kept)
        places = [
            (place, aside, 0.0)
            for place, aside in _lines(drum, number, bit)
            if shapely.contains_xy(free, *place) and not any(touch(drum, bore, *place, bit) for bore in made)
        ]
        places += [((b.x_mm, b.y_mm), 0.0, b.depth_mm) for b in made if b.diameter_mm == bit]
        if not places:
            continue
        area_cm2 = math.pi * (0.05 * bit) ** 2
        x, y = np.array([place for place, _, _ in places]).T
        low, mid, high = (_disc_means(cents_per_cm3, x + step, y, 0.5 * bit) for step in (-1.0, 0.0, 1.0))
        slope = abs(high - low) / 2.0 / np.maximum(abs(mid), 1e-9)
        above = mid if overtone is None else _disc_means(overtone, x, y, 0.5 * bit)
        found += [
            Spot(
                x_mm=place[0],
                y_mm=place[1],
                bit_mm=bit,
                aside=aside,
                now_mm=now,
                deepest_mm=deepest,
                per_mm=float(0.1 * area_cm2 * mid[index]),
                slope=float(slope[index]),
                overtone_per_mm=float(0.1 * area_cm2 * (above - mid)[index]),
            )
            for index, (place, aside, now) in enumerate(places)
        ]
    return [spot for spot in found if spot.deepest_mm >= spot.now_mm + depth_step_mm(drum)]


def _lines(drum: Drum, number: int, bit_mm: float) -> list[tuple[tuple[float, float], float]]:
    """Places along the centre line and beside it, with how far beside (a share of the room there is)."""
    lines, tongue = layout(drum), drum.tongues[number]
    assert tongue.side is not None and tongue.row is not None and tongue.length_mm is not None
    way = 1.0 if tongue.side == "left" else -1.0
    root, row, kept = lines.root_mm(tongue.side), tongue.row, bore_limits(drum).kept
    along = np.arange(0.5 * bit_mm + (kept.root_mm or 0.0), tongue.length_mm, STEP_MM)
    xs = [root + way * float(s) for s in along]
    rooms = [0.5 * (lines.width_at_mm(row, x) - bit_mm) - kept.edge_mm for x in xs]
    return [
        ((round(x, 2), round(lines.centre_at_mm(row, x) + share * room, 2)), abs(share))
        for share in ASIDE
        for x, room in zip(xs, rooms, strict=True)
        if room >= 0.0 and (share == 0.0 or room > 1.0)
    ]


def touch(drum: Drum, bore: Bore, x: float, y: float, bit_mm: float) -> bool:
    """Whether a bit here (mm) would break into a bore that is there, or leave too thin a web beside it.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    bore : Bore
        One that is there, in mm.
    x : float
        Of the bit's middle, in mm.
    y : float
        Of the bit's middle, in mm.
    bit_mm : float
        Diameter of the bit, in mm.
    """
    new = Bore(x_mm=x, y_mm=y, diameter_mm=bit_mm, depth_mm=bore.depth_mm)
    return between_mm(bore, new) < (bore_limits(drum).kept.between_mm or 0.0)


def cents_per_mm(cents_per_cm3: Map, x_mm: Array, y_mm: Array, bit_mm: float) -> Array:
    """What a millimetre of depth does, by the first-order map, with this bit's middle at these places (n,).

    Parameters
    ----------
    cents_per_cm3 : Map
        The bore map.
    x_mm : Array
        (n,), in mm.
    y_mm : Array
        (n,), in mm.
    bit_mm : float
        Diameter of the bit, in mm.
    """
    area_cm2 = math.pi * (0.05 * bit_mm) ** 2
    return 0.1 * area_cm2 * _disc_means(cents_per_cm3, x_mm, y_mm, 0.5 * bit_mm)


def _disc_means(cents_per_cm3: Map, x: Array, y: Array, radius_mm: float) -> Array:
    """The mean of the map over discs about these places: rings and turns of equal areas."""
    radii = radius_mm * np.sqrt((np.arange(RINGS) + 0.5) / RINGS)
    turns = 2.0 * math.pi * (np.arange(TURNS) + 0.5) / TURNS
    along, across = (np.outer(radii, wave(turns)).ravel() for wave in (np.cos, np.sin))
    return np.asarray(cents_per_cm3(x[:, None] + along, y[:, None] + across).mean(axis=1))
