"""A wall cut across with the top and bottom where they sit: ledge, lips and the gaps round them, at full size.

Drawn for a top or bottom that is more than a plain board on plain walls. The outer face is on the right, the inside
of the box on the left; heights from the walls' lower edge. mm.
"""

from __future__ import annotations

from kerftone.draw import style
from kerftone.draw.dimension import Measures
from kerftone.draw.sheet import Layer, Line, Pen, Point, Region, Sheet
from kerftone.draw.wall import BOARD, section_outline
from kerftone.draw.words import heading_over, notes_under
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, LipStep
from kerftone.shop.measure import Measure, measure_of

SHOWN_MM = 45.0
"""How much of top and bottom is drawn inside the walls."""
GLUE = Pen(stroke=style.RUST, width_mm=0.9)


def wants_section(drum: Drum) -> bool:
    """Whether the way top and bottom sit needs a drawing: not for plain boards on and under plain walls."""
    return drum.box.mount != "on walls" or (drum.bottom is not None and drum.bottom.fit != "under")


def section_sheet(drum: Drum, box: Box) -> Sheet:
    """The section with its figures. Held by tests/draw/test_section.py: areas, gaps and where the glue is."""
    say, wall = measure_of(drum), box.wall("front")
    cut = tuple((x - box.wall_mm, y) for x, y in section_outline(wall))
    parts = [Region(outer=cut), Region(outer=top_outline(drum, box))]
    if box.bottom_mm is not None:
        parts.append(Region(outer=bottom_outline(box, box.bottom_mm)))
    step = style.SMALLEST_MM * 1.15
    west, wide = -box.wall_mm - SHOWN_MM, box.wall_mm + SHOWN_MM
    said = _said(drum, box, say)
    high = max(y for part in parts for _, y in part.outer)
    low = min(y for part in parts for _, y in part.outer)
    taken = _measures(drum, box, say)
    block = notes_under(said, left=west, top=low - 5.0 * step, wide=wide + 55.0, height_mm=step)
    title = f"{drum.name}: how top and bottom sit"
    head = heading_over(title, left=west, low=high + 16.0, wide=wide + 55.0, height_mm=1.5 * step)
    layers = (
        Layer(name="outline", pen=BOARD, shapes=tuple(parts)),
        Layer(name="glue", pen=GLUE, shapes=glue_lines(drum, box)),
        Layer(name="dimensions", pen=style.MEASURES, shapes=(*taken.lines, *taken.heads)),
        Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
        Layer(name="text", pen=style.WORDS, shapes=(*head.texts, *block.texts)),
    )
    return Sheet(
        left_mm=west - 8.0,
        bottom_mm=block.low,
        width_mm=wide + 71.0,
        height_mm=head.high - block.low,
        title=title,
        description=" ".join(said),
        notes=said,
        to_size=(west - 2.0, low - 10.0, 30.0, high + 13.0),
        layers=tuple(layer for layer in layers if layer.shapes),
    )


def _board(
    edge: float, low: float, thick: float, step: LipStep | None, *, up: bool, west: float
) -> tuple[Point, ...]:
    """A board's section from its edge inwards, its rabbet below (`up` False) or above; 0 is the outer face."""
    high = low + thick
    if step is None:
        return ((west, low), (edge, low), (edge, high), (west, high))
    rest = edge - step.width_mm
    if up:
        at = low + step.left_mm
        return ((west, low), (edge, low), (edge, at), (rest, at), (rest, high), (west, high))
    at = high - step.left_mm
    return ((west, low), (rest, low), (rest, at), (edge, at), (edge, high), (west, high))


def top_outline(drum: Drum, box: Box) -> tuple[Point, ...]:
    """The top cut across."""
    west = -box.wall_mm - SHOWN_MM
    return _board(-box.offset_mm, box.flush_mm, drum.top.thickness_mm, box.top_step, up=False, west=west)


def bottom_outline(box: Box, size_mm: tuple[float, float, float]) -> tuple[Point, ...]:
    """The bottom cut across."""
    west, edge = -box.wall_mm - SHOWN_MM, -0.5 * (box.width_mm - size_mm[1])
    return _board(edge, box.bottom_low_mm, size_mm[2], box.bottom_step, up=True, west=west)


def glue_lines(drum: Drum, box: Box) -> tuple[Line, ...]:
    """Where the glue is: under the top, at its edges where they hold too, on the bottom."""
    seat = box.flush_mm + (box.top_step.depth_mm if box.top_step is not None else 0.0)
    edge, inner = -box.offset_mm, -box.wall_mm
    lines = [Line(points=((inner, seat), (edge, seat)))]
    if drum.box.mount == "in ledge" and drum.box.glued == "ledge and edges":
        lines.append(Line(points=((edge, seat), (edge, seat + drum.top.thickness_mm))))
    if box.bottom_mm is not None:
        edge = -0.5 * (box.width_mm - box.bottom_mm[1])
        thick = box.bottom_mm[2] if box.bottom_step is None else box.bottom_step.left_mm
        face = box.bottom_low_mm + thick
        lines.append(Line(points=((inner, face), (edge, face))))
    return tuple(lines)


def _measures(drum: Drum, box: Box, say: Measure) -> Measures:
    """The lip or the ledge, what stands beside it, the wall, and the thicknesses."""
    taken = Measures(figure_mm=style.SMALLEST_MM)
    top = box.flush_mm + drum.top.thickness_mm
    edge, inner = -box.offset_mm, -box.wall_mm
    taken.across(x_from=inner, x_to=edge, y=top + 8.0, words=say.figure(edge - inner), reach_from=top)
    taken.across(x_from=inner, x_to=0.0, y=-7.0, words=say.figure(box.wall_mm), reach_from=0.0)
    x = 10.0
    for step, low in ((box.top_step, top), (box.bottom_step, box.bottom_low_mm)):
        if step is None:
            continue
        y_from, y_to = (low - step.left_mm, low) if step is box.top_step else (low, low + step.left_mm)
        taken.upright(y_from=y_from, y_to=y_to, x=x, words=say.figure(step.left_mm), reach_from=0.0)
    taken.upright(
        y_from=0.0, y_to=box.wall_height_mm, x=x + 12.0, words=say.figure(box.wall_height_mm), reach_from=0.0
    )
    return taken


def _said(drum: Drum, box: Box, say: Measure) -> tuple[str, ...]:
    air, over = say(drum.box.clearance_mm), say(box.wall_mm - box.offset_mm)
    said = ["At full size, the inside on the left. Heavy lines: the glue."]
    if drum.box.mount == "on a lip":
        assert box.top_step is not None
        said.append(
            f"The top lies on the walls by a lip {over} wide and {say(box.top_step.left_mm)} thick; the rest hangs "
            f"{air} off the walls, in air."
        )
    elif drum.box.mount == "in ledge":
        open_gap = "stays open" if drum.box.glued == "ledge" else "is filled with glue"
        said.append(f"The top lies on a ledge {over} wide. The gap of {air} round it {open_gap}.")
    if drum.bottom is not None and box.bottom_step is not None:
        said.append(
            f"The bottom lies in its rabbet by a lip {say(drum.bottom.lip_mm)} wide and "
            f"{say(box.bottom_step.left_mm)} thick, {say(drum.bottom.clearance_mm)} off the walls all round."
        )
    return tuple(said)
