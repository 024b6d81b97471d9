"""What is cut, as a machine wants it: nothing but edges, each closed and with true arcs, on layers of their own.

The top from above or from below (outline, slots, stop holes, bores, box), each wall from its inner face (outline,
rabbets, mitres, keys, holes, counterbores), the bottom. In mm, the zero point at the board's lower left corner;
words say which face is up. From below means turned over end for end, the front edge still towards the maker.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar, cast

from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw import style
from kerftone.draw.curved import edges
from kerftone.draw.dimension import Measures
from kerftone.draw.sheet import (
    Bounds,
    Circle,
    Layer,
    Line,
    Outlined,
    Pen,
    Sheet,
    Text,
    text_width_mm,
)
from kerftone.draw.wall import KEYS, STEP, counterbores, sound_holes
from kerftone.drum.arcs import ClosedPath, Point, Segment
from kerftone.drum.corners import end_of
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, LipStep, Rabbet, Wall
from kerftone.drum.outline import Outline
from kerftone.shop.box import top_step
from kerftone.shop.measure import Measure, measure_of

S = TypeVar("S", bound=BaseGeometry)
FINE_MM = 0.005
"""How far chords of what is cut may stray from the curves they stand for: `outline(drum, tolerance_mm=FINE_MM)`."""

SLOTS = Pen(stroke=style.INK, width_mm=0.4, fill=style.PAPER)
HOLES = Pen(stroke=style.RUST, width_mm=0.3)
SUNK = Pen(stroke=style.RUST, width_mm=0.2, dash_mm=(1.5, 1.0))
BORED = Pen(stroke=style.PLUM, width_mm=0.6)
BOARD = Pen(stroke=style.INK, width_mm=0.5, fill=style.WOOD)
SEAT = Pen(stroke=style.SLATE, width_mm=0.45, dash_mm=(4.0, 2.0))


def root_bar_edges(free: Polygon, inside: Polygon) -> tuple[Line, ...]:
    """The edges of the root bars under the top: where what is free below (`box_inner`) ends before the walls do.

    `inside` are the walls' inner faces (`wall_inner`); both as this drawing shows them. Empty without bars.
    """
    west, south, east, north = free.bounds
    ends = zip((west, east), (inside.bounds[0], inside.bounds[2]), strict=True)
    return tuple(Line(points=((x, south), (x, north))) for x, wall in ends if abs(x - wall) > 1e-6)


def mirrored(shape: S, length_mm: float) -> S:
    """A shape as seen from below: turned over end for end about the middle of the length."""
    return cast(S, affinity.affine_transform(shape, [-1.0, 0.0, 0.0, 1.0, length_mm, 0.0]))


def turned_bends(bends: Sequence[Segment], length_mm: float) -> tuple[Segment, ...]:
    """Curves as seen from below, as `mirrored`."""

    def at(point: Point) -> Point:
        return length_mm - point[0], point[1]

    return tuple(one.moved(at, turned_over=True) for one in bends)


def spot_of(drum: Drum, x_mm: float, y_mm: float, *, from_below: bool) -> Point:
    """A point of the top as this face shows it.

    Parameters
    ----------
    drum : Drum
        Whose top it is.
    x_mm : float
        From the left end as seen from above, in mm.
    y_mm : float
        From the front edge, in mm.
    from_below : bool
        Whether the sheet shows the underside, turned over end for end.
    """
    return (drum.top.length_mm - x_mm if from_below else x_mm), y_mm


def cuts_sheet(drum: Drum, drawn: Outline, *, from_below: bool = False) -> Sheet:
    """What is cut in the top, from above or below, on layers for a machine.

    The zero point is the board's lower left corner on the sheet. Held by tests/draw/test_dxf.py.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    drawn : Outline
        The outline of its top, in mm, drawn with FINE_MM.
    from_below : bool, optional
        Whether the sheet shows the underside, turned over end for end.
    """
    layers = cut_layers(drum, drawn, from_below=from_below)
    words = "Seen from above; bores are cut from the other face."
    if from_below:
        words = "Seen from below, turned over end for end: the left end is on the right."
    top = drum.top
    return _framed(
        _Board(
            size_mm=(top.length_mm, top.width_mm, top.thickness_mm),
            bounds=drawn.board.union(drawn.box_outer).bounds,
            say=measure_of(drum),
        ),
        [*layers, Layer(name="text", pen=style.DEPTHS, shapes=depths(drum, from_below=from_below))],
        title=f"{drum.name}: cuts of the {'underside' if from_below else 'top'}",
        words=(
            words,
            *(_lip_words(top_step(drum), measure_of(drum)) if from_below else ()),
            *_disc_words(drum, from_below=from_below),
        ),
    )


def cut_layers(drum: Drum, drawn: Outline, *, from_below: bool) -> list[Layer]:
    """The layers every sheet of the top has; a layer with nothing on it is left out.

    Parameters
    ----------
    drum : Drum
        As the file has it.
    drawn : Outline
        The outline of its top, in mm.
    from_below : bool
        Whether they show the underside, turned over end for end.
    """

    def turn(shape: S) -> S:
        return mirrored(shape, drum.top.length_mm) if from_below else shape

    def ring(x: float, y: float, across: float) -> Circle:
        return Circle(centre=spot_of(drum, x, y, from_below=from_below), radius_mm=0.5 * across)

    bends = turned_bends(drawn.bends, drum.top.length_mm) if from_below else drawn.bends
    sawn = edges(turn(drawn.removed), bends, sagitta_mm=drawn.tolerance_mm)
    box = edges(turn(drawn.wall_inner))
    bars = root_bar_edges(turn(drawn.box_inner), turn(drawn.wall_inner))
    if not drawn.box_outer.equals(drawn.board):
        box += edges(turn(drawn.box_outer))
    disc, sink = placed_disc(drum) if from_below else None, 0.0 if from_below else drum.slots.countersink_mm
    sunk = tuple(ring(x, y, sink) for x, y, _ in drawn.stop_holes) if sink else ()
    layers = (
        Layer(name="outline", pen=BOARD, shapes=edges(turn(drawn.board))),
        Layer(name="slots", pen=SLOTS, shapes=sawn),
        Layer(name="stop holes", pen=HOLES, shapes=tuple(ring(*hole) for hole in drawn.stop_holes)),
        Layer(name="countersinks", pen=SUNK, shapes=sunk),
        Layer(name="box", pen=SEAT, shapes=box),
        Layer(name="root bars", pen=style.BAR, shapes=bars),
        Layer(
            name="bores",
            pen=BORED,
            shapes=tuple(ring(bore.x_mm, bore.y_mm, bore.diameter_mm) for bore in drum.bores),
        ),
        Layer(name="pickup disc", pen=style.STRIKE, shapes=() if disc is None else (ring(*disc),)),
        *(_lip_layer(top_step(drum), (drum.top.length_mm, drum.top.width_mm)) if from_below else ()),
    )
    return [layer for layer in layers if layer.shapes]


def placed_disc(drum: Drum) -> tuple[float, float, float] | None:
    """The pickup's disc under the top, x, y and diameter, where the drum file puts it; None where that is open."""
    pickup = drum.making.pickup
    if pickup is None or pickup.on != "top" or pickup.x_mm is None or pickup.y_mm is None:
        return None
    return pickup.x_mm, pickup.y_mm, pickup.disc_mm


