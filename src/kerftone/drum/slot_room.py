"""A row of tongues between its two slots: edges, centre line, and where the ends of tongues meet them.

Where both slots are straight all this is two lines; where one bows, its edges are arcs (`slot_curve.py`). mm; x along
the board, y across from its front edge. Held by tests/drum/test_slot_room.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from kerftone.drum.arcs import Curve, Point, Segment
from kerftone.drum.design import Drum
from kerftone.drum.plan_lines import Layout
from kerftone.drum.slot_curve import APART_MM

CENTRE_STEPS = 200
"""Straight pieces of a bowed centre line, as long as the board: a fall of 50 mm strays from them by 0.002 mm."""
MEETS_MM = 1e-10
"""How nearly an end is as wide as its row where it meets the edges."""
MOST_ROUNDS = 100
"""Rounds at most: each comes nearer by the slope of the edges, a half at the steepest."""


def straightened(drum: Drum) -> Drum:
    """The same drum with straight slots."""
    return replace(drum, slots=replace(drum.slots, bow_mm=())) if drum.slots.bow_mm else drum


def bowed_ys(
    lines: Layout, edge_mm: float, width_mm: float, places_mm: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Where places of the straightened top lie on the bowed one, and how much wider it is there than that: (n,) each.

    Slots go to slots and every strip of wood between is stretched evenly across; x stays. Beside the outer slots the
    stretching ends so far from the board's edge.

    Parameters
    ----------
    lines : Layout
        Of the drum whose slots bow.
    edge_mm : float
        What of the board along its sides stays where it is, in mm.
    width_mm : float
        Of the board, in mm.
    places_mm : np.ndarray
        (n, 2): x and y, in mm.
    """
    half = lines.half_kerf_mm
    straight = [y + off for y in lines.slot_ys_mm for off in (-half, half)]
    before = np.array([edge_mm, *straight, width_mm - edge_mm])
    ys, wider = places_mm[:, 1].copy(), np.ones(len(places_mm))
    for at, (x, y) in enumerate(places_mm):
        if not before[0] < y < before[-1]:
            continue
        root = min(max(x, lines.root_left_mm), lines.root_right_mm)
        slots = [lines.slot(slot).y_at(root, off) for slot in range(lines.rows + 1) for off in (-half, half)]
        after = np.array([edge_mm, *slots, width_mm - edge_mm])
        strip_of = int(np.searchsorted(before, y, side="right")) - 1
        wider[at] = (after[strip_of + 1] - after[strip_of]) / (before[strip_of + 1] - before[strip_of])
        ys[at] = after[strip_of] + wider[at] * (y - before[strip_of])
    return ys, wider


def slot_edges(lines: Layout, row: int, span_mm: tuple[float, float]) -> tuple[Segment, Segment]:
    """The two edges of the tongues of a row, front and back, from one x to another.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    span_mm : tuple[float, float]
        From which x to which, in mm.
    """
    half = lines.half_kerf_mm
    return lines.slot(row - 1).piece(*span_mm, half), lines.slot(row).piece(*span_mm, -half)


def tongue_side(
    lines: Layout,
    row: int,
    at: int,
    span_mm: tuple[float, float],
    tolerance_mm: float,
    *,
    same_area: bool,
) -> list[Point]:
    """The corners of a tongue's edge from its root on, without the one where its end begins.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    at : int
        0 for the front edge, 1 for the back edge.
    span_mm : tuple[float, float]
        The x of the root line and of the end.
    tolerance_mm : float
        How far the chords of curves may stray, in mm.
    same_area : bool
        See `SlotCurve.chords`.
    """
    root, end = span_mm
    line, off = lines.slot(row - 1 + at), (-lines.half_kerf_mm if at else lines.half_kerf_mm)
    if not line.bow_mm:
        return [(root, line.y_at(root, off))]
    chords = line.chords(off, tolerance_mm, same_area=same_area)
    if end < root:
        chords.reverse()
    way = 1.0 if end > root else -1.0
    return [p for p in chords if way * (end - p[0]) > APART_MM]


def strip(lines: Layout, row: int, tolerance_mm: float, *, same_area: bool) -> Polygon:
    """One row with the whole of the slots on both sides of it, root line to root line.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    tolerance_mm : float
        How far the chords of curves may stray, in mm.
    same_area : bool
        See `SlotCurve.chords`.
    """
    half = lines.half_kerf_mm
    if not lines.is_bowed(row):
        low, high = lines.slot_ys_mm[row - 1] - half, lines.slot_ys_mm[row] + half
        return shapely.box(lines.root_left_mm, low, lines.root_right_mm, high)
    front = lines.slot(row - 1).chords(-half, tolerance_mm, same_area=same_area)
    back = lines.slot(row).chords(half, tolerance_mm, same_area=same_area)
    return Polygon([*front, *reversed(back)])


