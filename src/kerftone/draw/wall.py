"""The sheet of one wall at full size: its inner face, as it lies on the bench, and its section.

The wall is seen from inside the box, upper edge up: x runs from the end that is right when one looks at the drum
from outside. Steps for the top and the bottom, mitres, end rabbets, fingers, key slots and the foot relief are
drawn where they are cut, a root bar where it is glued,, and said in words with their sizes. mm.

What a wall is comes from the shop as plain values (`kerftone.drum.joinery`); nothing is decided here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from kerftone.draw import style
from kerftone.draw.dimension import Measures
from kerftone.draw.sheet import Circle, Layer, Line, Outlined, Pen, Point, Region, Sheet, Text, text_width_mm
from kerftone.draw.words import heading_over, notes_under
from kerftone.drum.corners import end_of
from kerftone.drum.joinery import SoundCut, Wall
from kerftone.shop.measure import Measure

BOARD = Pen(stroke=style.INK, width_mm=0.5, fill=style.WOOD)
STEP = Pen(stroke=style.RUST, width_mm=0.4)
COUNTERBORE = Pen(stroke=style.RUST, width_mm=0.3, dash_mm=(2.2, 1.4))
KEYS = Pen(stroke=style.PLUM, width_mm=0.4, dash_mm=(2.2, 1.4))
GAP_MM = 25.0
"""Between the wall and its section."""
SECTION_SAID = "The section has its outer face on the right."
KEY_MARK_MM = 12.0
"""How far the mark of a key reaches in from the corner, to be seen beside the joint. Own judgement."""
POINT_MM = 2.0
"""Half an arm of the cross where the point of a bit goes: own judgement."""
LONGEST_TRAMMEL_MM = 600.0
"""A larger radius is no help at the bench: a bent batten draws the arc."""


def wall_sheet(walls: Sequence[Wall], *, drum_name: str, say: Measure) -> Sheet:
    """One wall at full size, seen from inside the box, with its section to the right; walls alike share a sheet.

    Held by tests/draw/test_wall.py: areas of face and section, places of steps and keys.

    Parameters
    ----------
    walls : Sequence[Wall]
        Walls that are alike; one with holes is drawn where there is one.
    drum_name : str
        Stands in the title.
    say : Measure
        Words for lengths in the drum's own units.
    """
    wall = next((one for one in walls if one.holes), walls[0])
    aside = _section_x(wall)
    section = Region(outer=tuple((x + aside, y) for x, y in section_outline(wall)))
    step = style.SMALLEST_MM * 1.15
    taken = _measures(wall, say)
    said = (*_said(walls, say), *_said_of_holes(wall, say, alone=len(walls) > 1), *_said_of_sound(wall, say))
    right = aside + wall.thickness_mm
    title = f"{drum_name}: {' and '.join(one.name for one in walls)} wall{'s' * (len(walls) > 1)}, seen from inside"
    side = 16.0
    block = notes_under(said, left=0.0, top=-4.0 * step, wide=right, height_mm=step)
    head = heading_over(title, left=0.0, low=wall.height_mm + 12.0, wide=right, height_mm=1.5 * step)
    at = (aside, wall.height_mm + 3.0)
    texts = (*head.texts, *block.texts)
    layers = (
        Layer(name="outline", pen=BOARD, shapes=(Outlined(path=wall.face()), section)),
        Layer(name="joints", pen=STEP, shapes=_cuts(wall)),
        Layer(name="root bar", pen=style.BAR, shapes=_bar(wall)),
        Layer(name="keys", pen=KEYS, shapes=_keys(wall)),
        Layer(name="counterbores", pen=COUNTERBORE, shapes=counterbores(wall)),
        Layer(name="sound holes", pen=STEP, shapes=(*sound_holes(wall), *_bit_points(wall))),
        Layer(name="holes", pen=STEP, shapes=_rings(wall)),
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
        Layer(
            name="section name",
            pen=style.WORDS,
            shapes=(Text(at=at, words="Section", height_mm=style.SMALLEST_MM),),
        ),
        Layer(name="text", pen=style.WORDS, shapes=texts),
    )
    return Sheet(
        left_mm=-side,
        bottom_mm=block.low,
        width_mm=right + 2.0 * side,
        height_mm=head.high - block.low,
        title=title,
        description=" ".join(said),
        notes=tuple(words.removesuffix(f" {SECTION_SAID}") for words in said),
        to_size=(
            -9.0,
            -9.5,
            wall.length_mm + (14.0 if wall.fingers_mm else 1.5),
            wall.height_mm + 3.0,
        ),
        layers=tuple(layer for layer in layers if layer.shapes),
    )


def sections_sheet(groups: Sequence[Sequence[Wall]], *, drum_name: str, say: Measure) -> Sheet:
    """The walls cut across, side by side at full size: for paper, which shows each wall's face on pages of its own.

    The outer face is on the right. Held by tests/draw/test_wall.py.

    Parameters
    ----------
    groups : Sequence[Sequence[Wall]]
        Walls that are alike, group by group.
    drum_name : str
        Stands in the title.
    say : Measure
        Words for lengths in the drum's own units.
    """
    taken = Measures(figure_mm=style.SMALLEST_MM)
    boards: list[Region] = []
    bars: list[Region] = []
    names: list[Text] = []
    x = highest = 0.0
    for walls in groups:
        wall = walls[0]
        bar, high = wall.root_bar, wall.height_mm
        x += 0.0 if bar is None else bar.thick_mm
        boards.append(Region(outer=tuple((x + u, y) for u, y in section_outline(wall))))
        if bar is not None:
            a, b = x - bar.thick_mm, x
            bars.append(Region(outer=((a, bar.low_mm), (b, bar.low_mm), (b, bar.high_mm), (a, bar.high_mm))))
            taken.across(x_from=a, x_to=b, y=-8.0, words=say.figure(bar.thick_mm), reach_from=bar.low_mm)
        words, end = say.figure(wall.thickness_mm), x + wall.thickness_mm
        taken.across(x_from=x, x_to=end, y=-8.0, words=words, reach_from=0.0)
        taken.upright(y_from=0.0, y_to=high, x=end + 6.0, words=say.figure(high), reach_from=end)
        name = " and ".join(one.name for one in walls)
        names.append(
            Text(at=(x - (0.0 if bar is None else bar.thick_mm), high + 3.0), words=name, height_mm=3.2)
        )
        x, highest = max(end + 6.0, x + text_width_mm(name, 3.2)) + GAP_MM, max(highest, high)
    said = (
        "The walls cut across at full size, upper edge up, the outer face on the right. Short dashes: a root bar.",
    )
    layers = (
        Layer(name="outline", pen=BOARD, shapes=tuple(boards)),
        Layer(name="root bar", pen=style.BAR, shapes=tuple(bars)),
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
        Layer(name="names", pen=style.WORDS, shapes=tuple(names)),
    )
    bounds = (-3.0, -10.0, x - GAP_MM + 6.0, highest + 3.0 + 1.5 * style.SMALLEST_MM)
    return Sheet(
        left_mm=bounds[0],
        bottom_mm=bounds[1],
        width_mm=bounds[2] - bounds[0],
        height_mm=bounds[3] - bounds[1],
        title=f"{drum_name}: sections of the walls",
        description=said[0],
        notes=said if bars else (said[0].partition(" Short")[0],),
        to_size=bounds,
        layers=tuple(layer for layer in layers if layer.shapes),
    )


def section_outline(wall: Wall) -> tuple[Point, ...]:
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


def _cuts(wall: Wall) -> tuple[Line, ...]:
    """The edges of what is cut from the inner face."""
    length, tall = wall.length_mm, wall.height_mm
    lines = []
    for step in wall.rabbets:
        y = tall - step.depth_mm if step.edge == "upper" else step.depth_mm
        edge = tall if step.edge == "upper" else 0.0
        a, b = length - step.to_mm, length - step.from_mm
        lines.append(Line(points=((a, y), (b, y))))
        lines += [Line(points=((x, y), (x, edge))) for x in (a, b) if 0.0 < x < length]
    if end_of(wall).layer:
        back = 0.5 * (length - wall.short_mm)
        lines += [Line(points=((x, 0.0), (x, tall))) for x in (back, length - back)]
    return tuple(lines)


def _section_x(wall: Wall) -> float:
    """Where the wall's section begins: a root bar is drawn to the left of it."""
    return wall.length_mm + GAP_MM + (0.0 if wall.root_bar is None else wall.root_bar.thick_mm)


