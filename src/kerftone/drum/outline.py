"""The top seen from above: what the saw takes away and what is left.

Axes in mm: x along the length from the left end, y across from the front edge. Rows are equal strips
between the outer slots' centre lines, row 1 in front. In a row with two tongues all wood between the
tips goes; a tongue alone keeps the rest of its row, with a kerf across its tip. Slots are as wide as the
kerf, end flat on the root lines, and where a tongue stands alone they end with the kerf across its tip.
Curves are polylines within a stated tolerance.

`outline` draws; whether the drawing can be sawn and will hold is judged by `check.py`. Nothing here knows
the thickness.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from kerftone.drum.design import Drum, Side, Tongue
from kerftone.drum.ends import arc_steps, end_curve
from kerftone.drum.seat import beside_mm, end_seat_mm, over_mm, seat_mm
from kerftone.errors import NeedsFitError, Remedy

STRIKE_MM = 15.0
"""How far from the tip, on the centre line, a tongue is struck."""

GRID_MM = 1e-7
"""Points nearer than this are one point; it keeps rounding from leaving slivers."""

Line = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Layout:
    """The straight lines the drawing stands on, all in mm."""

    rows: int
    row_pitch_mm: float
    tongue_width_mm: float
    root_left_mm: float
    root_right_mm: float
    slot_ys_mm: tuple[float, ...]

    @property
    def span_mm(self) -> float:
        """From root line to root line."""
        return self.root_right_mm - self.root_left_mm

    def centre_mm(self, row: int) -> float:
        """The y of the centre line of this row."""
        return 0.5 * (self.slot_ys_mm[row - 1] + self.slot_ys_mm[row])

    def root_mm(self, side: Side) -> float:
        """The x of the root line on this side."""
        return self.root_left_mm if side == "left" else self.root_right_mm

    def edges_mm(self, row: int) -> tuple[float, float]:
        """The y of the front and the back edge of a tongue in this row."""
        half_kerf = 0.5 * (self.row_pitch_mm - self.tongue_width_mm)
        return self.slot_ys_mm[row - 1] + half_kerf, self.slot_ys_mm[row] - half_kerf

    def spot_mm(
        self, tongue: Tongue, from_root_mm: float, from_edge_mm: float | None = None
    ) -> tuple[float, float]:
        """The x and y of a place on a tongue: along it from its root, across it from its front edge.

        Parameters
        ----------
        tongue : Tongue
            With its row and side.
        from_root_mm : float
            Along the tongue from its root line, in mm.
        from_edge_mm : float, optional
            Across it from its front edge, in mm; without it on its centre line.
        """
        assert tongue.side is not None and tongue.row is not None
        along = from_root_mm if tongue.side == "left" else -from_root_mm
        front, _ = self.edges_mm(tongue.row)
        y = self.centre_mm(tongue.row) if from_edge_mm is None else front + from_edge_mm
        return self.root_mm(tongue.side) + along, y

    def place_mm(self, tongue: Tongue, x_mm: float, y_mm: float) -> tuple[float, float]:
        """How far a spot of the board is from a tongue's root and from its front edge; `spot_mm` the other way.

        Parameters
        ----------
        tongue : Tongue
            With its row and side.
        x_mm : float
            From the left end of the board, in mm.
        y_mm : float
            From its front edge, in mm.
        """
        assert tongue.side is not None and tongue.row is not None
        along = x_mm - self.root_mm(tongue.side)
        return along if tongue.side == "left" else -along, y_mm - self.edges_mm(tongue.row)[0]


@dataclass(frozen=True, kw_only=True)
class Outline:
    """The plan of the top, mm. Tongues and strike points are in the order of the drum's tongues.

    board: the board before sawing. top: the wood that remains. removed: the wood that goes (a polygon or
    several). tongues: from root line to end curve. slot_lines: (x from, x to, y) of each slot's centre line.
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


