"""The underside of the top at full size, as the borer sees it.

The board is turned over like the page of a book, end for end, the front edge still towards the maker: x runs from
right to left, so that what is bored lies where it is seen. In mm. Words say which way up the board lies.
"""

from __future__ import annotations

from dataclasses import replace

from kerftone.draw import style
from kerftone.draw.cuts import cut_layers, depths, disc_depth_words, mirrored, placed_disc, spot_of
from kerftone.draw.dimension import along
from kerftone.draw.labels import rim_words, tongue_tags
from kerftone.draw.sheet import Layer, Line, Pen, Shape, Sheet, Text, text_width_mm
from kerftone.draw.waste import HATCH, MARKED, hatched, waste, waste_names
from kerftone.draw.waste import NAME as WASTE_NAME
from kerftone.draw.words import LINE, heading_over, notes_under
from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline
from kerftone.shop.measure import measure_of

EDGE_MM = 1.5
"""What paper shows round the board."""
RIGHT_END, LEFT_END, FRONT_TOWARDS = "RIGHT END", "LEFT END", "FRONT EDGE, towards you"
CROSS = Pen(stroke=style.PLUM, width_mm=0.25)
NAMES = Pen(fill=style.INK, halo=style.WOOD)
TURNED = (
    "The board lies face down, turned over end for end like the page of a book: the front edge is still towards you, "
    "the left end is on the right."
)
"""Said the same on every sheet that shows the underside."""


def underside_sheet(drum: Drum, drawn: Outline) -> Sheet:
    """The top's underside at full size, with its bores, as it lies on the bench face down.

    Held by tests/draw/test_underside.py: a bore near the left end is drawn as near the right edge.
    """
    layers = cut_layers(drum, drawn, from_below=True)
    crosses: list[Shape] = []
    for bore in drum.bores:
        crosses += _cross(drum, bore.x_mm, bore.y_mm, bore.diameter_mm)
    pieces = waste(mirrored_outline(drum, drawn), kerf_mm=drum.slots.kerf_mm)
    layers.append(Layer(name="waste", pen=HATCH, shapes=tuple(h for one in pieces for h in hatched(one))))
    rows = tuple(drawn.layout.clear_mm(row + 1) for row in range(drawn.layout.rows))
    layers.append(Layer(name="waste words", pen=WASTE_NAME, shapes=tuple(waste_names(pieces, rows))))
    layers.append(Layer(name="bore centres", pen=CROSS, shapes=tuple(crosses)))
    layers.append(Layer(name="bore depths", pen=style.DEPTHS, shapes=depths(drum, from_below=True)))
    layers.append(Layer(name="text", pen=NAMES, shapes=tuple(_names(drum, drawn))))
    return _with_words(drum, drawn, [*layers, *_disc(drum)])


def _cross(drum: Drum, x_mm: float, y_mm: float, across_mm: float) -> list[Line]:
    """A cross over a circle of the top, for the point of the bit or the middle of the disc."""
    x, y = spot_of(drum, x_mm, y_mm, from_below=True)
    arm = 0.6 * across_mm
    return [Line(points=((x - arm, y), (x + arm, y))), Line(points=((x, y - arm), (x, y + arm)))]


def _disc(drum: Drum) -> list[Layer]:
    """The middle of the pickup's disc and its name; nothing where the drum file leaves the place open."""
    disc = placed_disc(drum)
    if disc is None:
        return []
    x, y = spot_of(drum, disc[0], disc[1], from_below=True)
    inside = disc[2] >= 5.0 * style.SMALLEST_MM
    low = y - 0.36 * disc[2] if inside else y - 0.6 * disc[2] - 1.5 - style.SMALLEST_MM
    words = Text(at=(x, low), words="DISC", height_mm=style.SMALLEST_MM, anchor="middle")
    return [
        Layer(name="disc centre", pen=CROSS, shapes=tuple(_cross(drum, *disc))),
        Layer(name="pickup words", pen=NAMES, shapes=(words,)),
    ]


def _names(drum: Drum, drawn: Outline) -> list[Text]:
    """Place and note of each tongue, beyond its root line, where no bore of its own can cross them."""
    found = []
    lines, length = drawn.layout, drum.top.length_mm
    for tongue in drum.tongues:
        side, row = tongue.side or "left", tongue.row or 1
        height = max(style.SMALLEST_MM, min(5.0, 0.12 * lines.tongue_width_mm))
        outward = 1.5 if side == "left" else -1.5
        x = length - lines.root_mm(side) + outward
        words = f"{tongue.place} {tongue.note}"
        y = _clear_of_disc(drum, x, lines.centre_mm(row), lines.tongue_width_mm) - 0.5 * height
        found.append(
            Text(
                at=(x, y),
                words=words,
                height_mm=height,
                anchor="start" if side == "left" else "end",
                bold=True,
                spots=tuple((x + outward * n, y + up) for n in range(9) for up in (0.0, 4.0, -4.0)),
            )
        )
    return found


