"""The sheets of the top's cuts: as a machine wants them from above, and as the borer sees them from below.

`cuts_sheet` holds only what is cut, on layers of their own (outline, slots, stop holes, bores, box), each edge
closed and with true arcs, in the drum's own frame. `underside_sheet` is the same turned over like the page
of a book, end for end, the front edge still towards the maker: x runs from right to left, so that what is
bored lies where it is seen. Both in mm. Words say which way up the board lies.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from kerftone.draw import legend, style
from kerftone.draw.dimension import Measures
from kerftone.draw.labels import on_rule
from kerftone.draw.sheet import (
    Circle,
    Layer,
    Line,
    Outlined,
    Pen,
    Point,
    Shape,
    Sheet,
    Text,
    text_width_mm,
)
from kerftone.drum.arcs import with_arcs
from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline

FINE_MM = 0.005
"""How far chords may stray where true arcs are found in them again: `outline(drum, tolerance_mm=FINE_MM)`."""

CUT = Pen(stroke=style.INK, width_mm=0.5)
SLOTS = Pen(stroke=style.INK, width_mm=0.4, fill=style.PAPER)
HOLES = Pen(stroke=style.RUST, width_mm=0.3)
BORED = Pen(stroke=style.PLUM, width_mm=0.6)
BOARD = Pen(stroke=style.INK, width_mm=0.5, fill=style.WOOD)
CROSS = Pen(stroke=style.PLUM, width_mm=0.25)
NAMES = Pen(fill=style.INK, halo=style.WOOD)
SEAT = Pen(stroke=style.SLATE, width_mm=0.45, dash_mm=(4.0, 2.0))


def edges(shape: BaseGeometry) -> tuple[Outlined, ...]:
    """Every edge of a polygon, or of several, as closed paths with true arcs."""
    parts: Iterable[BaseGeometry] = getattr(shape, "geoms", (shape,))
    return tuple(
        Outlined(path=with_arcs(ring.coords))
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    )


def mirrored(shape: BaseGeometry, length_mm: float) -> BaseGeometry:
    """A shape as seen from below: turned over end for end about the middle of the length."""
    return affinity.affine_transform(shape, [-1.0, 0.0, 0.0, 1.0, length_mm, 0.0])


def cuts_sheet(drum: Drum, drawn: Outline, *, from_below: bool = False) -> Sheet:
    """What is cut in the top, from above or below, on layers for a machine; `drawn` with FINE_MM.

    The zero point is the board's lower left corner on the sheet. Held by tests/draw/test_dxf.py.
    """
    length = drum.top.length_mm
    layers = _cut_layers(drum, drawn, (lambda s: mirrored(s, length)) if from_below else (lambda s: s))
    depths = _depths(drum, from_below=from_below)
    layers += [Layer(name="text", pen=style.DEPTHS, shapes=depths)] if depths else []
    words = "Seen from above; bores are cut from the other face."
    if from_below:
        words = "Seen from below, turned over end for end: the left end is on the right."
    face = "underside" if from_below else "top"
    return _framed(drum, drawn, layers, title=f"{drum.name}: cuts of the {face}", words=words)


def underside_sheet(drum: Drum, drawn: Outline) -> Sheet:
    """The top's underside at full size, with its bores, as it lies on the bench face down.

    Held by tests/draw/test_underside.py: a bore near the left end is drawn as near the right edge.
    """
    length = drum.top.length_mm
    layers = _cut_layers(drum, drawn, lambda s: mirrored(s, length))
    crosses: list[Shape] = []
    for bore in drum.bores:
        x, y, arm = length - bore.x_mm, bore.y_mm, 0.6 * bore.diameter_mm
        crosses += [Line(points=((x - arm, y), (x + arm, y))), Line(points=((x, y - arm), (x, y + arm)))]
    layers.append(Layer(name="bore centres", pen=CROSS, shapes=tuple(crosses)))
    layers.append(Layer(name="bore depths", pen=style.DEPTHS, shapes=_depths(drum, from_below=True)))
    layers.append(Layer(name="text", pen=NAMES, shapes=tuple(_names(drum, drawn))))
    layers += _disc(drum)
    return _with_words(drum, drawn, layers)


def _cut_layers(drum: Drum, drawn: Outline, turn: Callable[[BaseGeometry], BaseGeometry]) -> list[Layer]:
    """The layers every sheet of the top has; a layer with nothing on it is left out."""

    def spot(x: float, y: float) -> Point:
        west, south, _, _ = turn(_dot(x, y)).bounds
        return west, south

    holes = tuple(Circle(centre=spot(x, y), radius_mm=0.5 * d) for x, y, d in drawn.stop_holes)
    bores = tuple(Circle(centre=spot(b.x_mm, b.y_mm), radius_mm=0.5 * b.diameter_mm) for b in drum.bores)
    box = edges(turn(drawn.box_inner))
    if not drawn.box_outer.equals(drawn.board):
        box += edges(turn(drawn.box_outer))
    layers = (
        Layer(name="outline", pen=BOARD, shapes=edges(turn(drawn.board))),
        Layer(name="slots", pen=SLOTS, shapes=edges(turn(drawn.removed))),
        Layer(name="stop holes", pen=HOLES, shapes=holes),
        Layer(name="box", pen=SEAT, shapes=box),
        Layer(name="bores", pen=BORED, shapes=bores),
    )
    return [layer for layer in layers if layer.shapes]


def _depths(drum: Drum, *, from_below: bool) -> tuple[Text, ...]:
    """How deep each bore is, in words above it."""
    return tuple(
        Text(
            at=(drum.top.length_mm - b.x_mm if from_below else b.x_mm, b.y_mm + 0.6 * b.diameter_mm + 1.5),
            words=f"{on_rule(b.depth_mm, drum.units)} deep",
            height_mm=style.SMALLEST_MM,
            anchor="middle",
        )
        for b in drum.bores
    )


def _disc(drum: Drum) -> list[Layer]:
    """The pickup's disc where the drum file puts it, seen from below; nothing where it leaves the place open."""
    pickup = drum.making.pickup
    if pickup is None or pickup.x_mm is None or pickup.y_mm is None:
        return []
    at = (drum.top.length_mm - pickup.x_mm, pickup.y_mm)
    ring = Circle(centre=at, radius_mm=0.5 * pickup.disc_mm)
    words = Text(
        at=(at[0], at[1] - ring.radius_mm - 5.0), words="DISC", height_mm=style.SMALLEST_MM, anchor="middle"
    )
    return [
        Layer(name="pickup disc", pen=style.STRIKE, shapes=(ring,)),
        Layer(name="pickup words", pen=NAMES, shapes=(words,)),
    ]


