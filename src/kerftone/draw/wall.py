"""The sheet of one wall at full size: its inner face, as it lies on the bench, and its section.

The wall is seen from inside the box, upper edge up: x runs from the end that is right when one looks at the drum
from outside. Steps for the top and the bottom, mitres, end rabbets, fingers, key slots and the foot relief are
drawn where they are cut, and said in words with their sizes. mm.

What a wall is comes from the shop (`WallShape` says what is asked of it); nothing is decided here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Protocol

from kerftone.draw import legend, style
from kerftone.draw.dimension import Measures
from kerftone.draw.labels import on_rule
from kerftone.draw.sheet import Circle, Layer, Line, Pen, Point, Region, Sheet, Text
from kerftone.units import MM_PER_INCH, Units, parse_length

BOARD = Pen(stroke=style.INK, width_mm=0.5, fill=style.WOOD)
STEP = Pen(stroke=style.RUST, width_mm=0.4)
KEYS = Pen(stroke=style.PLUM, width_mm=0.4, dash_mm=(2.2, 1.4))
GAP_MM = 25.0
"""Between the wall and its section."""
KEY_MARK_MM = 12.0
ARC_STEPS = 48
ON_THE_MARK_MM = 0.05
"""Nearer than this to a mark of the rule is on it."""


class StepShape(Protocol):
    """A step along an inner edge: how far into the thickness and the height, and from where to where."""

    @property
    def edge(self) -> str:
        """Which edge: "upper" or "lower"."""

    @property
    def width_mm(self) -> float:
        """Into the thickness."""

    @property
    def depth_mm(self) -> float:
        """Of the height."""

    @property
    def from_mm(self) -> float:
        """Where it begins, along the wall as seen from outside."""

    @property
    def to_mm(self) -> float:
        """Where it ends."""


class ReliefShape(Protocol):
    """A cut-out of the lower edge that leaves feet."""

    @property
    def shape(self) -> str:
        """Its line: "arch" or "straight"."""

    @property
    def rise_mm(self) -> float:
        """How high in the middle."""

    @property
    def inset_mm(self) -> float:
        """How far from each end it begins."""


class WallShape(Protocol):
    """What a wall must say of itself, all in mm; the shop's walls do."""

    @property
    def name(self) -> str:
        """Such as "front"."""

    @property
    def length_mm(self) -> float:
        """Long point to long point."""

    @property
    def short_mm(self) -> float:
        """Along the inner face between the corner's cuts."""

    @property
    def thickness_mm(self) -> float:
        """As planed."""

    @property
    def height_mm(self) -> float:
        """Lower to upper edge."""

    @property
    def ends(self) -> str:
        """Of "square", "mitre", "rabbet" and "fingers"."""

    @property
    def end_depth_mm(self) -> float:
        """How deep an end rabbet goes into the inner face."""

    @property
    def fingers_mm(self) -> Sequence[tuple[float, float]]:
        """The heights, from and to, of the fingers that stay."""

    @property
    def rabbets(self) -> Sequence[StepShape]:
        """The steps for the top and the bottom."""

    @property
    def key_heights_mm(self) -> Sequence[float]:
        """Middles of the key slots over the lower edge."""

    @property
    def relief(self) -> ReliefShape | None:
        """The foot relief, if any."""


class HoleShape(Protocol):
    """A hole through a wall, as seen from outside from its left end and over its lower edge."""

    @property
    def u_mm(self) -> float:
        """Along the wall."""

    @property
    def s_mm(self) -> float:
        """Up from the lower edge."""

    @property
    def diameter_mm(self) -> float:
        """Of the bit."""


