"""The wood between the tips of facing tongues that falls away: hatched and named, so that nobody saws a tongue.

mm of the drawing. Slots are not waste: what is no wider than a saw cut or two stays bare.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw import style
from kerftone.draw.dimension import along
from kerftone.draw.sheet import Line, Pen, Text, text_width_mm
from kerftone.drum.outline import Outline

HATCH = Pen(stroke=style.SLATE, width_mm=0.2)
"""Fainter than any cut; own judgement."""
NAME = Pen(fill=style.SLATE, halo=style.PAPER)
WASTE = "WASTE"
HATCH_MM = 5.0
"""Between two lines; own judgement."""
MARKED = "Hatched: waste, sawn out between the tips."


def waste(drawn: Outline, *, kerf_mm: float) -> tuple[Polygon, ...]:
    """The pieces that fall out, wherever they are wider than three saw cuts."""
    opened = drawn.removed.buffer(-1.5 * kerf_mm, join_style="mitre").buffer(
        1.5 * kerf_mm, join_style="mitre"
    )
    pieces = getattr(opened.intersection(drawn.removed), "geoms", (opened.intersection(drawn.removed),))
    return tuple(p for p in pieces if isinstance(p, Polygon) and p.area > 20.0)


def hatched(zone: BaseGeometry, *, gap_mm: float = HATCH_MM) -> list[Line]:
    """Slanting lines across a zone, on one raster whatever the zone."""
    if zone.is_empty:
        return []
    west, south, east, north = zone.bounds
    gap = gap_mm * math.sqrt(2.0)
    found = []
    for k in range(math.floor((west - north) / gap), math.ceil((east - south) / gap) + 1):
        line = LineString([(k * gap + south, south), (k * gap + north, north)]).intersection(zone)
        for part in getattr(line, "geoms", (line,)):
            if isinstance(part, LineString) and len(part.coords) > 1:
                found.append(Line(points=tuple((x, y) for x, y in part.coords)))
    return found


def waste_names(pieces: tuple[Polygon, ...], rows: tuple[tuple[float, float], ...]) -> Iterator[Text]:
    """The word on each piece, once for each row that it lies in, level or turned as there is room."""
    height = style.SMALLEST_MM
    wide = text_width_mm(WASTE, height)
    for piece in pieces:
        for low, high in rows:
            middle = 0.5 * (low + high)
            cut = piece.intersection(LineString([(-1e4, middle), (1e4, middle)]))
            for part in getattr(cut, "geoms", (cut,)):
                if not isinstance(part, LineString) or part.is_empty:
                    continue
                (a, _), (b, _) = sorted((part.coords[0], part.coords[-1]))
                at = (0.5 * (a + b), middle - 0.5 * height)
                spots = along((a, at[1]), (b, at[1]), wide)
                if spots:
                    yield Text(
                        at=at, words=WASTE, height_mm=height, anchor="middle", spots=spots, plate=style.PAPER
                    )
                elif b - a > height + 2.0 and high - low > wide:
                    at = (0.5 * (a + b) + 0.5 * height, middle)
                    yield Text(
                        at=at,
                        words=WASTE,
                        height_mm=height,
                        anchor="middle",
                        angle_deg=90.0,
                        plate=style.PAPER,
                    )