def _dot(x: float, y: float) -> BaseGeometry:
    from shapely.geometry import Point as Dot

    return Dot(x, y)


def _names(drum: Drum, drawn: Outline) -> list[Text]:
    """Place and note of each tongue, beyond its root line, where no bore of its own can cross them."""
    found = []
    lines, length = drawn.layout, drum.top.length_mm
    for tongue in drum.tongues:
        side, row = tongue.side or "left", tongue.row or 1
        height = max(style.SMALLEST_MM, min(5.0, 0.12 * lines.tongue_width_mm))
        outward = 1.5 if side == "left" else -1.5
        found.append(
            Text(
                at=(length - lines.root_mm(side) + outward, lines.centre_mm(row) - 0.5 * height),
                words=f"{tongue.place} {tongue.note}",
                height_mm=height,
                anchor="start" if side == "left" else "end",
                bold=True,
            )
        )
    return found


@dataclass(kw_only=True)
class _Words:
    """Words set under one another, downwards from a height."""

    left: float
    y: float
    wide: float
    step: float
    texts: list[Text]

    def put(self, words: str, *, height: float | None = None, bold: bool = False) -> None:
        """A paragraph at this height, and down by as much as it took."""
        tall = height or self.step
        for line in legend.wrapped(words, width_mm=self.wide, height_mm=tall):
            self.y -= 1.7 * tall
            self.texts.append(Text(at=(self.left, self.y), words=line, height_mm=tall, bold=bold))


