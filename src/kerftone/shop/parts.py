"""Every part of the drum: finished and rough size, grain, count, wood, and the settings that cut its joints.

Sizes in mm. Length is always along the grain. Rough sizes add what is planed, jointed and sawn off later:
common practice, no source. Bought things (dowels, balls, rubber feet) are in `hardware.py`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kerftone.drum.corners import CORNERS, end_of
from kerftone.drum.design import Bottom, Drum, Top
from kerftone.drum.joinery import Box, LipStep, Rabbet
from kerftone.shop.measure import Measure
from kerftone.shop.root_bar import bar_note
from kerftone.units import MM_PER_INCH, Units

ROUGH_MM: dict[Units, tuple[float, float, float]] = {
    "mm": (20.0, 6.0, 3.0),
    "in": (0.75 * MM_PER_INCH, 0.25 * MM_PER_INCH, 0.125 * MM_PER_INCH),
}
"""What rough sizes add in length, width and thickness, in round figures of the maker's units."""
ROUGH_STEP_MM: dict[Units, float] = {"mm": 1.0, "in": MM_PER_INCH / 16.0}
"""Rough sizes are given to the next of these up."""
KEY_SPARE_MM = MM_PER_INCH / 8.0
"""How far a key stands proud of its slot before it is trimmed flush."""


@dataclass(frozen=True, kw_only=True)
class Part:
    """One kind of part. `size_mm` and `rough_mm` are length, width and thickness; length along the grain.

    `short_mm` is the length from short point to short point where the ends are mitred, else None.
    """

    name: str
    count: int
    wood: str
    size_mm: tuple[float, float, float]
    rough_mm: tuple[float, float, float]
    grain: str
    short_mm: float | None = None
    note: str = ""

    def finished(self, words: Measure) -> str:
        """Its finished size in the maker's units, and the length inside of mitred ends."""
        size = words.size(*self.size_mm)
        return (
            size
            if self.short_mm is None
            else f"{size}; {words(self.short_mm)} from short point to short point"
        )

    @property
    def described(self) -> str:
        """Its wood, how the grain lies, and what else is to be known of it."""
        note = f" {self.note[:1].upper()}{self.note[1:]}." if self.note else ""
        return f"{self.wood}, grain {self.grain}.{note}"


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One cut to set a tool for: in which part, what, and the settings in the maker's units."""

    part: str
    cut: str
    settings: str


def parts_of(drum: Drum, box: Box) -> tuple[Part, ...]:
    """What must be sawn from boards for this drum, largest first. Held by tests/shop/test_parts.py."""
    top = (drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm)
    found = [
        Part(
            name="Top",
            count=1,
            wood=drum.top.wood,
            size_mm=top,
            rough_mm=_rough_board(drum.top, top, drum.units),
            grain=f"along the tongues, {_kind(drum.top)}",
        )
    ]
    found += _walls(drum, box)
    if box.root_bar is not None:
        size = box.root_bar.size_mm
        found.append(
            Part(
                name="Root bar",
                count=2,
                wood=drum.box.wood,
                size_mm=size,
                rough_mm=_rough(size, drum.units),
                grain="along the bar",
                note=bar_note(drum),
            )
        )
    if box.bottom_mm is not None and drum.bottom is not None:
        found.append(
            Part(
                name="Bottom",
                count=1,
                wood=drum.bottom.wood,
                size_mm=box.bottom_mm,
                rough_mm=_rough_board(drum.bottom, box.bottom_mm, drum.units),
                grain=f"along the length, {_kind(drum.bottom)}",
                note="sound hole in it" if box.bottom_holes else "",
            )
        )
    if box.key_depth_mm:
        found.append(_keys(drum, box))
    return tuple(found)


def _walls(drum: Drum, box: Box) -> list[Part]:
    """The four walls, two and two alike."""
    found = []
    pairs = (box.wall("front"), "Front and back wall"), (box.wall("left"), "Left and right wall")
    for wall, title in pairs:
        size, long = (wall.length_mm, wall.height_mm, wall.thickness_mm), end_of(wall).length_note()
        holed = [one.name for one in box.walls if one.sound_holes and one.name in title.lower()]
        note = "; ".join(part for part in (long, _holed(holed)) if part)
        found.append(
            Part(
                name=title,
                count=2,
                wood=drum.box.wood,
                size_mm=size,
                rough_mm=_rough(size, drum.units),
                grain="along the wall",
                short_mm=wall.short_mm if long else None,
                note=note,
            )
        )
    return found


