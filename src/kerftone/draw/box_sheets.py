"""The sheets of the box: each wall with its joints and holes at full size, and the bottom by its figures.

A bottom is a plain board: a page of figures serves better at the saw than six pages of blank wood to tape, so
its picture is small and says so.
"""

from __future__ import annotations

from kerftone.draw import legend, style
from kerftone.draw.dimension import Measures
from kerftone.draw.labels import on_rule
from kerftone.draw.sheet import Layer, Pen, Region, Sheet, Text
from kerftone.draw.wall import BOARD, wall_sheet
from kerftone.drum.design import Drum
from kerftone.shop.box import Box, box_of
from kerftone.shop.wall_holes import pickup_holes

PICTURE_MM = 130.0
"""The longer side of the bottom's picture."""


def box_sheets(drum: Drum) -> dict[str, Sheet]:
    """The sheets by file name: wall-front and so on, bottom. Raises ShopError where the box's parts cannot meet.

    Held by tests/draw/test_box_sheets.py.
    """
    box = box_of(drum)
    holes = pickup_holes(drum, box)
    sheets = {
        f"wall-{wall.name}": wall_sheet(
            wall,
            drum_name=drum.name,
            units=drum.units,
            holes=tuple(hole for hole in holes if hole.wall == wall.name),
        )
        for wall in box.walls
    }
    if box.bottom_mm is not None:
        sheets["bottom"] = bottom_sheet(drum, box)
    return sheets


def bottom_sheet(drum: Drum, box: Box) -> Sheet:
    """The bottom with its figures; the picture is not to size."""
    assert box.bottom_mm is not None and drum.bottom is not None
    long, wide, thick = box.bottom_mm
    scale = PICTURE_MM / max(long, wide)
    across, up = scale * long, scale * wide
    board = Region(outer=((0.0, 0.0), (across, 0.0), (across, up), (0.0, up)))
    step = style.SMALLEST_MM * 1.15
    taken = Measures(figure_mm=step)
    said = [on_rule(mm, drum.units, with_unit=False) for mm in (long, wide)]
    taken.across(x_from=0.0, x_to=across, y=-8.0, words=said[0], reach_from=0.0)
    taken.upright(y_from=0.0, y_to=up, x=across + 8.0, words=said[1], reach_from=across)
    words = [
        f"Not to size: saw by the figures. {drum.bottom.wood}, {on_rule(thick, drum.units)} thick, grain along "
        "the length.",
        "Measure the dry-fitted box before you cut it. It goes in last, after tuning.",
    ]
    if drum.bottom.fit == "let in":
        air = on_rule(drum.bottom.clearance_mm, drum.units)
        words.append(f"Let into the walls with {air} of air on every side; the figures have it already.")
    lines = [
        line for one in words for line in legend.wrapped(one, width_mm=PICTURE_MM + 25.0, height_mm=step)
    ]
    low = -8.0 - 2.0 * step
    texts = [
        Text(at=(0.0, low - 1.7 * step * i), words=w, height_mm=step) for i, w in enumerate(lines, start=1)
    ]
    title = f"{drum.name}: bottom"
    high = up + 6.0
    heads = legend.wrapped(title, width_mm=PICTURE_MM, height_mm=1.5 * step)
    for i, line in enumerate(reversed(heads)):
        texts.append(Text(at=(0.0, high + 2.6 * step * i), words=line, height_mm=1.5 * step, bold=True))
    bottom, top = low - 1.7 * step * (len(lines) + 1), high + 2.6 * step * len(heads)
    side = 6.0
    return Sheet(
        left_mm=-side,
        bottom_mm=bottom,
        width_mm=PICTURE_MM + 25.0 + 2.0 * side,
        height_mm=top - bottom,
        title=title,
        description=" ".join(words),
        layers=(
            Layer(name="outline", pen=BOARD, shapes=(board,)),
            Layer(name="dimensions", pen=style.MEASURES, shapes=tuple(taken.lines)),
            Layer(name="dimension heads", pen=style.ARROWS, shapes=tuple(taken.heads)),
            Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
            Layer(name="text", pen=Pen(fill=style.INK), shapes=tuple(texts)),
        ),
    )