def _bar(wall: Wall) -> tuple[Region, ...]:
    """The root bar on the inner face and in the section: only where it will be, for it is a part of its own."""
    bar = wall.root_bar
    if bar is None:
        return ()
    aside = _section_x(wall)
    spans = ((wall.length_mm - bar.to_mm, wall.length_mm - bar.from_mm), (aside - bar.thick_mm, aside))
    low, high = bar.low_mm, bar.high_mm
    return tuple(Region(outer=((a, low), (b, low), (b, high), (a, high))) for a, b in spans)


def _said_of_bar(wall: Wall, say: Measure) -> list[str]:
    """The root bar in words, with its place as the drawing shows it."""
    bar = wall.root_bar
    if bar is None:
        return []
    start = wall.length_mm - bar.to_mm
    along = f"{say(start)} from either end" if start > 0.05 else "from end to end"
    under = wall.height_mm - bar.high_mm
    up = (
        f"its upper face {say(under)} under the upper edge, where the top lies on it"
        if under > 0.05
        else ("its upper face flush with the upper edge")
    )
    return [f"Short dashes: the root bar, {say.size(*bar.size_mm)}, glued to this face {along}, {up}."]


def _keys(wall: Wall) -> tuple[Line, ...]:
    """Where the keys cross the corners."""
    length = wall.length_mm
    return tuple(
        Line(points=((a, y), (b, y)))
        for y in wall.key_heights_mm
        for a, b in ((0.0, KEY_MARK_MM), (length - KEY_MARK_MM, length))
    )