def disc_depth_words(drum: Drum) -> str:
    """How the disc lies in the wood."""
    pickup = drum.making.pickup
    if pickup is None or not pickup.recess_mm:
        return "glued on flat"
    return f"in a recess {measure_of(drum)(pickup.recess_mm)} deep"


def _disc_words(drum: Drum, *, from_below: bool) -> tuple[str, ...]:
    disc = placed_disc(drum) if from_below else None
    return () if disc is None else (f"PICKUP_DISC: {measure_of(drum)(disc[2])}, {disc_depth_words(drum)}.",)


def depths(drum: Drum, *, from_below: bool) -> tuple[Text, ...]:
    """How deep each bore is, in words above it."""
    found = []
    for bore in drum.bores:
        x, y = spot_of(drum, bore.x_mm, bore.y_mm, from_below=from_below)
        found.append(
            Text(
                at=(x, y + 0.6 * bore.diameter_mm + 1.5),
                words=f"{measure_of(drum)(bore.depth_mm)} deep",
                height_mm=style.SMALLEST_MM,
                anchor="middle",
            )
        )
    return tuple(found)


def wall_cuts(walls: Sequence[Wall], *, drum_name: str, say: Measure) -> Sheet:
    """What is cut in one wall (or several alike), its inner face up, on layers for a machine.

    Rabbets are closed areas to be cleared to the depth that stands in words; mitres are lines at the short
    points, their saw tilted. Held by tests/draw/test_cuts.py.

    Parameters
    ----------
    walls : Sequence[Wall]
        Walls that are alike; the first is drawn.
    drum_name : str
        Stands in the title.
    say : Measure
        Words for lengths in the drum's own units.
    """
    wall = walls[0]
    length, high = wall.length_mm, wall.height_mm
    back = 0.5 * (length - wall.short_mm)
    ends = [(0.0, back), (length - back, length)]
    rabbets = [Outlined(path=_rabbet_area(wall, rabbet)) for rabbet in wall.rabbets]
    on = end_of(wall).layer
    if on == "rabbets":
        rabbets += [Outlined(path=_area((a, 0.0, b, high))) for a, b in ends]
    mitres = [Line(points=((x, 0.0), (x, high))) for x in (back, length - back) if on == "mitres"]
    leg = 0.5 * wall.thickness_mm
    keys = [
        Line(points=((a, s), (b, s)))
        for s in wall.key_heights_mm
        for a, b in ((0.0, leg), (length - leg, length))
    ]
    holes = [Circle(centre=wall.from_inside(hole), radius_mm=0.5 * hole.diameter_mm) for hole in wall.holes]
    layers = [
        Layer(name="outline", pen=BOARD, shapes=(Outlined(path=wall.face()),)),
        Layer(name="rabbets", pen=STEP, shapes=tuple(rabbets)),
        Layer(name="mitres", pen=STEP, shapes=tuple(mitres)),
        Layer(name="root bar", pen=style.BAR, shapes=_bar_outline(wall)),
        Layer(name="keys", pen=KEYS, shapes=tuple(keys)),
        Layer(name="holes", pen=HOLES, shapes=tuple(holes)),
        Layer(name="sound holes", pen=HOLES, shapes=sound_holes(wall)),
        Layer(name="counterbores", pen=HOLES, shapes=counterbores(wall)),
    ]
    names = " and ".join(one.name for one in walls)
    return _framed(
        _Board(size_mm=(length, high, wall.thickness_mm), bounds=(0.0, 0.0, length, high), say=say),
        layers,
        title=f"{drum_name}: cuts of the {names} wall{'s' * (len(walls) > 1)}",
        words=("Inner face up, upper edge at the top.", *_depth_words(wall, say)),
    )


