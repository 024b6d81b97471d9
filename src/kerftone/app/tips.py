"""The end of all tongues, or of one, as changes of the drum's file: a shape by its name, or the maker's own points.

Points come in mm, [along, across] from the middle of the tip line, with "smooth" or "arc" third where a curve goes
through them; they are written in the file's own units.
"""

from __future__ import annotations

from typing import Any, get_args

from kerftone.drum.design import Drum, EndShape, Path
from kerftone.drum.edit import Change
from kerftone.drum.ends import end_curve
from kerftone.drum.plan_lines import layout
from kerftone.units import nearest_mark, written_length

MOST_POINTS = 60
"""More of them no one drags: own judgement."""
PARTS = 64
"""Points of an end are marked to the finest part of an inch on a rule."""
BENDS = ("smooth", "arc")


def end_changes(drum: Drum, wish: dict[str, Any]) -> tuple[list[Change], str]:
    """An end of the tongue `tongue`, of all where that is None. Raises ValueError for what is no end.

    `shape`: a name, "own" for points that begin where the present end lies, or "as all". `points`: own points.
    Held by tests/app/test_tips.py.
    """
    number = wish.get("tongue")
    if number is not None and (not isinstance(number, int) or not 0 <= number < len(drum.tongues)):
        raise ValueError(number)
    at = ("slots", "tongue_end") if number is None else ("tongues", number, "end")
    words = "end of the tongues" if number is None else f"end of {drum.tongues[number].note}"
    if "points" in wish:
        return [Change(at=at, value=_stated(drum, _read(wish["points"])))], words
    shape = wish["shape"]
    if shape == "as all" and number is not None:
        return [Change(at=at, value=None)], words
    if shape == "own":
        return [Change(at=at, value=_stated(drum, first_points(drum, number)))], words
    if shape not in get_args(EndShape):
        raise ValueError(shape)
    return [Change(at=at, value=shape)], words


def _read(points: Any) -> list[list[Any]]:
    if not isinstance(points, list) or not 2 <= len(points) <= MOST_POINTS:
        raise ValueError("points")
    read: list[list[Any]] = []
    for point in points:
        along, across, *how = point
        if how and how[0] not in BENDS:
            raise ValueError(how)
        read.append([float(along), float(across), *how[:1]])
    return read


def _stated(drum: Drum, points: list[list[Any]]) -> list[list[Any]]:
    """As the file states them, the furthest of corners alone on the tip line; in inches every point between the
    tongue's edges on the rule."""
    furthest = 0.0 if any(len(point) > 2 for point in points) else max(point[0] for point in points)

    def stated(mm: float) -> float | int | str:
        on_rule = nearest_mark(mm, "in", parts=PARTS) if drum.units == "in" else mm
        return written_length(on_rule, drum.units)

    edges = (0, len(points) - 1)
    return [
        [
            stated(along - furthest),
            written_length(across, drum.units) if number in edges else stated(across),
            *how,
        ]
        for number, (along, across, *how) in enumerate(points)
    ]


def first_points(drum: Drum, number: int | None) -> list[list[Any]]:
    """Points to begin with, that lie where the present end does: few, so that they can be taken hold of."""
    lines = layout(drum)
    half = 0.5 * lines.tongue_width_mm
    tongue = drum.tongues[number or 0]
    shape: EndShape | Path = drum.slots.tongue_end if number is None else drum.end_of(tongue)
    if not isinstance(shape, str):
        return [list(point) for point in shape]
    long = max(lines.span_mm, 4.0 * half)
    curve = end_curve(shape, width_mm=2.0 * half, length_mm=long, side=tongue.side or "left")
    first, last = curve[0], curve[-1]
    if shape in ("round", "curve"):
        return [list(first), [0.0, 0.0, "arc"], list(last)]
    return [list(first), [0.5 * (first[0] + last[0]), 0.0], list(last)]