def _with_words(drum: Drum, drawn: Outline, layers: list[Layer]) -> Sheet:
    """The underside with its heading above and what it means below."""
    west, south, east, north = mirrored(drawn.board.union(drawn.box_outer), drum.top.length_mm).bounds
    step = style.look_for(drum.top.length_mm).body_mm
    ends = [
        Text(at=(x, 0.5 * drum.top.width_mm), words=words, height_mm=step, anchor="middle", angle_deg=turn)
        for x, words, turn in ((west - step, "RIGHT END", 90.0), (east + step, "LEFT END", -90.0))
    ]
    front = Text(
        at=(0.5 * (west + east), south - 2.0 * step),
        words="FRONT EDGE, towards you",
        height_mm=step,
        anchor="middle",
        bold=True,
    )
    low = _Words(left=west, y=south - 3.0 * step, wide=east - west, step=step, texts=[])
    low.put("The board lies face down, turned over end for end like a page: the left end is on the right.")
    low.put("Dashed: the inside of the box. Keep what you bore inside it.")
    if drum.bores:
        low.put("Rings with a cross: bores, flat-bottomed and not through; the depth stands above each.")
    else:
        low.put("No bores yet.")
    pickup = drum.making.pickup
    if pickup is not None and pickup.x_mm is not None:
        low.put(
            f"DISC: the pickup, {on_rule(pickup.disc_mm, drum.units)} across, is glued on here; no bore under it."
        )
    if drawn.stop_holes:
        low.put("Small circles at the slots' ends: stop holes, drilled right through.")
    high = north + 8.5 * step
    head = _Words(left=west, y=high, wide=east - west, step=step, texts=[])
    head.put(drum.name, height=2.0 * step, bold=True)
    head.put("The underside, seen from below, full size.")
    texts = (*ends, front, *head.texts, *low.texts)
    layers.append(Layer(name="words", pen=style.WORDS, shapes=texts))
    side, air = 2.5 * step, 1.0 * step
    return Sheet(
        left_mm=west - side,
        bottom_mm=low.y - air,
        width_mm=east - west + 2.0 * side,
        height_mm=high + air - (low.y - air),
        title=f"{drum.name}: the underside, seen from below",
        description="The top turned over end for end, front edge towards you: the left end is on the right.",
        layers=tuple(layers),
    )


def _board_measures(drum: Drum, y: float, x: float) -> tuple[Layer, Layer]:
    """The board's length above it and its width beside it."""
    taken = Measures(figure_mm=style.SMALLEST_MM)
    long, wide = drum.top.length_mm, drum.top.width_mm
    words = [on_rule(mm, drum.units, with_unit=False) for mm in (long, wide)]
    taken.across(x_from=0.0, x_to=long, y=y, words=words[0], reach_from=wide)
    taken.upright(y_from=0.0, y_to=wide, x=x, words=words[1], reach_from=0.0)
    return (
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="dimensions", pen=style.FIGURES, shapes=tuple(taken.figures)),
    )


def _framed(drum: Drum, drawn: Outline, layers: list[Layer], *, title: str, words: str) -> Sheet:
    """A bare sheet with a little air, its words under it, and the board's own measures."""
    west, south, east, north = drawn.board.union(drawn.box_outer).bounds
    step, air = style.SMALLEST_MM, 14.0
    size = " × ".join(
        on_rule(mm, drum.units, with_unit=False) for mm in (drum.top.length_mm, drum.top.width_mm)
    )
    told = (
        f"{title}.",
        words,
        f"Board {size} × {on_rule(drum.top.thickness_mm, drum.units)}. 1 unit is 1 mm.",
    )
    texts = tuple(
        Text(at=(west, south - (2.0 + 1.7 * i) * step), words=line, height_mm=step)
        for i, line in enumerate(told)
    )
    layers += [
        *_board_measures(drum, north + 4.0, west - 4.0),
        Layer(name="text", pen=style.WORDS, shapes=texts),
    ]
    wide = max(east - west, max(text_width_mm(t.words, step) for t in texts))
    low = south - 8.0 * step
    return Sheet(
        left_mm=west - air,
        bottom_mm=low,
        width_mm=wide + 2.0 * air,
        height_mm=north + air - low,
        title=title,
        description=words,
        layers=tuple(layers),
    )