def _bar_outline(wall: Wall) -> tuple[Outlined, ...]:
    """Where the root bar is glued to the inner face: nothing is cut there."""
    bar = wall.root_bar
    if bar is None:
        return ()
    west, east = wall.length_mm - bar.to_mm, wall.length_mm - bar.from_mm
    return (Outlined(path=_area((west, bar.low_mm, east, bar.high_mm))),)


def _depth_words(wall: Wall, say: Measure) -> list[str]:
    """How deep each layer goes from the inner face, which a flat file cannot show."""
    words = [
        f"RABBETS, {rabbet.edge} edge: {say(rabbet.width_mm)} deep from this face." for rabbet in wall.rabbets
    ]
    joint = end_of(wall).depth_said(wall, say)
    words += [joint] if joint else []
    if wall.root_bar is not None:
        words.append("ROOT_BAR: where the bar is glued to this face; nothing is cut there.")
    if wall.key_heights_mm:
        words.append("KEYS: middles of the slots; cut in the glued box, not here.")
    for hole in wall.holes:
        if hole.deep_mm:
            words.append(f"COUNTERBORES, {hole.what}: {say(hole.deep_mm)} deep from this face.")
    return words


def _rabbet_area(wall: Wall, rabbet: Rabbet) -> ClosedPath:
    """The face a rabbet clears, as seen from inside."""
    low, high = (
        (wall.height_mm - rabbet.depth_mm, wall.height_mm)
        if rabbet.edge == "upper"
        else (0.0, rabbet.depth_mm)
    )
    return _area((wall.length_mm - rabbet.to_mm, low, wall.length_mm - rabbet.from_mm, high))


