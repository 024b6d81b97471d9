"""The top seen from above: what the saw takes away and what is left.

Axes in mm: x along the length from the left end, y across from the front edge. Rows are equal strips
between the outer slots' centre lines, row 1 in front; slots that bow (`slot_curve.py`) keep their two ends. In a row
with two tongues all wood between the tips goes; a tongue alone keeps the rest of its row, with a kerf across its tip.
Slots are as wide as the kerf, end flat on the root lines, and where a tongue stands alone they end with the kerf
across its tip. An end that reaches out of its row has a kerf sawn round it wherever it meets other wood.
Areas are polygons whose chords stray from curves by no more than a stated tolerance; the curves themselves are kept
beside them (`Outline.bends`), so that whoever draws or cuts can put them back (`bends.py`).

`outline` draws; whether the drawing can be sawn and will hold is judged by `check.py`. Nothing here knows
the thickness.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

import shapely
from shapely.geometry import MultiPolygon, Polygon

from kerftone.drum.arcs import Curve, Segment, curve_chords, same_area_chords
from kerftone.drum.around import kerf_round
from kerftone.drum.design import Drum, Side, Tongue
from kerftone.drum.ends import end_pieces
from kerftone.drum.plan_lines import Layout, layout, needs_fit
from kerftone.drum.seat import beside_mm, end_seat_mm, over_mm, seat_mm
from kerftone.drum.slot_room import (
    beside_tongue,
    centre_line,
    end_on_edges,
    slot_edges,
    slot_part,
    strip,
    tongue_side,
)

STRIKE_MM = 15.0
"""How far from the tip, on the centre line, a tongue is struck."""
STRIKE_SHARE = 0.5
"""But no further than this share of the centre line's wood: a deep notch leaves little of a short tongue."""

LENGTHENED_MM = 1e-3
"""The sagitta of what a bowed slot is lengthened by: a few millimetres, nearly straight."""
GRID_MM = 1e-7
"""Points nearer than this are one point; it keeps rounding from leaving slivers."""

Line = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Outline:
    """The plan of the top, mm. Tongues and strike points are in the order of the drum's tongues.

    board: the board before sawing. top: the wood that remains. removed: the wood that goes (a polygon or
    several). tongues: from root line to end curve. slot_lines: (x from, x to, y of its ends) of each slot's centre
    line. bends: the arcs and curves that edges of these areas are chords of, straying by `tolerance_mm` at most.
    stop_holes: (x, y, diameter). box_inner: what of the underside is free, inside the walls, root bars and the rabbet
    of a top on a lip. box_outer, wall_inner: the outer and the inner faces of the walls.
    """

    layout: Layout
    board: Polygon
    top: Polygon | MultiPolygon
    removed: Polygon | MultiPolygon
    tongues: tuple[Polygon, ...]
    strike_points: tuple[tuple[float, float], ...]
    slot_lines: tuple[Line, ...]
    stop_holes: tuple[Line, ...]
    box_inner: Polygon
    box_outer: Polygon
    wall_inner: Polygon
    bends: tuple[Segment, ...] = ()
    tolerance_mm: float = 0.05


def end_name(drum: Drum, tongue: Tongue) -> str:
    """What the end of this tongue is called in a refusal: the key of all tongues, or its own."""
    if tongue.end is None:
        return "tongue_end"
    return f"The end of tongue {drum.tongues.index(tongue) + 1} ({tongue.note})"


def tongue_end(drum: Drum, tongue: Tongue, lines: Layout) -> Curve:
    """In what pieces one tongue ends, from its front edge to its back edge, in board coordinates, mm.

    Raises OutlineError when its own end does not fit.

    Parameters
    ----------
    drum : Drum
        Whose end it is, if the tongue has none of its own.
    tongue : Tongue
        With its row, side and length.
    lines : Layout
        Where rows and root lines are.
    """
    assert tongue.length_mm is not None and tongue.row is not None and tongue.side is not None
    row, side, tip, (root, way) = tongue.row, tongue.side, tongue.length_mm, _root(lines, tongue.side)

    def pieces(width_mm: float) -> Curve:
        return end_pieces(
            drum.end_of(tongue),
            width_mm=width_mm,
            length_mm=tip,
            side=side,
            name=end_name(drum, tongue),
            drawn_for_mm=lines.tongue_width_mm,
        )

    found, y, (front, back) = end_on_edges(pieces, lines, row, lambda along: root + way * (tip + along))
    placed = [
        one.moved(lambda p: (root + way * (tip + p[0]), y + p[1]), turned_over=way < 0.0) for one in found
    ]
    # The edges are the slots' to the last bit.
    placed[0] = replace(placed[0], start=(placed[0].start[0], front))
    placed[-1] = replace(placed[-1], end=(placed[-1].end[0], back))
    return tuple(placed)