def wall_sheet(wall: WallShape, *, drum_name: str, units: Units, holes: Sequence[HoleShape] = ()) -> Sheet:
    """One wall at full size, seen from inside the box, with its section to the right.

    Held by tests/draw/test_wall.py: areas of face and section, places of steps and keys.
    """
    face = Region(outer=face_outline(wall))
    section = Region(outer=tuple((x + wall.length_mm + GAP_MM, y) for x, y in section_outline(wall)))
    step = style.SMALLEST_MM * 1.15
    taken = _measures(wall, units)
    said = [*_said(wall, units), *_said_of(holes, wall, units)]
    right = wall.length_mm + GAP_MM + wall.thickness_mm
    lines = [line for words in said for line in legend.wrapped(words, width_mm=right, height_mm=step)]
    low = -4.0 * step
    texts = [
        Text(at=(0.0, low - 1.7 * step * i), words=line, height_mm=step)
        for i, line in enumerate(lines, start=1)
    ]
    low -= 1.7 * step * (len(lines) + 1)
    high = wall.height_mm + 12.0
    title = f"{drum_name}: {wall.name} wall, seen from inside"
    heads = legend.wrapped(title, width_mm=right, height_mm=1.5 * step)
    for i, line in enumerate(reversed(heads)):
        texts.append(Text(at=(0.0, high + 2.6 * step * i), words=line, height_mm=1.5 * step, bold=True))
    high += 2.6 * step * len(heads)
    at = (wall.length_mm + GAP_MM, wall.height_mm + 3.0)
    texts.append(Text(at=at, words="Section", height_mm=style.SMALLEST_MM))
    layers = (
        Layer(name="outline", pen=BOARD, shapes=(face, section)),
        Layer(name="joints", pen=STEP, shapes=_cuts(wall)),
        Layer(name="keys", pen=KEYS, shapes=_keys(wall)),
        Layer(name="holes", pen=STEP, shapes=_rings(holes, wall)),
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
        Layer(name="text", pen=style.WORDS, shapes=tuple(texts)),
    )
    side = 16.0
    return Sheet(
        left_mm=-side,
        bottom_mm=low,
        width_mm=right + 2.0 * side,
        height_mm=high - low,
        title=title,
        description=" ".join(said),
        layers=tuple(layer for layer in layers if layer.shapes),
    )


def face_outline(wall: WallShape) -> tuple[Point, ...]:
    """The wall's edge seen square on, counter-clockwise from the lower left corner, mm."""
    length = wall.length_mm
    low = [(0.0, 0.0), *_relief(wall), (length, 0.0)]
    high = [(length, wall.height_mm), (0.0, wall.height_mm)]
    if wall.ends != "fingers":
        return tuple(low + high)
    notch = wall.thickness_mm
    right = _finger_side(wall, length, length - notch)
    left = [(length - x, y) for x, y in reversed(right)]
    return (*low[1:-1], *right, *left)


def _finger_side(wall: WallShape, out: float, back: float) -> list[Point]:
    """The right end of a wall with fingers, from the lower edge up."""
    marks = sorted({0.0, wall.height_mm, *(h for pair in wall.fingers_mm for h in pair)})
    points: list[Point] = []
    for low, high in pairwise(marks):
        stays = any(a <= 0.5 * (low + high) <= b for a, b in wall.fingers_mm)
        x = out if stays else back
        points += [(x, low), (x, high)]
    return points


def _relief(wall: WallShape) -> list[Point]:
    """The corners of the foot relief, left to right."""
    relief = wall.relief
    if relief is None:
        return []
    a, b, rise = relief.inset_mm, wall.length_mm - relief.inset_mm, relief.rise_mm
    if relief.shape == "straight":
        return [(a, 0.0), (a, rise), (b, rise), (b, 0.0)]
    half = 0.5 * (b - a)
    radius = (half * half + rise * rise) / (2.0 * rise)
    reach = math.asin(min(1.0, half / radius))
    turns = [reach * (2.0 * i / ARC_STEPS - 1.0) for i in range(ARC_STEPS + 1)]
    return [(0.5 * (a + b) + radius * math.sin(t), radius * math.cos(t) - (radius - rise)) for t in turns]


def section_outline(wall: WallShape) -> tuple[Point, ...]:
    """The wall cut across in its middle: outer face on the right, inner face on the left, mm."""
    thick, tall = wall.thickness_mm, wall.height_mm
    inner: list[Point] = []
    for edge, way, y in (("lower", 1.0, 0.0), ("upper", -1.0, tall)):
        steps = [s for s in wall.rabbets if s.edge == edge]
        corner = [(s.width_mm, y) for s in steps] + [
            point
            for s in steps
            for point in ((s.width_mm, y + way * s.depth_mm), (0.0, y + way * s.depth_mm))
        ]
        corner = corner or [(0.0, y)]
        inner += corner if edge == "lower" else corner[::-1]
    return ((thick, tall), *reversed(inner), (thick, 0.0))


def _cuts(wall: WallShape) -> tuple[Line, ...]:
    """The edges of what is cut from the inner face."""
    length, tall = wall.length_mm, wall.height_mm
    lines = []
    for step in wall.rabbets:
        y = tall - step.depth_mm if step.edge == "upper" else step.depth_mm
        edge = tall if step.edge == "upper" else 0.0
        a, b = length - step.to_mm, length - step.from_mm
        lines.append(Line(points=((a, y), (b, y))))
        lines += [Line(points=((x, y), (x, edge))) for x in (a, b) if 0.0 < x < length]
    if wall.ends in ("mitre", "rabbet"):
        back = 0.5 * (length - wall.short_mm)
        lines += [Line(points=((x, 0.0), (x, tall))) for x in (back, length - back)]
    return tuple(lines)