def mirrored_outline(drum: Drum, drawn: Outline) -> Outline:
    """What falls out of the top, as it is seen from below."""
    return replace(drawn, removed=mirrored(drawn.removed, drum.top.length_mm))


def end_words(west: float, east: float, wide: float, height: float) -> list[Text]:
    """Which end is which, along the ends of a board of this width seen from below: on its wood, near its edge.

    Parameters
    ----------
    west : float
        The left end as it is drawn, in mm.
    east : float
        The right end, in mm.
    wide : float
        Of the board, in mm.
    height : float
        Of the capitals, in mm.
    """
    found = []
    for x, words, turn in ((west + 2.0 + height, RIGHT_END, 90.0), (east - 2.0 - height, LEFT_END, -90.0)):
        spots = along((x, 0.0), (x, wide), text_width_mm(words, height, bold=True))
        at = (x, 0.5 * wide)
        found.append(
            Text(
                at=at, words=words, height_mm=height, anchor="middle", angle_deg=turn, bold=True, spots=spots
            )
        )
    return found


def _clear_of_disc(drum: Drum, x_mm: float, y_mm: float, tongue_mm: float) -> float:
    """The height of a name that begins here: off the row's middle where the disc lies there."""
    disc = placed_disc(drum)
    if disc is None:
        return y_mm
    x, y = spot_of(drum, disc[0], disc[1], from_below=True)
    if abs(x - x_mm) > disc[2] + 30.0 or abs(y - y_mm) > 0.5 * disc[2] + 4.0:
        return y_mm
    return y_mm + (0.36 * tongue_mm if y < y_mm else -0.36 * tongue_mm)


def _said(drum: Drum, drawn: Outline) -> list[str]:
    """What the marks mean and which way up the board lies."""
    say = measure_of(drum)
    said = [TURNED, "Dashed: the inside of the box. Keep what you bore inside it."]
    if drum.box.root_bar_mm:
        wide = say(drum.box.root_bar_mm)
        said.append(
            f"Short dashes: the edges of the root bars, {wide} wide, glued to the end walls and to the top. "
            "Keep what you bore between them."
        )
    if any(len({t.side for t in drum.tongues if t.row == one.row}) > 1 for one in drum.tongues):
        said.append(MARKED)
    if drum.bores:
        said.append("Rings with a cross: bores, flat-bottomed and not through; the depth stands above each.")
    else:
        said.append("No bores yet.")
    disc = placed_disc(drum)
    if disc is not None:
        x, y = spot_of(drum, disc[0], disc[1], from_below=True)
        said.append(
            f"DISC: the pickup, {say(disc[2])} across, {disc_depth_words(drum)}, its middle "
            f"{say(x)} from the left edge of this drawing and {say(y)} from "
            "the front edge. No bore under it."
        )
    if drawn.stop_holes:
        said.append("Small circles at the slots' ends: stop holes, drilled right through.")
    return said


def _with_words(drum: Drum, drawn: Outline, layers: list[Layer]) -> Sheet:
    """The underside with its heading above and what it means below."""
    west, south, east, north = mirrored(drawn.board.union(drawn.box_outer), drum.top.length_mm).bounds
    step = style.look_for(drum.top.length_mm).body_mm
    long, wide = drum.top.length_mm, drum.top.width_mm
    ends = end_words(0.0, long, wide, style.SMALLEST_MM)
    front = rim_words(FRONT_TOWARDS, (10.0, 2.0), long)
    said = ("The underside, seen from below, full size.", *_said(drum, drawn))
    low = notes_under(said[1:], left=west, top=south - 3.0 * step, wide=0.92 * (east - west), height_mm=step)
    first = Text(at=(west, north + 3.0 * step), words=said[0], height_mm=step)
    head = heading_over(
        drum.name, left=west, low=north + (3.0 + 2.0 * LINE) * step, wide=east - west, height_mm=2.0 * step
    )
    layers += [
        Layer(name="edges", pen=NAMES, shapes=(*ends, front)),
        Layer(name="words", pen=style.WORDS, shapes=(*head.texts, first, *low.texts)),
    ]
    side, air = 2.5 * step, 1.0 * step
    return Sheet(
        left_mm=west - side,
        bottom_mm=low.low,
        width_mm=east - west + 2.0 * side,
        height_mm=head.high + air - low.low,
        title=f"{drum.name}: the underside, seen from below",
        description=TURNED,
        notes=said,
        to_size=(-EDGE_MM, -EDGE_MM, long + EDGE_MM, wide + EDGE_MM),
        tags=tongue_tags(drum, drawn, from_below=True),
        layers=tuple(layers),
    )