def tongue_polygon(drum: Drum, tongue: Tongue, lines: Layout, *, tolerance_mm: float = 0.05) -> Polygon:
    """One tongue from its root line to its end curve, in board coordinates, mm.

    Parameters
    ----------
    drum : Drum
        Whose tongue it is.
    tongue : Tongue
        With its row, side and length.
    lines : Layout
        Where rows and root lines are.
    tolerance_mm : float, optional
        How far the chords of its end may stray from the curve, in mm.
    """
    return _polygon(tongue_end(drum, tongue, lines), tongue, lines, tolerance_mm)


def _polygon(
    end: Curve, tongue: Tongue, lines: Layout, tolerance_mm: float, *, same_area: bool = False
) -> Polygon:
    assert tongue.row is not None and tongue.side is not None
    root, _ = _root(lines, tongue.side)
    chords = (same_area_chords if same_area else curve_chords)(end, tolerance_mm)
    front, back = (
        tongue_side(lines, tongue.row, at, (root, x), tolerance_mm, same_area=same_area)
        for at, x in ((0, chords[0][0]), (1, chords[-1][0]))
    )
    return Polygon([*front, *chords, *reversed(back)])


def _root(lines: Layout, side: Side) -> tuple[float, float]:
    """The x of a side's root line, and the way its tongues point."""
    return lines.root_mm(side), 1.0 if side == "left" else -1.0


def _by_row(drum: Drum) -> dict[int, list[int]]:
    """The numbers of the tongues in each row, from 0."""
    rows: dict[int, list[int]] = {}
    for index, tongue in enumerate(drum.tongues):
        rows.setdefault(tongue.row or 0, []).append(index)
    return rows


def _slot_lines(drum: Drum, lines: Layout, drawn: _Drawn) -> tuple[Line, ...]:
    """The centre lines of the slots: what the tongues on either side need, runs that touch joined."""
    runs: dict[int, list[tuple[float, float]]] = {}
    for row, inside in _by_row(drum).items():
        for slot, at in ((row - 1, 0), (row, -1)):
            if len(inside) > 1:
                run = (lines.root_left_mm, lines.root_right_mm)
            else:
                root, way = _root(lines, drum.tongues[inside[0]].side or "left")
                curve = drawn.ends[inside[0]]
                end = (curve[0].start if at == 0 else curve[-1].end)[0] + way * drum.slots.kerf_mm
                run = (min(root, end), max(root, end))
            runs.setdefault(slot, []).append(run)
    for tongue in drum.tongues:
        if tongue.lengthened_mm > 0.0:
            root, way = _root(lines, tongue.side or "left")
            further = tuple(sorted((root, root - way * tongue.lengthened_mm)))
            for slot in ((tongue.row or 1) - 1, tongue.row or 1):
                runs[slot].append((further[0], further[1]))
    found = [
        (low, high, lines.slot_ys_mm[slot]) for slot in sorted(runs) for low, high in _joined(runs[slot])
    ]
    return tuple(part for line in found for part in _clear_of(line, lines, drawn.shapes))


def _clear_of(line: Line, lines: Layout, shapes: tuple[Polygon, ...]) -> Iterator[Line]:
    """A slot's centre line where no end that reaches out of its row lies across it."""
    low, high, y = line
    run = slot_part(lines, lines.slot_ys_mm.index(y), low, high)
    across = [shape for shape in shapes if shape.intersects(run)]
    if not across:
        yield line
        return
    rest = run.difference(shapely.union_all(across))
    for part in getattr(rest, "geoms", (rest,)):
        if part.length > 0.0:
            yield part.bounds[0], part.bounds[2], y