def layout(drum: Drum) -> Layout:
    """Where rows, slots and root lines lie on this drum, mm. Raises NeedsFitError without all places."""
    missing = [index for index, tongue in enumerate(drum.tongues, start=1) if tongue.row is None]
    if missing:
        raise _needs_fit(drum, missing, "place")
    rows = max(tongue.row or 0 for tongue in drum.tongues)
    pitch = (drum.top.width_mm - 2.0 * drum.slots.side_margin_mm) / rows
    return Layout(
        rows=rows,
        row_pitch_mm=pitch,
        tongue_width_mm=pitch - drum.slots.kerf_mm,
        root_left_mm=drum.slots.end_margin_mm,
        root_right_mm=drum.top.length_mm - drum.slots.end_margin_mm,
        slot_ys_mm=tuple(drum.slots.side_margin_mm + row * pitch for row in range(rows + 1)),
    )


def _needs_fit(drum: Drum, numbers: list[int], what: str) -> NeedsFitError:
    names = ", ".join(f"{number} ({drum.tongues[number - 1].note})" for number in numbers)
    many = len(numbers) > 1
    return NeedsFitError(
        f"{'Tongues' if many else 'Tongue'} {names} {'have' if many else 'has'} no {what} yet. The top "
        f"cannot be drawn without: have the {what} found, or write it in the drum file.",
        given=tuple(numbers),
        remedy=Remedy.FIND_LENGTHS,
    )


def tongue_polygon(drum: Drum, tongue: Tongue, lines: Layout, *, tolerance_mm: float = 0.05) -> Polygon:
    """One tongue from its root line to its end curve, in board coordinates, mm."""
    assert tongue.length_mm is not None and tongue.row is not None and tongue.side is not None
    curve = end_curve(
        drum.slots.tongue_end,
        width_mm=lines.tongue_width_mm,
        length_mm=tongue.length_mm,
        side=tongue.side,
        tolerance_mm=tolerance_mm,
    )
    y, (front, back) = lines.centre_mm(tongue.row), lines.edges_mm(tongue.row)
    root, way = _root(lines, tongue.side)
    ys = [front, *(y + across for _, across in curve[1:-1]), back]  # edges the slots share to the last bit
    tip = [(root + way * (tongue.length_mm + along), at) for (along, _), at in zip(curve, ys, strict=True)]
    return Polygon([(root, front), *tip, (root, back)])


def _root(lines: Layout, side: Side) -> tuple[float, float]:
    """The x of a side's root line, and the way its tongues point."""
    return lines.root_mm(side), 1.0 if side == "left" else -1.0


def _strip(lines: Layout, row: int) -> Polygon:
    """One row with the whole of the slots on both sides of it, root line to root line."""
    half = 0.5 * (lines.row_pitch_mm - lines.tongue_width_mm)
    low, high = lines.slot_ys_mm[row - 1] - half, lines.slot_ys_mm[row] + half
    return shapely.box(lines.root_left_mm, low, lines.root_right_mm, high)


def _around(tongue: Polygon, kerf_mm: float) -> Any:
    """Everything within a kerf of a tongue, with corners kept: what the saw takes round a tongue alone."""
    return tongue.buffer(kerf_mm, join_style="mitre", mitre_limit=2.0)


def _edge_reach(tongue: Polygon, side: Side, *, front: bool) -> float:
    """The x at which a tongue's front or back edge meets its end curve."""
    _, low, _, high = tongue.bounds
    want = low if front else high
    xs = [x for x, y in tongue.exterior.coords if abs(y - want) < 1e-9]
    return float(max(xs) if side == "left" else min(xs))


def _by_row(drum: Drum) -> dict[int, list[int]]:
    """The numbers of the tongues in each row, from 0."""
    rows: dict[int, list[int]] = {}
    for index, tongue in enumerate(drum.tongues):
        rows.setdefault(tongue.row or 0, []).append(index)
    return rows