def counterbores(wall: Wall) -> tuple[Circle, ...]:
    """The wide shallow holes in the inner face."""
    return tuple(
        Circle(centre=wall.from_inside(hole), radius_mm=0.5 * hole.wide_mm)
        for hole in wall.holes
        if hole.deep_mm
    )


def _rings(wall: Wall) -> tuple[Circle | Line, ...]:
    """The holes as seen from inside, each with a cross for the point of the bit."""
    found: list[Circle | Line] = []
    for hole in wall.holes:
        x, y = wall.from_inside(hole)
        arm = 0.5 * hole.diameter_mm + 2.0
        found.append(Circle(centre=(x, y), radius_mm=0.5 * hole.diameter_mm))
        found += [Line(points=((x - arm, y), (x + arm, y))), Line(points=((x, y - arm), (x, y + arm)))]
    return tuple(found)


def sound_holes(wall: Wall) -> tuple[Outlined, ...]:
    """The edges of the sound holes as seen from inside."""
    return tuple(Outlined(path=path) for path in wall.sound_paths())


def _bit_points(wall: Wall) -> Iterator[Line]:
    """A cross for the point of every bit: in the middle of a round hole, near both ends of a slot."""
    for cut in wall.sound_holes:
        x, y = wall.from_inside(cut)
        off = 0.5 * (cut.long_mm - cut.wide_mm)
        for at in (x,) if cut.is_round else (x - off, x + off):
            yield Line(points=((at - POINT_MM, y), (at + POINT_MM, y)))
            yield Line(points=((at, y - POINT_MM), (at, y + POINT_MM)))


def _said_of_sound(wall: Wall, say: Measure) -> list[str]:
    """The sound holes in words, from left to right as the drawing shows them."""
    cuts = sorted(wall.sound_holes, key=lambda one: -one.u_mm)
    return [
        f"Sound hole: {sound_size(cut, say)}, its middle {sound_spot(wall.from_inside(cut), say)}."
        for cut in cuts
    ]


def sound_size(cut: SoundCut, say: Measure) -> str:
    """How large a sound hole is, in words."""
    wide = replace(say, parts=64)(cut.wide_mm)
    return (
        f"{wide} across"
        if cut.is_round
        else f"a slot {wide} wide and {say(cut.long_mm)} long, its ends round"
    )


