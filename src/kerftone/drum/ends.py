"""The curve in which a tongue ends.

Drawn in tongue coordinates, mm: `along` is 0 at the tip line and negative back towards the root,
`across` runs from minus half the tongue's width (the front edge) to plus half of it. The furthest point
of every end is on the tip line: the length of a tongue is measured from its root line to that line, whatever its
end. (Where the blow falls is for `outline.strike_point`.)

An end is a sequence of pieces (`arcs.Segment`): lines, arcs and cubic curves. Straight pieces for areas and
meshes are made of it by `arcs.curve_chords`, with the sagitta that is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import assert_never

import numpy as np
from shapely.geometry import LineString

from kerftone.drum.arcs import Curve, Point, Segment, arc_through, curve_chords, joined_up
from kerftone.drum.design import EndShape, Path, Side
from kerftone.errors import OutlineError

SLANT_SHARE = 0.3
"""How far the short corner of a slanted end lies back, as a share of the tongue's width."""
CURVE_SHARE = 0.2
"""The rise of a curved end's arc, as a share of the tongue's width."""
LENGTH_SHARE = 0.8
"""No end reaches further back than this share of the tongue's length."""
EDGE_TOLERANCE_MM = 0.5
"""How far the ends of the maker's own path may miss the tongue's edges; they are then stretched to meet."""
JUDGED_MM = 0.01
"""The sagitta with which a maker's own end is judged: finer than a saw cuts. Own judgement."""


def smooth_through(points: Sequence[Point]) -> Curve:
    """The curve of a batten held at these points and free at its ends: cubic from point to point.

    A natural cubic spline over the length along the points' own chords; its pieces are exact as cubic curves.
    Held by tests/drum/test_ends.py.
    """
    from scipy.interpolate import CubicSpline

    places = np.array(points, dtype=float)
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    slopes = CubicSpline(reach, places, bc_type="natural")(reach, 1)
    found = []
    for (a, b), (slope_a, slope_b), step in zip(
        pairwise(places), pairwise(slopes), np.diff(reach) / 3.0, strict=True
    ):
        low, high = a + step * slope_a, b - step * slope_b
        found.append(
            Segment(
                start=(float(a[0]), float(a[1])),
                end=(float(b[0]), float(b[1])),
                controls=((float(low[0]), float(low[1])), (float(high[0]), float(high[1]))),
            )
        )
    return tuple(found)


def own_curve(path: Path) -> Curve:
    """The pieces of a maker's own end: from corner to corner straight, through "arc" and "smooth" points curved.

    `path` is sound: it begins and ends with a corner, and an "arc" point stands between two corners
    (`values.EndValue`).
    """
    found: list[Segment] = []
    run: list[Point] = []
    bend = ""
    for along, across, *how in path:
        run.append((along, across))
        if how:
            bend = str(how[0])
            continue
        if len(run) == 2:
            found.append(Segment(start=run[0], end=run[1]))
        elif bend == "arc":
            found.append(arc_through(run[0], run[1], run[2]))
        elif len(run) > 2:
            found += smooth_through(run)
        run = run[-1:]
    return joined_up(found)


def _arc(rise_mm: float, half_mm: float) -> Curve:
    """An arc through both edges that rises to the tip line in the middle; the rise at most half the width."""
    return (Segment(start=(-rise_mm, -half_mm), end=(-rise_mm, half_mm), bulge=rise_mm / half_mm),)


def _stretched(path: Path, width_mm: float, name: str) -> Path:
    """The maker's own path, made to meet the edges exactly; refused when it misses them."""
    half = 0.5 * width_mm
    first, last = path[0][1], path[-1][1]
    miss = max(abs(first + half), abs(last - half))
    if miss > EDGE_TOLERANCE_MM:
        raise OutlineError(
            f"{name} runs from {first:.1f} to {last:.1f} mm across. The tongues are {width_mm:.2f} mm "
            f"wide, and their end must go from edge to edge: begin at {-half:.2f} and finish at {half:.2f} "
            "mm across.",
            given=(first, last),
            limit=EDGE_TOLERANCE_MM,
            nearest=(-half, half),
        )
    scale = width_mm / (last - first)
    spread = [(along, -half + (across - first) * scale, *how) for along, across, *how in path]
    spread[-1] = (spread[-1][0], half, *spread[-1][2:])
    return tuple(spread)  # type: ignore[arg-type]