def _area(bounds: Bounds) -> ClosedPath:
    west, south, east, north = bounds
    return ClosedPath(points=((west, south), (east, south), (east, north), (west, north)), bulges=(0.0,) * 4)


def bottom_cuts(box: Box, *, drum_name: str, say: Measure) -> Sheet:
    """The bottom's outline for a machine.

    Parameters
    ----------
    box : Box
        A box that has a bottom.
    drum_name : str
        Stands in the title.
    say : Measure
        Words for lengths in the drum's own units.
    """
    assert box.bottom_mm is not None
    edge = (0.0, 0.0, box.bottom_mm[0], box.bottom_mm[1])
    return _framed(
        _Board(size_mm=box.bottom_mm, bounds=edge, say=say),
        [
            Layer(name="outline", pen=BOARD, shapes=(Outlined(path=_area(edge)),)),
            *_lip_layer(box.bottom_step, box.bottom_mm),
            Layer(
                name="sound holes",
                pen=HOLES,
                shapes=tuple(Outlined(path=cut.path) for cut in box.bottom_holes),
            ),
        ],
        title=f"{drum_name}: cuts of the bottom",
        words=(
            "Grain along the length. Measure the dry-fitted box before you cut it.",
            *_lip_words(box.bottom_step, say),
        ),
    )


def _lip_layer(step: LipStep | None, size_mm: Sequence[float]) -> tuple[Layer, ...]:
    """How far a rabbet all round reaches in, for a board on a lip."""
    if step is None:
        return ()
    long, wide, by = size_mm[0], size_mm[1], step.width_mm
    path = _area((by, by, long - by, wide - by))
    return (Layer(name="rabbets", pen=STEP, shapes=(Outlined(path=path),)),)


def _lip_words(step: LipStep | None, say: Measure) -> tuple[str, ...]:
    if step is None:
        return ()
    return (f"RABBETS: from this line out to every edge, {say(step.depth_mm)} deep from this face.",)


@dataclass(frozen=True, kw_only=True)
class _Board:
    """The board that is cut: length, width, thickness; and what the drawing of it reaches."""

    size_mm: tuple[float, float, float]
    bounds: Bounds
    say: Measure


def _board_measures(board: _Board, y: float, x: float) -> tuple[Layer, Layer]:
    """The board's length above it and its width beside it."""
    taken = Measures(figure_mm=style.SMALLEST_MM)
    long, wide, _ = board.size_mm
    words = [board.say.figure(mm) for mm in (long, wide)]
    taken.across(x_from=0.0, x_to=long, y=y, words=words[0], reach_from=wide)
    taken.upright(y_from=0.0, y_to=wide, x=x, words=words[1], reach_from=0.0)
    return (
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="dimensions", pen=style.FIGURES, shapes=tuple(taken.figures)),
    )


def _framed(board: _Board, layers: list[Layer], *, title: str, words: Sequence[str]) -> Sheet:
    """A bare sheet with a little air, its words under it, and the board's own measures."""
    west, south, east, north = board.bounds
    step, air = style.SMALLEST_MM, 14.0
    told = (f"{title}.", *words, f"Board {board.say.size(*board.size_mm)}. 1 unit is 1 mm.")
    texts = tuple(
        Text(at=(west, south - (2.0 + 1.7 * i) * step), words=line, height_mm=step)
        for i, line in enumerate(told)
    )
    layers = [
        *layers,
        *_board_measures(board, north + 4.0, west - 4.0),
        Layer(name="text", pen=style.WORDS, shapes=texts),
    ]
    wide = max(east - west, max(text_width_mm(t.words, step) for t in texts))
    low = south - (2.9 + 1.7 * len(told)) * step
    return Sheet(
        left_mm=west - air,
        bottom_mm=low,
        width_mm=wide + 2.0 * air,
        height_mm=north + air - low,
        title=title,
        description=" ".join(words),
        layers=tuple(layer for layer in layers if layer.shapes),
    )
