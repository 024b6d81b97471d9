"""The sheets of the box: each wall with its joints and holes at full size, and the bottom by its figures.

A bottom is a plain board: a page of figures serves better at the saw than six pages of blank wood to tape, so
its picture is small and says so.
"""

from __future__ import annotations

from dataclasses import replace

from kerftone.draw import style
from kerftone.draw.cuts import bottom_cuts, wall_cuts
from kerftone.draw.dimension import Measures
from kerftone.draw.section import section_sheet, wants_section
from kerftone.draw.sheet import Layer, Line, Outlined, Pen, Region, Sheet
from kerftone.draw.wall import BOARD, STEP, sections_sheet, sound_size, sound_spot, wall_sheet
from kerftone.draw.words import heading_over, notes_under
from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, Wall
from kerftone.shop.box import box_of
from kerftone.shop.measure import Measure, measure_of

PICTURE_MM = 80.0
"""The longer side of the bottom's picture."""


def box_sheets(drum: Drum) -> dict[str, Sheet]:
    """The sheets to read by file name: walls-front-back and so on, bottom, section. Walls of one size share one.

    Raises ShopError where the box's parts cannot meet. Held by tests/draw/test_box_sheets.py.
    """
    box = box_of(drum)
    sheets = {
        name: wall_sheet(walls, drum_name=drum.name, say=measure_of(drum))
        for name, walls in _alike(box, but_for_holes=True).items()
    }
    if box.bottom_mm is not None:
        sheets["bottom"] = bottom_sheet(drum, box)
    if wants_section(drum):
        sheets["section"] = section_sheet(drum, box)
    return sheets


def sections_of(drum: Drum) -> Sheet:
    """The sections of the walls on one sheet, for paper."""
    groups = list(_alike(box_of(drum), but_for_holes=True).values())
    return sections_sheet(groups, drum_name=drum.name, say=measure_of(drum))


def box_cuts(drum: Drum) -> dict[str, Sheet]:
    """The same parts for a machine: cuts alone, every one at true size."""
    box = box_of(drum)
    sheets = {
        name: wall_cuts(walls, drum_name=drum.name, say=measure_of(drum))
        for name, walls in _alike(box).items()
    }
    if box.bottom_mm is not None:
        sheets["bottom"] = bottom_cuts(box, drum_name=drum.name, say=measure_of(drum))
    return sheets


def _alike(box: Box, *, but_for_holes: bool = False) -> dict[str, tuple[Wall, ...]]:
    """The walls by file name, those that differ in nothing but their name together, or their holes too."""
    found: dict[Wall, list[Wall]] = {}
    for name in ("front", "back", "left", "right"):
        wall = box.wall(name)
        key = replace(wall, name="front", holes=() if but_for_holes else wall.holes)
        found.setdefault(key, []).append(wall)
    return {
        f"wall{'s' * (len(walls) > 1)}-{'-'.join(wall.name for wall in walls)}": tuple(walls)
        for walls in found.values()
    }


def bottom_sheet(drum: Drum, box: Box) -> Sheet:
    """The bottom with its figures; the picture is not to size."""
    assert box.bottom_mm is not None and drum.bottom is not None
    long, wide, _ = box.bottom_mm
    say = measure_of(drum)
    scale = PICTURE_MM / max(long, wide)
    across, up = scale * long, scale * wide
    board = Region(outer=((0.0, 0.0), (across, 0.0), (across, up), (0.0, up)))
    high = style.SMALLEST_MM * 1.15
    taken = Measures(figure_mm=high)
    said = [say.figure(mm) for mm in (long, wide)]
    taken.across(x_from=0.0, x_to=across, y=-8.0, words=said[0], reach_from=0.0)
    taken.upright(y_from=0.0, y_to=up, x=across + 8.0, words=said[1], reach_from=across)
    words = _bottom_words(drum, box, say)
    title = f"{drum.name}: bottom"
    low = notes_under(words, left=0.0, top=-8.0 - 2.0 * high, wide=PICTURE_MM + 25.0, height_mm=high)
    head = heading_over(title, left=0.0, low=up + 6.0, wide=PICTURE_MM, height_mm=1.5 * high)
    side = 6.0
    return Sheet(
        left_mm=-side,
        bottom_mm=low.low,
        width_mm=PICTURE_MM + 25.0 + 2.0 * side,
        height_mm=head.high - low.low,
        title=title,
        notes=tuple(words),
        to_size=(-3.0, -11.0, across + 8.0 + 3.0 * high, up + 1.0),
        description=" ".join(words),
        layers=(
            Layer(name="outline", pen=BOARD, shapes=(board,)),
            *_lip_edge(box, scale),
            *_sound_holes(box, scale),
            Layer(name="dimensions", pen=style.MEASURES, shapes=tuple(taken.lines)),
            Layer(name="dimension heads", pen=style.ARROWS, shapes=tuple(taken.heads)),
            Layer(name="figures", pen=style.FIGURES, shapes=tuple(taken.figures)),
            Layer(name="text", pen=Pen(fill=style.INK), shapes=(*head.texts, *low.texts)),
        ),
    )


def _bottom_words(drum: Drum, box: Box, say: Measure) -> list[str]:
    """What is said of the bottom."""
    assert box.bottom_mm is not None and drum.bottom is not None
    thick = box.bottom_mm[2]
    words = [
        f"Not to size: saw by the figures. {drum.bottom.wood}, {say(thick)} thick, grain along the length.",
        "Measure the dry-fitted box before you cut it. It goes in last, after tuning.",
    ]
    step = box.bottom_step
    if step is not None:
        words.append(
            f"Rabbet all round its upper face: {say(step.width_mm)} in from every edge, {say(step.depth_mm)} deep, "
            f"so that a lip {say(step.left_mm)} thick stays. Dashed: the part that goes up into the box."
        )
    for cut in box.bottom_holes:
        words.append(
            f"Sound hole: {sound_size(cut, say)}, its middle {sound_spot((cut.u_mm, cut.s_mm), say)}."
        )
    if step is None and drum.bottom.fit == "let in":
        air = say(drum.bottom.clearance_mm)
        words.append(f"Let into the walls with {air} of air on every side; the figures have it already.")
    return words


def _sound_holes(box: Box, scale: float) -> tuple[Layer, ...]:
    """The sound holes in the bottom, in the picture."""
    paths = [cut.path.moved(lambda at: (scale * at[0], scale * at[1])) for cut in box.bottom_holes]
    return (
        (Layer(name="sound holes", pen=STEP, shapes=tuple(Outlined(path=path) for path in paths)),)
        if paths
        else ()
    )


def _lip_edge(box: Box, scale: float) -> tuple[Layer, ...]:
    """Where the rabbet round a bottom on a lip ends, in the picture."""
    if box.bottom_step is None or box.bottom_mm is None:
        return ()
    in_mm, (long, wide, _) = box.bottom_step.width_mm * scale, box.bottom_mm
    x, y = long * scale - in_mm, wide * scale - in_mm
    edge = Line(points=((in_mm, in_mm), (x, in_mm), (x, y), (in_mm, y), (in_mm, in_mm)))
    return (Layer(name="rabbets", pen=STEP, shapes=(edge,)),)