def _own(path: Path, widths_mm: tuple[float, float], deepest_mm: float, name: str) -> Curve:
    """The maker's own end, its furthest point put on the tip line; refused where it cannot end this tongue."""
    width_mm, drawn_mm = widths_mm
    path = _stretched(path, drawn_mm, name)
    if width_mm != drawn_mm:
        path = tuple((along, across * width_mm / drawn_mm, *how) for along, across, *how in path)  # type: ignore[misc]
    curve = own_curve(path)
    line = curve_chords(curve, JUDGED_MM)
    furthest = max(along for along, _ in line)
    curve = tuple(one.moved(lambda p: (p[0] - furthest, p[1])) for one in curve)
    back = furthest - min(along for along, _ in line)
    if back > deepest_mm:
        raise OutlineError(
            f"{name} reaches {back:.1f} mm back from the tip of a tongue {deepest_mm / LENGTH_SHARE:.1f} mm long. "
            f"It may reach back {LENGTH_SHARE:.0%} of the length at most: draw it within {deepest_mm:.1f} "
            "mm, or make the tongue longer.",
            given=back,
            limit=deepest_mm,
            nearest=deepest_mm,
        )
    behind = -deepest_mm - 2.0 * width_mm
    half = 0.5 * width_mm
    around = [(behind, -half), *((along - furthest, across) for along, across in line), (behind, half)]
    if not LineString(around).is_simple:
        raise OutlineError(
            f"{name} crosses itself, or an edge of the tongue. An end is one line from the front edge to the back "
            "edge that the saw can follow: move the points, or put another corner where it turns sharply."
        )
    return curve


def turned_end(path: Path) -> Path:
    """A maker's own end as it is seen from the other side: turned by half a turn."""
    return tuple((along, -across, *how) for along, across, *how in reversed(path))  # type: ignore[misc]


def shortest_mm(shape: EndShape | Path) -> float:
    """How long a tongue must be at least for this end; 0 for a named one, which gives way."""
    if isinstance(shape, str):
        return 0.0
    line = curve_chords(own_curve(shape), JUDGED_MM)
    reach = max(along for along, _ in line) - min(along for along, _ in line)
    return (reach + EDGE_TOLERANCE_MM) / LENGTH_SHARE


def end_pieces(
    shape: EndShape | Path,
    *,
    width_mm: float,
    length_mm: float,
    side: Side = "left",
    name: str = "tongue_end",
    drawn_for_mm: float | None = None,
) -> Curve:
    """In what pieces a tongue of this width and length ends, from its front edge to its back edge.

    "slant" keeps the front corner of a left tongue and the back corner of a right one at full length, so
    that one straight cut parts a facing pair. Raises OutlineError when the maker's own path does not fit.
    Held by tests/drum/test_ends.py.

    Parameters
    ----------
    shape : EndShape | Path
        Its name, or the maker's own points.
    width_mm : float
        Of the tongue, in mm.
    length_mm : float
        Of the tongue, in mm.
    side : Side, optional
        Where its root is.
    name : str, optional
        What the end is called in a refusal.
    drawn_for_mm : float | None, optional
        The width that the maker's own points are drawn for, in mm, where that is another: between slots that bow.
    """
    half, deepest = 0.5 * width_mm, LENGTH_SHARE * length_mm
    if not isinstance(shape, str):
        return _own(shape, (width_mm, drawn_for_mm or width_mm), deepest, name)
    match shape:
        case "square":
            return (Segment(start=(0.0, -half), end=(0.0, half)),)
        case "round":
            return _arc(min(half, deepest), half)
        case "curve":
            return _arc(min(CURVE_SHARE * width_mm, deepest), half)
        case "slant":
            back = min(SLANT_SHARE * width_mm, deepest)
            short_first = side == "right"
            ends = (-back if short_first else 0.0, -half), (0.0 if short_first else -back, half)
            return (Segment(start=ends[0], end=ends[1]),)
        case _:
            assert_never(shape)


def end_curve(
    shape: EndShape | Path,
    *,
    width_mm: float,
    length_mm: float,
    side: Side = "left",
    tolerance_mm: float = 0.05,
) -> tuple[Point, ...]:
    """The same in straight pieces that stray from the end by no more than the tolerance.

    Parameters
    ----------
    shape : EndShape | Path
        Its name, or the maker's own points.
    width_mm : float
        Of the tongue, in mm.
    length_mm : float
        Of the tongue, in mm.
    side : Side, optional
        Where its root is.
    tolerance_mm : float, optional
        The sagitta, in mm.
    """
    return tuple(
        curve_chords(end_pieces(shape, width_mm=width_mm, length_mm=length_mm, side=side), tolerance_mm)
    )
