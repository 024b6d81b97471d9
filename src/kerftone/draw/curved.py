"""The edges of the sawn top as shapes of a drawing, their arcs and curves true. mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw.sheet import Outlined
from kerftone.drum.arcs import Segment
from kerftone.drum.bends import with_bends
from kerftone.drum.outline import Outline


def edges(
    shape: BaseGeometry, bends: Sequence[Segment] = (), *, sagitta_mm: float = 0.0
) -> tuple[Outlined, ...]:
    """Every edge of a polygon, or of several, as a closed path of its own.

    Parameters
    ----------
    shape : BaseGeometry
        The polygon or polygons, in mm.
    bends : Sequence[Segment], optional
        The curves that its edges are chords of.
    sagitta_mm : float, optional
        How far those chords stray from them, in mm.
    """
    return tuple(
        Outlined(path=with_bends(ring.coords, bends, sagitta_mm=sagitta_mm))
        for part in _polygons(shape)
        for ring in (part.exterior, *part.interiors)
    )


def areas(shape: BaseGeometry, drawn: Outline) -> tuple[Outlined, ...]:
    """A polygon, or several, of this outline: an area each, with its holes and its true curves.

    Held by tests/draw/test_curved.py.
    """

    def ring(line: BaseGeometry) -> Outlined:
        return Outlined(path=with_bends(line.coords, drawn.bends, sagitta_mm=drawn.tolerance_mm))

    return tuple(
        Outlined(path=ring(part.exterior).path, holes=tuple(ring(hole).path for hole in part.interiors))
        for part in _polygons(shape)
    )


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    parts: Iterable[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]
