"""How near two tongues may come: the wood between them is at least a saw cut.

Two facing tongues with straight, round or curved tips must leave a kerf between their tip lines. Ends of other shapes
may reach past each other's tip line (a nose into a notch), or beyond their own row: what counts is the distance
between the two edges. Lengths in mm. Held by tests/drum/test_facing.py.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import shapely
import shapely.affinity
from shapely.geometry import Polygon

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.outline import Outline, tongue_polygon
from kerftone.drum.plan_lines import Layout, layout
from kerftone.drum.slot_room import between_edges

PLAIN_ENDS = frozenset({"square", "round", "curve"})
"""Ends whose foremost point is in the middle or everywhere: two of them touch first at their tip lines."""
STEP_MM = 0.5
"""Tips are pushed together in steps of this, so that a hook is met where it is met first. Own judgement."""
NEAR_MM = 1e-3
"""How nearly the least gap between two tips is found."""
SAGITTA_MM = 0.01
"""Of the chords that distances are measured on: they make an edge look nearer or further by this at most."""


def facing(drum: Drum, number: int) -> int | None:
    """The number of the tongue across from this one, from 0, if there is one."""
    mine = drum.tongues[number]
    for other, tongue in enumerate(drum.tongues):
        if other != number and tongue.row == mine.row and tongue.side != mine.side:
            return other
    return None


def tip_gap_mm(drum: Drum, number: int, other: int) -> float:
    """How far apart the tip lines of two facing tongues (from 0) must be at least; below 0 where they may pass.

    Lengths that are not known yet are taken as half the row. Raises OutlineError for an end that does not fit.

    Parameters
    ----------
    drum : Drum
        With rows and sides.
    number : int
        One tongue, from 0.
    other : int
        The tongue that faces it, from 0.
    """
    kerf = drum.slots.kerf_mm
    pair = drum.tongues[number], drum.tongues[other]
    if all(drum.end_of(tongue) in PLAIN_ENDS for tongue in pair):
        return kerf
    lines = layout(drum)
    spans = [_length(tongue, lines) for tongue in pair]
    shapes = [_shape(drum, tongue, lines, mm) for tongue, mm in zip(pair, spans, strict=True)]
    apart = lines.span_mm - sum(spans)  # between the tip lines as the two shapes stand
    way = 1.0 if pair[0].side == "left" else -1.0

    def clear(gap: float) -> bool:
        if lines.is_bowed(pair[0].row or 1):  # an end is wider or narrower further along
            moved = _shape(drum, pair[1], lines, spans[1] + apart - gap)
        else:
            moved = shapely.affinity.translate(shapes[1], way * (gap - apart), 0.0)
        return bool(shapes[0].distance(moved) >= kerf)

    low, lowest = kerf, kerf - min(spans)
    while low - STEP_MM > lowest and clear(low - STEP_MM):
        low -= STEP_MM
    high, low = low, low - STEP_MM
    while high - low > NEAR_MM:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if clear(middle) else (middle, high)
    return min(high, kerf)


def _length(tongue: Tongue, lines: Layout) -> float:
    return 0.5 * lines.span_mm if tongue.length_mm is None else tongue.length_mm


def _shape(drum: Drum, tongue: Tongue, lines: Layout, length_mm: float) -> Polygon:
    """A tongue as it is when it is so long.

    Parameters
    ----------
    drum : Drum
        With rows and sides.
    tongue : Tongue
        One of its.
    lines : Layout
        Its lines.
    length_mm : float
        In mm.
    """
    known = replace(tongue, length_mm=length_mm)
    drum = replace(drum, tongues=tuple(known if one is tongue else one for one in drum.tongues))
    return tongue_polygon(drum, known, lines, tolerance_mm=SAGITTA_MM)


def row_spare_mm(drum: Drum) -> dict[int, float]:
    """By how much more than "a kerf between the tip lines" allows the tongues of a row may be long together.

    Only for rows with an end of a tongue's own: elsewhere a kerf stays between the tip lines.
    """
    found = {}
    for number, tongue in enumerate(drum.tongues):
        other = facing(drum, number) if tongue.row is not None else None
        if other is None or other < number or tongue.row is None:
            continue
        if tongue.end is not None or drum.tongues[other].end is not None:
            found[tongue.row] = drum.slots.kerf_mm - tip_gap_mm(drum, number, other)
    return found


def too_near(drum: Drum, drawn: Outline) -> tuple[int, int, float] | None:
    """The two tongues (from 0) of different rows that come nearest to each other, if that is nearer than a kerf."""
    worst: tuple[int, int, float] | None = None
    out = [_is_out(tongue, shape, drawn) for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True)]
    for one, other in combinations(range(len(drum.tongues)), 2):
        if drum.tongues[one].row == drum.tongues[other].row or not (out[one] or out[other]):
            continue
        apart = drawn.tongues[one].distance(drawn.tongues[other])
        if apart < drum.slots.kerf_mm - drawn.tolerance_mm and (worst is None or apart < worst[2]):
            worst = one, other, float(apart)
    return worst


def _is_out(tongue: Tongue, shape: Polygon, drawn: Outline) -> bool:
    """Whether a tongue reaches beyond its own edges."""
    lines, row = drawn.layout, tongue.row or 1
    if lines.is_bowed(row):
        return not between_edges(lines, row, drawn.tolerance_mm).buffer(drawn.tolerance_mm).covers(shape)
    front, back = lines.edges_mm(row)
    return bool(shape.bounds[1] < front - NEAR_MM or shape.bounds[3] > back + NEAR_MM)
