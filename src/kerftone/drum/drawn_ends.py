"""Which lines of a drawing are the ends of which tongues?

A drawing comes as curves in mm, in the frame of the board (x along, y across from the front edge; reading it is for
`jobs/drawing.py`). An end is a line that begins on one edge of a tongue and finishes on the other, whether drawn by
itself or as a part of a closed outline: of the tongue, or of the waste between two tips. Of a tongue's outline the
root line is left aside. What lies on no tongue's edges is counted, not used.

Held by tests/drum/test_drawn_ends.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from shapely.geometry import LineString

from kerftone.drum.arcs import Curve, Point, Segment, cubic_at, curve_chords, middle_of_arc
from kerftone.drum.design import Drum, Tongue
from kerftone.drum.ends import EDGE_TOLERANCE_MM, JUDGED_MM, own_curve
from kerftone.drum.plan_lines import Layout, layout
from kerftone.drum.values import Path
from kerftone.errors import OutlineError
from kerftone.units import Units, from_mm, to_mm

ROOT_MM = 1.0
"""A line that stays so near to a root line is that line and no end. Own judgement."""
ASTRAY_MM = 4.0
"""A line whose ends miss a tongue's edges by no more than this was meant for them, and is refused. Own judgement."""
TRUE_MM = 0.02
"""How nearly points with a smooth curve through them follow a free curve of the drawing. Own judgement."""
MOST_STEPS = 32
"""Smooth points on one piece of a free curve at most: enough for that on any end that can be sawn."""
CORNER = math.radians(1.0)
"""Two free curves that meet at a greater angle than this have a corner there. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class DrawnPath:
    """One line of a drawing, in mm of the board; `closed`: it ends where it begins."""

    curve: Curve
    closed: bool


@dataclass(frozen=True, kw_only=True)
class DrawnEnd:
    """The end of a tongue (from 0) as a drum file states it, and the length it was drawn at, in mm."""

    tongue: int
    path: Path
    length_mm: float


@dataclass(frozen=True)
class _Run:
    """A stretch of a line from the front edge of a row to its back edge."""

    row: int
    curve: Curve

    @property
    def xs(self) -> tuple[float, float]:
        """From where to where it reaches along the board."""
        xs = [x for x, _ in curve_chords(self.curve, JUDGED_MM)]
        return min(xs), max(xs)


def drawn_ends(drum: Drum, paths: Iterable[DrawnPath]) -> tuple[tuple[DrawnEnd, ...], int]:
    """The ends in a drawing, in the order of the tongues, and how many of its lines are none.

    Lengths are rounded as the drum's file states them. Raises OutlineError for two lines across one tongue and for
    a line that misses a tongue's edges by a little, NeedsFitError while a tongue has no place.
    """
    lines = layout(drum)
    if lines.bows_mm:
        raise _bowed()
    runs: list[_Run] = []
    unused = 0
    for path in paths:
        found = list(_runs(path, lines))
        runs += found
        unused += not found
        if not found and not path.closed:
            _refuse_astray(drum, path, lines)
    ends = []
    for row in range(1, lines.rows + 1):
        inside = [number for number, tongue in enumerate(drum.tongues) if tongue.row == row]
        across = sorted((run for run in runs if run.row == row), key=lambda run: sum(run.xs))
        ends += [_end(drum, number, run, lines) for number, run in _told(drum, inside, across, lines)]
    return tuple(sorted(ends, key=lambda end: end.tongue)), unused


def _bowed() -> OutlineError:
    return OutlineError(
        "The slots of this drum bow. Ends are read from a drawing of straight slots only, on whose edges they begin "
        "and finish: read them with bow taken out of [slots] and put it back after, or write the ends as points.",
        at=("slots", "bow"),
    )


def _runs(path: DrawnPath, lines: Layout) -> Iterable[_Run]:
    """The stretches of a line that go from edge to edge of a row, root lines left aside."""
    pieces = list(path.curve)
    for row in range(1, lines.rows + 1):
        edges = lines.edges_mm(row)
        # Where each corner lies: on the front edge (0), on the back edge (1), or on neither.
        corners = [one.start for one in pieces] + ([] if path.closed else [pieces[-1].end])
        every = [(at, _edge(corner, edges)) for at, corner in enumerate(corners)]
        marks = [(at, edge) for at, edge in every if edge is not None]
        pairs = list(pairwise(marks))
        if path.closed and len(marks) > 1:
            pairs.append((marks[-1], (marks[0][0] + len(pieces), marks[0][1])))
        for (start, one), (end, other) in pairs:
            if one == other:
                continue
            curve = tuple((pieces + pieces)[start:end])
            run = _Run(row, curve if one == 0 else tuple(piece.backwards() for piece in reversed(curve)))
            if not any(max(abs(x - root) for x in run.xs) < ROOT_MM for root in _roots(lines)):
                yield run


def _edge(point: Point, edges: tuple[float, float]) -> int | None:
    near = [abs(point[1] - y) for y in edges]
    return near.index(min(near)) if min(near) <= EDGE_TOLERANCE_MM else None


def _roots(lines: Layout) -> tuple[float, float]:
    return lines.root_left_mm, lines.root_right_mm


def _told(drum: Drum, inside: Sequence[int], across: Sequence[_Run], lines: Layout) -> list[tuple[int, _Run]]:
    """Which of a row's lines is the end of which of its tongues."""
    if len(across) > len(inside):
        where = ", ".join(f"{from_mm(0.5 * sum(run.xs), drum.units):.1f}" for run in across)
        raise OutlineError(
            f"{len(across)} lines go across row {across[0].row}, at {where} {drum.units} from the left end. It has "
            f"{len(inside)} tongue{'s' * (len(inside) != 1)}, and each has one end: take the others out of the "
            "drawing, or put the ends on a layer of their own called ends.",
            given=len(across),
            limit=len(inside),
        )
    by_side = sorted(inside, key=lambda number: drum.tongues[number].side != "left")
    if len(across) == len(by_side):
        return list(zip(by_side, across, strict=True))
    return [(min(by_side, key=lambda n: abs(_tip(drum.tongues[n], run, lines))), run) for run in across]