def _slot_lines(drum: Drum, lines: Layout, shapes: tuple[Polygon, ...]) -> tuple[Line, ...]:
    """The centre lines of the slots: what the tongues on either side need, runs that touch joined."""
    runs: dict[int, list[tuple[float, float]]] = {}
    for row, inside in _by_row(drum).items():
        for slot, front in ((row - 1, True), (row, False)):
            if len(inside) > 1:
                run = (lines.root_left_mm, lines.root_right_mm)
            else:
                side = drum.tongues[inside[0]].side or "left"
                root, way = _root(lines, side)
                end = _edge_reach(shapes[inside[0]], side, front=front) + way * drum.slots.kerf_mm
                run = (min(root, end), max(root, end))
            runs.setdefault(slot, []).append(run)
    for tongue in drum.tongues:
        if tongue.lengthened_mm > 0.0:
            root, way = _root(lines, tongue.side or "left")
            further = tuple(sorted((root, root - way * tongue.lengthened_mm)))
            for slot in ((tongue.row or 1) - 1, tongue.row or 1):
                runs[slot].append((further[0], further[1]))
    return tuple(
        (low, high, lines.slot_ys_mm[slot]) for slot in sorted(runs) for low, high in _joined(runs[slot])
    )


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


def _disc(hole: Line, tolerance_mm: float) -> Polygon:
    x, y, diameter = hole
    quarter = arc_steps(0.5 * diameter, 1.5707963267948966, tolerance_mm)
    return Point(x, y).buffer(0.5 * diameter, quad_segs=quarter)


def _removed(drum: Drum, lines: Layout, shapes: tuple[Polygon, ...]) -> list[Any]:
    """What the saw takes, row by row."""
    kerf = drum.slots.kerf_mm
    pieces: list[Any] = list(_lengthened(drum, lines))
    for row, inside in _by_row(drum).items():
        strip = _strip(lines, row)
        tongues = shapely.union_all([shapes[index] for index in inside])
        if len(inside) == 1:
            strip = strip.intersection(_around(shapes[inside[0]], kerf))
        pieces.append(strip.difference(tongues))
    return pieces


def _lengthened(drum: Drum, lines: Layout) -> Iterator[Polygon]:
    """What goes when the slots beside a tongue are sawn further than its root line."""
    half = 0.5 * drum.slots.kerf_mm
    for tongue in drum.tongues:
        if tongue.lengthened_mm > 0.0 and tongue.row is not None and tongue.side is not None:
            root, way = _root(lines, tongue.side)
            end = root - way * tongue.lengthened_mm
            for y in lines.slot_ys_mm[tongue.row - 1 : tongue.row + 1]:
                yield shapely.box(min(root, end), y - half, max(root, end), y + half)


def strike_point(
    drum: Drum, tongue: Tongue, shape: Polygon, lines: Layout, *, from_tip_mm: float = STRIKE_MM
) -> tuple[float, float]:
    """On the centre line, so far back from where that line leaves the wood.

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
    y = lines.centre_mm(tongue.row)
    x_low, _, x_high, _ = LineString([(0.0, y), (drum.top.length_mm, y)]).intersection(shape).bounds
    return (x_high - from_tip_mm, y) if tongue.side == "left" else (x_low + from_tip_mm, y)


def _inset(drum: Drum, by_mm: float, *, ends_mm: float | None = None) -> Polygon:
    ends = by_mm if ends_mm is None else ends_mm
    return shapely.box(ends, by_mm, drum.top.length_mm - ends, drum.top.width_mm - by_mm)


def outline(drum: Drum, *, tolerance_mm: float = 0.05) -> Outline:
    """The plan of this drum's top, as it will be sawn, in mm.

    `tolerance_mm`: how far the chords of a curve may stray from it. Raises NeedsFitError when a tongue has
    no length or place; call `check_outline` first to hear of anything that cannot be sawn.
    """
    lines = layout(drum)
    missing = [index for index, tongue in enumerate(drum.tongues, start=1) if tongue.length_mm is None]
    if missing:
        raise _needs_fit(drum, missing, "length")
    shapes = tuple(tongue_polygon(drum, t, lines, tolerance_mm=tolerance_mm) for t in drum.tongues)
    slot_lines = _slot_lines(drum, lines, shapes)
    holes = _stop_holes(drum, lines, slot_lines)
    removed = shapely.union_all(
        [*_removed(drum, lines, shapes), *(_disc(hole, tolerance_mm) for hole in holes)], grid_size=GRID_MM
    )
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
    )