def sound_spot(at: Point, say: Measure) -> str:
    """Where the middle of a sound hole lies in its drawing, in words."""
    return f"{say(at[0])} from the left end of this drawing, {say(at[1])} over the lower edge"


def _said_of_holes(wall: Wall, say: Measure, *, alone: bool) -> list[str]:
    """The holes in words, from left to right, with their places as the drawing shows them.

    `alone`: they are in this wall and not in those that share its sheet.
    """
    name = f"{wall.name.capitalize()} wall alone: hole" if alone else "Hole"
    said, fine = [], replace(say, parts=64)  # bits come in finer steps than a rule shows
    for hole in sorted(wall.holes, key=lambda one: -one.u_mm):
        x, y = wall.from_inside(hole)
        deep = (
            f" First, from this face, {say(hole.wide_mm)} wide and {say(hole.deep_mm)} deep "
            "(dashed), so that the thread reaches."
            if hole.deep_mm
            else ""
        )
        said.append(
            f"{name} for the {hole.what}: {fine(hole.diameter_mm)} through, {say(x)} from the "
            f"left end of this drawing, {say(y)} over the lower edge.{deep}"
        )
    return said


def _measures(wall: Wall, say: Measure) -> Measures:
    taken = Measures(figure_mm=style.SMALLEST_MM)
    words = [say.figure(mm) for mm in (wall.length_mm, wall.height_mm, wall.thickness_mm)]
    taken.across(x_from=0.0, x_to=wall.length_mm, y=-8.0, words=words[0], reach_from=0.0)
    taken.upright(y_from=0.0, y_to=wall.height_mm, x=-4.0, words=words[1], reach_from=0.0)
    for low, high in finger_widths(wall):
        x = wall.length_mm + 5.0
        taken.upright(y_from=low, y_to=high, x=x, words=say.figure(high - low), reach_from=wall.length_mm)
    x = _section_x(wall)
    taken.across(x_from=x, x_to=x + wall.thickness_mm, y=-8.0, words=words[2], reach_from=0.0)
    return taken


def finger_widths(wall: Wall) -> list[tuple[float, float]]:
    """The fingers and the gaps between them at an end, from the lower edge up: (from, to)."""
    marks = sorted({0.0, wall.height_mm, *(height for finger in wall.fingers_mm for height in finger)})
    return list(pairwise(marks)) if wall.fingers_mm else []


def _said(walls: Sequence[Wall], say: Measure) -> list[str]:
    """What is cut, in words."""
    wall = walls[0]

    said = [f"The inner face is towards you, upper edge up. {SECTION_SAID}"]
    if len(walls) > 1:
        holes = any(one.holes for one in walls)
        said.insert(0, f"Make {len(walls)}, alike{' but for the holes' * holes}.")
    joint = end_of(wall).said(wall, say)
    said += [joint] if joint else []
    for step in wall.rabbets:
        words = f"Rabbet, {step.edge} edge: {say(step.width_mm)} into the thickness, "
        words += f"{say(step.depth_mm)} of the height"
        stopped = step.from_mm > 0.0 or step.to_mm < wall.length_mm
        ends = (
            f"; stopped {say(wall.length_mm - step.to_mm)} and {say(step.from_mm)} from the ends"
            if stopped
            else ""
        )
        said.append(f"{words}{ends}.")
    said += _said_of_bar(wall, say)
    if wall.key_heights_mm:
        heights = ", ".join(say(h) for h in wall.key_heights_mm)
        said.append(f"Dashed: middles of the key slots, {heights} over the lower edge; cut after glue-up.")
    if wall.relief is not None:
        radius = wall.relief_radius_mm()
        arc = ", an arc" if radius else ""
        arc += f" of {say(radius)} radius" if radius and radius < LONGEST_TRAMMEL_MM else ""
        said.append(
            f"Foot relief: begins {say(wall.relief.inset_mm)} from each end, {say(wall.relief.rise_mm)} high{arc}."
        )
    return said