def between_edges(lines: Layout, row: int, tolerance_mm: float) -> Polygon:
    """All a row has between its two slots, from root line to root line.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    tolerance_mm : float
        How far the chords of curves may stray, in mm.
    """
    half = lines.half_kerf_mm
    front = lines.slot(row - 1).chords(half, tolerance_mm)
    back = lines.slot(row).chords(-half, tolerance_mm)
    return Polygon([*front, *reversed(back)])


def beside_tongue(
    lines: Layout,
    row: int,
    spans_mm: tuple[tuple[float, float], ...],
    tolerance_mm: float,
    *,
    same_area: bool,
) -> Polygon:
    """The bowed slots of a row beside a tongue alone in it, with some of the tongue: cut off square to the board.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    spans_mm : tuple[tuple[float, float], ...]
        From which x to which: of the slot in front, and of the one behind.
    tolerance_mm : float
        How far the chords of curves may stray, in mm.
    same_area : bool
        See `SlotCurve.chords`.
    """
    half, found = lines.half_kerf_mm, []
    # Reaching into the tongue, whose last chord may not be that of the whole slot; what is the tongue's stays its.
    sides = (row - 1, (-half, 2.0 * half)), (row, (-2.0 * half, half))
    for (slot, offs), span in zip(sides, spans_mm, strict=True):
        line = lines.slot(slot)
        if line.bow_mm:
            # The cut round the end begins square to the edge: as far as that leans forward, the slot goes on.
            root, end = span
            steep = (line.y_at(end + half) - line.y_at(end - half)) / (2.0 * half)
            lean = 2.0 * half * abs(math.sin(math.atan(steep)))
            end += math.copysign(lean + tolerance_mm, end - root)
            front, back = (line.chords(off, tolerance_mm, same_area=same_area) for off in offs)
            across = shapely.box(
                min(root, end), min(front)[1] - lines.span_mm, max(root, end), max(back)[1] + lines.span_mm
            )
            found.append(Polygon([*front, *reversed(back)]).intersection(across))
    return shapely.union_all(found)


def slot_part(lines: Layout, slot: int, low_mm: float, high_mm: float) -> LineString:
    """The centre line of a slot (from 0) between two x.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    slot : int
        From 0 at the front.
    low_mm : float
        Where it begins, in mm.
    high_mm : float
        Where it ends, in mm.
    """
    line = lines.slot(slot)
    steps = CENTRE_STEPS if line.bow_mm else 1
    return LineString([(float(x), line.y_at(float(x))) for x in np.linspace(low_mm, high_mm, steps + 1)])


def centre_line(lines: Layout, row: int, from_mm: float, to_mm: float) -> LineString:
    """The line half way between the edges of a row, from one x to another.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    from_mm : float
        The x where it begins, in mm.
    to_mm : float
        The x where it ends, in mm.
    """
    steps = CENTRE_STEPS if lines.is_bowed(row) else 1
    return LineString(
        [(float(x), lines.centre_at_mm(row, float(x))) for x in np.linspace(from_mm, to_mm, steps + 1)]
    )


def end_on_edges(
    pieces: Callable[[float], Curve], lines: Layout, row: int, x_of: Callable[[float], float]
) -> tuple[Curve, float, tuple[float, float]]:
    """An end as wide as its row is where it meets the edges; the y of its middle, and of the two meeting points.

    Parameters
    ----------
    pieces : Callable[[float], Curve]
        The end of a tongue of this width, front edge first.
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    x_of : Callable[[float], float]
        Where on the board a place along the tongue is, from its tip.
    """
    if not lines.is_bowed(row):
        return pieces(lines.tongue_width_mm), lines.centre_mm(row), lines.edges_mm(row)
    width = lines.tongue_width_mm
    for _ in range(MOST_ROUNDS):
        found = pieces(width)
        front = lines.edges_at_mm(row, x_of(found[0].start[0]))[0]
        back = lines.edges_at_mm(row, x_of(found[-1].end[0]))[1]
        if abs(back - front - width) < MEETS_MM:
            break
        width = max(back - front, APART_MM)
    return found, 0.5 * (front + back), (front, back)
