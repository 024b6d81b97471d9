"""The root bars in the shop: the stick to saw, when it is glued to its wall, what it leaves of the inside.

A bar is of the walls' wood with the grain along it and the growth rings as in the wall, so that bar and wall move as
one. It is glued to the loose end wall: there it can be clamped over its whole face, and its upper face planed with
the wall's. What it is on the drum is in `design.py`, where it lies on its wall in `box.py`. mm. Limits are our own
judgement; the words for the bench are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.shop.measure import Measure
from kerftone.shop.step import GLUE_HOURS, Step
from kerftone.shop.verdict import Check, Mend, judged
from kerftone.units import most_length, most_mm

AIR_SHARE = 0.25
"""More of the inside than this taken by bars leaves the lowest notes little air to move: our own judgement."""
END_TO_END_MM = 0.05
"""Nearer to the wall's ends than this a bar runs from end to end."""


def bar_note(drum: Drum) -> str:
    """What stands beside the bar in the list of parts."""
    note = (
        "for inside the end walls; growth rings as in the wall; cut it the thickness of paper short, so that it "
        "cannot hold a corner open"
    )
    if drum.box.root_bar_mm > drum.box.wall_mm:
        note += (
            "; where no board is as thick, glue it up from layers, face to face, before it is brought to size"
        )
    return note


def glue_step(drum: Drum, box: Box, words: Measure) -> Iterator[Step]:
    """The step that glues the bars to the end walls; none where there are no bars.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    box : Box
        The box under its top.
    words : Measure
        Words for lengths in the drum's own units.
    """
    bar = box.root_bar
    if bar is None:
        return
    long, high, wide = bar.size_mm
    face = "the ledge" if drum.box.mount == "in ledge" else "the wall's upper edge"
    lies = f"its upper face flush with {face}: the top is glued to both"
    plane = f"When dry, plane bar and {face} as one face, square to the wall. "
    if box.top_step is not None:
        deep = words(box.top_step.depth_mm)
        lies = f"its upper face {deep} under {face}, where the hanging part of the top is glued to it"
        plane = f"Set that depth with a block {deep} thick and a straight edge. "
    start = 0.5 * (box.wall("left").length_mm - long)
    place = "from end to end" if start < END_TO_END_MM else f"{words(start)} from either end of the wall"
    yield Step(
        name="glue bars",
        title="Glue the root bars to the end walls",
        words=f"Lay each end wall inner face up. The bar, {words(wide)} wide and {words(high)} high, lies along it "
        f"{place}, {lies}. Spread the glue thin, let it grab, "
        "then clamp over the whole face with a straight caul, and wipe the squeeze-out where the corners will close. "
        f"{plane}No bar may reach into a corner's joint.",
        tools=("glue", "clamps", "straight caul", "square", "block plane"),
        cautions=("labels",),
        wait_hours=GLUE_HOURS,
        wait_for="the bars' glue",
    )


def bar_check(drum: Drum, box: Box, words: Measure) -> Iterator[Check]:
    """What the bars leave of the inside, along the drum and of its air.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    box : Box
        The box under its top.
    words : Measure
        Words for lengths in the drum's own units.
    """
    bar = box.root_bar
    if bar is None:
        return
    inside = box.length_mm - 2.0 * box.wall_mm
    left = inside - 2.0 * bar.thick_mm
    share = 2.0 * bar.thick_mm * bar.size_mm[1] / (inside * drum.box.height_mm)
    most = bar.size_mm[1] * AIR_SHARE / share
    yield judged(
        "Room between the root bars",
        "good" if share <= AIR_SHARE else "mind",
        f"{words(left)} of {words(inside)} inside; they take {share:.0%} of the air",
        f"little air is left to carry the lowest notes: {100.0 * AIR_SHARE:.0f} % is the most to take. Make "
        f"root_bar_height {most_length(most, drum.units)} or less, or the walls higher.",
        Mend(at=("box", "root_bar_height"), mm=most_mm(most, drum.units)),
    )