def _keys(wall: WallShape) -> tuple[Line, ...]:
    """Where the keys cross the corners."""
    length = wall.length_mm
    return tuple(
        Line(points=((a, y), (b, y)))
        for y in wall.key_heights_mm
        for a, b in ((0.0, KEY_MARK_MM), (length - KEY_MARK_MM, length))
    )


def _rings(holes: Sequence[HoleShape], wall: WallShape) -> tuple[Circle | Line, ...]:
    """The holes as seen from inside, each with a cross for the point of the bit."""
    found: list[Circle | Line] = []
    for hole in holes:
        x, y, arm = wall.length_mm - hole.u_mm, hole.s_mm, 0.5 * hole.diameter_mm + 2.0
        found.append(Circle(centre=(x, y), radius_mm=0.5 * hole.diameter_mm))
        found += [Line(points=((x - arm, y), (x + arm, y))), Line(points=((x, y - arm), (x, y + arm)))]
    return tuple(found)


def _said_of(holes: Sequence[HoleShape], wall: WallShape, units: Units) -> list[str]:
    """The holes in words, with their places as the drawing shows them; those of one size and height together."""
    alike: dict[tuple[float, float], list[float]] = {}
    for hole in holes:
        alike.setdefault((hole.diameter_mm, hole.s_mm), []).append(wall.length_mm - hole.u_mm)
    return [
        f"{'Holes' if len(places) > 1 else 'Hole'} {_to_set(across, units)} through, for the pickup: "
        f"{' and '.join(_to_set(x, units) for x in sorted(places))} from the left end of this drawing, "
        f"{_to_set(high, units)} over the lower edge. Bore before glue-up."
        for (across, high), places in alike.items()
    ]


def _measures(wall: WallShape, units: Units) -> Measures:
    taken = Measures(figure_mm=style.SMALLEST_MM)
    words = [
        on_rule(mm, units, with_unit=False) for mm in (wall.length_mm, wall.height_mm, wall.thickness_mm)
    ]
    taken.across(x_from=0.0, x_to=wall.length_mm, y=-8.0, words=words[0], reach_from=0.0)
    taken.upright(y_from=0.0, y_to=wall.height_mm, x=-6.0, words=words[1], reach_from=0.0)
    x = wall.length_mm + GAP_MM
    taken.across(x_from=x, x_to=x + wall.thickness_mm, y=-8.0, words=words[2], reach_from=0.0)
    return taken


def _said(wall: WallShape, units: Units) -> list[str]:
    """What is cut, in words."""

    def mm(value: float) -> str:
        return _to_set(value, units)

    said = ["The inner face is towards you, upper edge up. The section has its outer face on the right."]
    if wall.ends == "mitre":
        said.append(
            f"Mitred ends, 45°: {mm(wall.length_mm)} long point to long point, {mm(wall.short_mm)} inside."
        )
    elif wall.ends == "rabbet":
        back = 0.5 * (wall.length_mm - wall.short_mm)
        said.append(f"End rabbets: {mm(back)} from each end, {mm(wall.end_depth_mm)} deep.")
    elif wall.ends == "fingers":
        said.append(f"Fingers: cut back {mm(wall.thickness_mm)} where the outline steps in.")
    for step in wall.rabbets:
        words = f"Rabbet, {step.edge} edge: {mm(step.width_mm)} into the thickness, {mm(step.depth_mm)} of the height"
        stopped = step.from_mm > 0.0 or step.to_mm < wall.length_mm
        ends = (
            f"; stopped {mm(wall.length_mm - step.to_mm)} and {mm(step.from_mm)} from the ends"
            if stopped
            else ""
        )
        said.append(f"{words}{ends}.")
    if wall.key_heights_mm:
        heights = ", ".join(on_rule(h, units, with_unit=False) for h in wall.key_heights_mm)
        said.append(
            f"Dashed: middles of the key slots, {heights} {units} over the lower edge; cut after glue-up."
        )
    if wall.relief is not None:
        said.append(
            f"Foot relief: begins {mm(wall.relief.inset_mm)} from each end, {mm(wall.relief.rise_mm)} high."
        )
    return said


def _to_set(mm: float, units: Units) -> str:
    """A length to set a tool by: where an inch rule has no mark for it, the decimals stand beside it."""
    words = on_rule(mm, units)
    off = mm - parse_length(words.removesuffix(" in"), "in") if units == "in" else 0.0
    return words if abs(off) < ON_THE_MARK_MM else f"{words} ({mm / MM_PER_INCH:.3f})"
