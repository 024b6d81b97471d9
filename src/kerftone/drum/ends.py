"""The curve in which a tongue ends.

Drawn in tongue coordinates, mm: `along` is 0 at the tip line and negative back towards the root,
`across` runs from minus half the tongue's width (the front edge) to plus half of it. The furthest point
of every end is on the tip line, so the length of a tongue does not depend on its end.

Curves come as polylines whose chords stay within a tolerance of the true curve.
"""

from __future__ import annotations

import math
from typing import assert_never

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


def arc_steps(radius_mm: float, angle: float, tolerance_mm: float) -> int:
    """How many chords keep an arc of this radius and angle (radians) within the tolerance."""
    bulge = min(tolerance_mm / radius_mm, 1.0)
    return max(2, math.ceil(angle / (2.0 * math.acos(1.0 - bulge))))


def _arc(rise_mm: float, half_mm: float, tolerance_mm: float) -> Path:
    """An arc through both edges that rises to the tip line in the middle; the rise at most half the width."""
    radius = (half_mm**2 + rise_mm**2) / (2.0 * rise_mm)
    sweep = 2.0 * math.atan2(half_mm, radius - rise_mm)
    steps = arc_steps(radius, sweep, tolerance_mm)
    steps += steps % 2  # a corner on the tip line itself, so that the length is exact
    turns = [sweep * (step / steps - 0.5) for step in range(steps + 1)]
    inner = [(radius * (math.cos(turn) - 1.0), radius * math.sin(turn)) for turn in turns[1:-1]]
    return ((-rise_mm, -half_mm), *inner, (-rise_mm, half_mm))


def _stretched(path: Path, width_mm: float) -> Path:
    """The maker's own path, made to meet the edges exactly; refused when it misses them."""
    half = 0.5 * width_mm
    first, last = path[0][1], path[-1][1]
    miss = max(abs(first + half), abs(last - half))
    if miss > EDGE_TOLERANCE_MM:
        raise OutlineError(
            f"tongue_end runs from {first:.1f} to {last:.1f} mm across. The tongues are {width_mm:.2f} mm "
            f"wide, and their end must go from edge to edge: begin at {-half:.2f} and finish at {half:.2f} "
            "mm across.",
            given=(first, last),
            limit=EDGE_TOLERANCE_MM,
            nearest=(-half, half),
        )
    scale = width_mm / (last - first)
    return tuple((along, -half + (across - first) * scale) for along, across in path)


def end_curve(
    shape: EndShape | Path,
    *,
    width_mm: float,
    length_mm: float,
    side: Side = "left",
    tolerance_mm: float = 0.05,
) -> Path:
    """In what curve a tongue of this width and length ends, from its front edge to its back edge.

    "slant" keeps the front corner of a left tongue and the back corner of a right one at full length, so
    that one straight cut parts a facing pair. Raises OutlineError when the maker's own path does not fit.
    """
    half, deepest = 0.5 * width_mm, LENGTH_SHARE * length_mm
    if not isinstance(shape, str):
        path = _stretched(shape, width_mm)
        back = -min(along for along, _ in path)
        if back > deepest:
            raise OutlineError(
                f"tongue_end reaches {back:.1f} mm back from the tip of a tongue {length_mm:.1f} mm long. "
                f"It may reach back {LENGTH_SHARE:.0%} of the length at most: draw it within {deepest:.1f} "
                "mm, or make the tongue longer.",
                given=back,
                limit=deepest,
                nearest=deepest,
            )
        return path
    match shape:
        case "square":
            return ((0.0, -half), (0.0, half))
        case "round":
            return _arc(min(half, deepest), half, tolerance_mm)
        case "curve":
            return _arc(min(CURVE_SHARE * width_mm, deepest), half, tolerance_mm)
        case "slant":
            back = min(SLANT_SHARE * width_mm, deepest)
            short_first = side == "right"
            return ((-back if short_first else 0.0, -half), (0.0 if short_first else -back, half))
        case _:
            assert_never(shape)