def _tip(tongue: Tongue, run: _Run, lines: Layout) -> float:
    """How far a line is from where a tongue's tip is; from its root where it has no length."""
    root, left = lines.root_mm(tongue.side or "left"), tongue.side == "left"
    reach = run.xs[1] - root if left else root - run.xs[0]
    return reach - (tongue.length_mm or 0.0)


def _end(drum: Drum, number: int, run: _Run, lines: Layout) -> DrawnEnd:
    tongue = drum.tongues[number]
    assert tongue.side is not None and tongue.row is not None
    root, way = lines.root_mm(tongue.side), 1.0 if tongue.side == "left" else -1.0
    furthest = run.xs[1] if way > 0.0 else run.xs[0]
    y = lines.centre_mm(tongue.row)
    own = [
        one.moved(lambda p: (way * (p[0] - furthest), p[1] - y), turned_over=way < 0.0) for one in run.curve
    ]
    return DrawnEnd(
        tongue=number,
        path=rounded(file_path(own), drum.units),
        length_mm=_rounded(way * (furthest - root), drum.units),
    )


def file_path(curve: Sequence[Segment]) -> Path:
    """These pieces as the points of a drum file: free curves by points that a smooth curve goes through."""
    found: list[tuple[float, float] | tuple[float, float, str]] = [curve[0].start]
    smooth: list[Segment] = []
    for one in (*curve, None):
        if smooth and (one is None or one.controls is None or _turns(smooth[-1], one)):
            found += [(*point, "smooth") for point in _through(smooth)]
            found.append(smooth[-1].end)
            smooth = []
        if one is None:
            break
        if one.controls is not None:
            smooth.append(one)
            continue
        if one.bulge:
            found.append((*middle_of_arc(one.start, one.end, one.bulge), "arc"))
        found.append(one.end)
    return tuple(found)  # type: ignore[arg-type]