def _holed(names: Sequence[str]) -> str:
    """Which of two walls has a sound hole, in words."""
    return f"sound hole in the {' and the '.join(names)} wall{'s' * (len(names) > 1)}" if names else ""


def _kind(board: Top | Bottom) -> str:
    """How the rings lie, or how many plies there are."""
    return f"of its upper face, {len(board.plies)} plies" if board.plies else board.cut


def _rough_board(
    board: Top | Bottom, size_mm: tuple[float, float, float], units: Units
) -> tuple[float, float, float]:
    """As it is cut roughly; a sheet of plies is as thick as it comes, and is not planed."""
    length, width, thick = _rough(size_mm, units)
    return (length, width, size_mm[2]) if board.plies else (length, width, thick)


def _rough(size: tuple[float, float, float], units: Units) -> tuple[float, float, float]:
    """A finished size with what is planed, jointed and sawn off later, to the next round figure."""
    step = ROUGH_STEP_MM[units]
    length, width, thick = (
        math.ceil((one + more) / step - 1e-6) * step for one, more in zip(size, ROUGH_MM[units], strict=True)
    )
    return length, width, thick


def _keys(drum: Drum, box: Box) -> Part:
    """The keys: each a small piece with its grain across the corner, trimmed flush when dry."""
    long = 2.0 * box.key_depth_mm + 2.0 * KEY_SPARE_MM
    deep = box.key_depth_mm + KEY_SPARE_MM
    size = (long, deep, drum.box.keys.thickness_mm)
    return Part(
        name="Key",
        count=4 * drum.box.keys.count,
        wood=drum.box.keys.wood or drum.box.wood,
        size_mm=size,
        rough_mm=size,
        grain="across the corner",
        note="saw one strip to a sliding fit in the slot, then cut it up; trim flush when the glue is dry",
    )


def settings_of(drum: Drum, box: Box, words: Measure) -> tuple[Setting, ...]:
    """The table of saw and router settings, in the order they are used.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    box : Box
        The box under its top.
    words : Measure
        Words for lengths in the drum's own units.
    """
    rows: list[Setting] = [
        _lip_row(title, step, words)
        for title, step in (("Top", box.top_step), ("Bottom", box.bottom_step))
        if step is not None
    ]
    for title, wall in (("Front and back", box.wall("front")), ("Left and right", box.wall("left"))):
        rows += [_rabbet_row(title, rabbet, words) for rabbet in wall.rabbets]
        cut, settings = end_of(wall).setting(wall, words)
        rows.append(Setting(part=title, cut=cut, settings=settings))
        if wall.relief is not None:
            relief = wall.relief
            rows.append(
                Setting(
                    part=title,
                    cut=f"foot relief, {relief.shape}",
                    settings=f"from {words(relief.inset_mm)} to "
                    f"{words(wall.length_mm - relief.inset_mm)} along the "
                    f"lower edge, {words(relief.rise_mm)} high in the middle",
                )
            )
    rows += [
        Setting(part="Glued box", cut=cut, settings=settings)
        for cut, settings in CORNERS[box.joint].box_settings(drum.box, box, words)
    ]
    if drum.box.round_over_mm > 0.0:
        rows.append(
            Setting(
                part="Glued box",
                cut="round-over",
                settings=f"{words(drum.box.round_over_mm)} radius on the outer edges",
            )
        )
    return tuple(rows)


def _lip_row(title: str, step: LipStep, words: Measure) -> Setting:
    face = "underside" if title == "Top" else "upper face"
    return Setting(
        part=title,
        cut=f"rabbet all round the {face}",
        settings=f"{words(step.width_mm)} in from every edge, {words(step.depth_mm)} deep: a lip "
        f"{words(step.left_mm)} thick stays",
    )


def _rabbet_row(title: str, rabbet: Rabbet, words: Measure) -> Setting:
    where = "for the top" if rabbet.edge == "upper" else "for the bottom"
    run = (
        "through, end to end"
        if rabbet.through
        else f"stopped: from {words(rabbet.from_mm)} to {words(rabbet.to_mm)} from the left end, "
        "corners squared "
        "with a chisel"
    )
    return Setting(
        part=title,
        cut=f"rabbet {where}, inside {rabbet.edge} edge",
        settings=f"{words(rabbet.width_mm)} into the thickness, {words(rabbet.depth_mm)} down the "
        f"height; {run}",
    )