def _joined(runs: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Runs along one line, those that touch or overlap made one."""
    low = high = None
    for start, end in sorted(runs):
        if low is None or high is None:
            low, high = start, end
        elif start <= high:
            high = max(high, end)
        else:
            yield low, high
            low, high = start, end
    if low is not None and high is not None:
        yield low, high


def _stop_holes(drum: Drum, lines: Layout, slot_lines: tuple[Line, ...]) -> tuple[Line, ...]:
    """A hole where a slot ends on a root line, when holes are asked for and are wider than the kerf."""
    diameter = drum.slots.stop_hole_mm
    if diameter <= drum.slots.kerf_mm:
        return ()
    roots = (lines.root_left_mm, lines.root_right_mm)
    return tuple((x, y, diameter) for low, high, y in slot_lines for x in (low, high) if x in roots)


def _ring(hole: Line) -> Curve:
    """A stop hole as two half circles."""
    x, y, diameter = hole
    ends = (x + 0.5 * diameter, y), (x - 0.5 * diameter, y)
    return Segment(start=ends[0], end=ends[1], bulge=1.0), Segment(start=ends[1], end=ends[0], bulge=1.0)


@dataclass(frozen=True, kw_only=True)
class _Drawn:
    """The tongues while they are drawn: their ends as curves, and their areas."""

    ends: tuple[Curve, ...]
    shapes: tuple[Polygon, ...]


def _removed(
    drum: Drum, lines: Layout, drawn: _Drawn, tolerance_mm: float, same_area: bool
) -> tuple[list[Any], list[Segment]]:
    """What the saw takes, row by row, and the curves along which it goes round tongues."""
    kerf, all_wood = drum.slots.kerf_mm, shapely.union_all(drawn.shapes)
    pieces: list[Any] = list(_lengthened(drum, lines))
    bends: list[Segment] = []
    for row, inside in _by_row(drum).items():
        room = strip(lines, row, tolerance_mm, same_area=same_area)
        if len(inside) > 1:
            pieces.append(room.difference(all_wood))
        for number in inside:
            out = not room.buffer(GRID_MM).covers(drawn.shapes[number])
            if len(inside) > 1 and not out:
                continue
            end, (root, way) = drawn.ends[number], _root(lines, drum.tongues[number].side or "left")
            sides = (
                replace(slot_edges(lines, row, (root, end[0].start[0]))[0], end=end[0].start),
                replace(slot_edges(lines, row, (end[-1].end[0], root))[1], start=end[-1].end),
            )
            spans = (root, end[0].start[0]), (root, end[-1].end[0])
            beside = beside_tongue(lines, row, spans, tolerance_mm, same_area=same_area)
            pieces.append(beside.difference(all_wood))
            round_it, along = kerf_round(end, sides=sides, kerf_mm=kerf, way=way, tolerance_mm=tolerance_mm)
            bends += along
            wood = round_it.intersection(_between_roots(drum, lines) if out else room)
            pieces.append(wood.difference(all_wood))
    return pieces, bends


def _between_roots(drum: Drum, lines: Layout) -> Polygon:
    return shapely.box(lines.root_left_mm, 0.0, lines.root_right_mm, drum.top.width_mm)


def _lengthened(drum: Drum, lines: Layout) -> Iterator[Polygon]:
    """What goes when the slots beside a tongue are sawn further than its root line."""
    half = 0.5 * drum.slots.kerf_mm
    for tongue in drum.tongues:
        if tongue.lengthened_mm > 0.0 and tongue.row is not None and tongue.side is not None:
            root, way = _root(lines, tongue.side)
            end = root - way * tongue.lengthened_mm
            low, high = min(root, end), max(root, end)
            for slot in (tongue.row - 1, tongue.row):
                line = lines.slot(slot)
                front, back = (
                    curve_chords((line.piece(low, high, off),), LENGTHENED_MM) for off in (-half, half)
                )
                yield Polygon([*front, *reversed(back)])


def strike_point(
    drum: Drum, tongue: Tongue, shape: Polygon, lines: Layout, *, from_tip_mm: float = STRIKE_MM
) -> tuple[float, float]:
    """Where the blow falls: on the centre line, so far back from where that line first leaves the wood.

    So it is for an end of any shape. Seen from the root, what lies beyond a notch or a hook does not count; where
    the notch is so deep that less than twice that is left, the blow falls half way. Held by
    tests/drum/test_outline.py.

    Parameters
    ----------
    drum : Drum
        Whose board it is.
    tongue : Tongue
        With its row and side.
    shape : Polygon
        The tongue's own, in mm.
    lines : Layout
        Where rows and root lines are.
    from_tip_mm : float, optional
        How far back, in mm.
    """
    assert tongue.row is not None and tongue.side is not None
    root, way = _root(lines, tongue.side)
    inside = centre_line(lines, tongue.row, root, root + way * drum.top.length_mm).intersection(shape)
    parts = [part.bounds for part in getattr(inside, "geoms", (inside,)) if part.length > 0.0]
    reach = min(max(way * (low - root), way * (high - root)) for low, _, high, _ in parts)
    x = root + way * (reach - min(from_tip_mm, STRIKE_SHARE * reach))
    return x, lines.centre_at_mm(tongue.row, x)


def _edges(drum: Drum, lines: Layout) -> Iterator[Segment]:
    """The edges of the slots, as far as any is sawn."""
    further = max(tongue.lengthened_mm for tongue in drum.tongues)
    low, high = lines.root_left_mm - further, lines.root_right_mm + further
    for slot in range(lines.rows + 1):
        for off in (-lines.half_kerf_mm, lines.half_kerf_mm):
            yield lines.slot(slot).piece(low, high, off)


def _inset(drum: Drum, by_mm: float, *, ends_mm: float | None = None) -> Polygon:
    ends = by_mm if ends_mm is None else ends_mm
    return shapely.box(ends, by_mm, drum.top.length_mm - ends, drum.top.width_mm - by_mm)


def outline(drum: Drum, *, tolerance_mm: float = 0.05, same_area: bool = False) -> Outline:
    """The plan of this drum's top, as it will be sawn, in mm.

    Raises NeedsFitError when a tongue has no length or place; call `check_outline` first to hear of anything that
    cannot be sawn.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    tolerance_mm : float, optional
        How far the chords of a curve may stray from it.
    same_area : bool, optional
        For a mesh of few chords: ends with their corners moved out so that each tongue has its true area.
    """
    lines = layout(drum)
    missing = [index for index, tongue in enumerate(drum.tongues, start=1) if tongue.length_mm is None]
    if missing:
        raise needs_fit(drum, missing, "length")
    ends = tuple(tongue_end(drum, tongue, lines) for tongue in drum.tongues)
    pairs = zip(ends, drum.tongues, strict=True)
    shapes = tuple(_polygon(end, tongue, lines, tolerance_mm, same_area=same_area) for end, tongue in pairs)
    drawn = _Drawn(ends=ends, shapes=shapes)
    slot_lines = _slot_lines(drum, lines, drawn)
    holes = _stop_holes(drum, lines, slot_lines)
    rings = [_ring(hole) for hole in holes]
    sawn, round_tongues = _removed(drum, lines, drawn, tolerance_mm, same_area)
    discs = [Polygon(curve_chords(ring, tolerance_mm)) for ring in rings]
    removed = shapely.union_all([*sawn, *discs], grid_size=GRID_MM)
    board = _inset(drum, 0.0)
    return Outline(
        layout=lines,
        board=board,
        top=shapely.difference(board, removed, grid_size=GRID_MM),
        removed=removed,
        tongues=shapes,
        strike_points=tuple(
            strike_point(drum, tongue, shape, lines)
            for tongue, shape in zip(drum.tongues, shapes, strict=True)
        ),
        slot_lines=slot_lines,
        stop_holes=holes,
        box_inner=_inset(drum, seat_mm(drum), ends_mm=end_seat_mm(drum)),
        box_outer=_inset(drum, -beside_mm(drum)) if beside_mm(drum) else board,
        wall_inner=_inset(drum, over_mm(drum)),
        bends=tuple(
            one for one in chain(*ends, round_tongues, *rings, _edges(drum, lines)) if not one.is_straight
        ),
        tolerance_mm=tolerance_mm,
    )