def _turns(one: Segment, other: Segment) -> bool:
    """Whether there is a corner between two free curves."""
    assert one.controls is not None and other.controls is not None
    (ax, ay), (bx, by), (cx, cy) = one.controls[1], one.end, other.controls[0]
    turn = math.atan2(cy - by, cx - bx) - math.atan2(by - ay, bx - ax)
    return abs(math.remainder(turn, 2.0 * math.pi)) > CORNER


def _through(pieces: Sequence[Segment]) -> list[Point]:
    """The fewest points between the ends of these free curves through which a smooth curve follows them.

    They stand closer towards the ends: there a batten is straight, and the curve that was drawn may not be.
    """
    true = LineString(curve_chords(pieces, 0.1 * TRUE_MM))
    count = len(pieces) + 1
    while True:
        turns = (math.pi * step / count for step in range(1, count))
        places = (0.5 * len(pieces) * (1.0 - math.cos(turn)) for turn in turns)
        points = [cubic_at(pieces[int(at)], at - int(at)) for at in places]
        path = (pieces[0].start, *((*point, "smooth") for point in points), pieces[-1].end)
        mine = LineString(curve_chords(own_curve(path), 0.1 * TRUE_MM))  # type: ignore[arg-type]
        if count >= MOST_STEPS * len(pieces) or mine.hausdorff_distance(true) <= TRUE_MM:
            return points
        count = math.ceil(1.3 * count)


def rounded(path: Path, units: Units) -> Path:
    """An end as a drum file states it: in its units, to 0.01 mm or 0.001 in; its furthest corner stays on 0."""
    return tuple((_rounded(along, units), _rounded(across, units), *how) for along, across, *how in path)  # type: ignore[misc]


def _rounded(mm: float, units: Units) -> float:
    return to_mm(round(from_mm(mm, units), 3 if units == "in" else 2), units) + 0.0


def _refuse_astray(drum: Drum, path: DrawnPath, lines: Layout) -> None:
    """Refuse an open line that goes from near one edge of a row to near the other, but misses them."""
    first, last = path.curve[0].start, path.curve[-1].end
    for row in range(1, lines.rows + 1):
        edges = lines.edges_mm(row)
        for ends in ((first, last), (last, first)):
            miss = max(abs(ends[0][1] - edges[0]), abs(ends[1][1] - edges[1]))
            if EDGE_TOLERANCE_MM < miss <= ASTRAY_MM:
                told = (ends[0][1], ends[1][1], *edges, EDGE_TOLERANCE_MM)
                said = [f"{from_mm(y, drum.units):.2f}" for y in told]
                raise OutlineError(
                    f"A line across row {row} runs from {said[0]} to {said[1]} {drum.units} from the front edge. "
                    f"An end begins and finishes on its tongue's edges, within {said[4]} "
                    f"{drum.units}: draw it from {said[2]} to {said[3]}.",
                    given=(ends[0][1], ends[1][1]),
                    limit=EDGE_TOLERANCE_MM,
                    nearest=edges,
                )


def with_ends(drum: Drum, ends: Iterable[DrawnEnd], *, lengths: bool) -> Drum:
    """The drum with these ends; with the lengths they were drawn at where these are asked for or not known yet.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    ends : Iterable[DrawnEnd]
        Found in a drawing of it.
    lengths : bool
        Whether lengths that are known give way to those of the drawing.
    """
    tongues = list(drum.tongues)
    for end in ends:
        old = tongues[end.tongue]
        length = end.length_mm if lengths or old.length_mm is None else old.length_mm
        tongues[end.tongue] = replace(old, end=end.path, length_mm=length)
    return replace(drum, tongues=tuple(tongues))
