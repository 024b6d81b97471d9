"""The words and bars that go with a drawing: what each kind of line means, and whether it printed at size.

The bar is the proof of scale: 100 mm, and four inches for a drum in inches, in steps that a rule can be laid
against. On a drawing that is not to size (the one in the report) it only shows how long 100 mm is there.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass, field

from kerftone.draw.sheet import (
    WIDTH_PER_CAPITAL,
    Circle,
    Entry,
    Line,
    Pen,
    Point,
    Region,
    Sample,
    Shape,
    Text,
)
from kerftone.draw.style import PAPER, SMALLEST_MM, SOLID
from kerftone.units import MM_PER_INCH, Units

SAMPLE_MM = 16.0
"""Length of a sample; own judgement."""
INCH_BAR_IN = 4
"""So long that a scale off by 1 % is seen on a rule; own judgement."""
NUMBER_ROOM_MM = 5.2
"""What the numbers of a bar take over it."""


@dataclass(kw_only=True)
class Block:
    """Shapes of the legend as they are set: one list for each pen, and the words."""

    samples: list[tuple[Entry, tuple[Shape, ...]]] = field(default_factory=list)
    words: list[Text] = field(default_factory=list)
    black: list[Region] = field(default_factory=list)
    white: list[Region] = field(default_factory=list)


def wrapped(words: str, *, width_mm: float, height_mm: float) -> list[str]:
    """These words broken into lines that fit the width.

    Parameters
    ----------
    words : str
        What is said.
    width_mm : float
        Of the column, in mm.
    height_mm : float
        Of the capitals, in mm.
    """
    return textwrap.wrap(words, max(8, int(width_mm / (height_mm * WIDTH_PER_CAPITAL * 0.92))))


def set_entry(block: Block, entry: Entry, *, at: Point, width_mm: float, height_mm: float) -> float:
    """Put one entry with its top left corner here; how much height it took, in mm.

    Parameters
    ----------
    block : Block
        The legend, which takes it up.
    entry : Entry
        What is explained.
    at : Point
        Its top left corner, in mm.
    width_mm : float
        Of the column, in mm.
    height_mm : float
        Of the capitals, in mm.
    """
    x, top = at
    lines = wrapped(entry.words, width_mm=width_mm - SAMPLE_MM - height_mm, height_mm=height_mm)
    first = top - height_mm
    block.samples.append((entry, sample_shapes(entry.sample, (x, first + 0.5 * height_mm), height_mm)))
    for i, line in enumerate(lines):
        at_line = (x + SAMPLE_MM + height_mm, first - 1.75 * height_mm * i)
        block.words.append(Text(at=at_line, words=line, height_mm=height_mm))
    return height_mm * (1.75 * len(lines) + 0.5)


def sample_shapes(sample: Sample, at: Point, height_mm: float) -> tuple[Shape, ...]:
    """A piece of what the entry explains, its left end here.

    Parameters
    ----------
    sample : Sample
        What kind of mark it is.
    at : Point
        Its left end, in mm.
    height_mm : float
        Of the capitals beside it, in mm.
    """
    x, y = at
    middle = x + 0.5 * SAMPLE_MM
    if sample == "area":
        half = 0.8 * height_mm
        corners = ((x, y - half), (x + SAMPLE_MM, y - half), (x + SAMPLE_MM, y + half), (x, y + half))
        return (Region(outer=corners),)
    if sample == "circle":
        return (Circle(centre=(middle, y), radius_mm=height_mm),)
    if sample == "strike":
        return strike_mark((middle, y), 0.7 * height_mm)
    if sample == "next":
        arm = 1.4 * height_mm
        cross = ((arm, 0.0), (0.0, arm))
        return (
            Circle(centre=(middle, y), radius_mm=0.7 * height_mm),
            *(Line(points=((middle - u, y - v), (middle + u, y + v))) for u, v in cross),
        )
    if sample == "hatch":
        half = 0.8 * height_mm
        corners = ((x, y - half), (x + SAMPLE_MM, y - half), (x + SAMPLE_MM, y + half), (x, y + half))
        starts = (x + 2.0 * half * n for n in range(int(SAMPLE_MM / (2.0 * half))))
        return (
            Region(outer=corners),
            *(Line(points=((a, y - half), (a + 2.0 * half, y + half))) for a in starts),
        )
    return (Line(points=((x, y), (x + SAMPLE_MM, y))),)


def strike_mark(at: Point, radius_mm: float) -> tuple[Shape, ...]:
    """Where to strike: a ring with a cross through it."""
    x, y = at
    arm = 1.5 * radius_mm
    return (
        Circle(centre=at, radius_mm=radius_mm),
        Line(points=((x - arm, y), (x + arm, y))),
        Line(points=((x, y - arm), (x, y + arm))),
    )


def set_bars(block: Block, *, at: Point, units: Units, height_mm: float, full_size: bool) -> float:
    """Put the check bar, and its words, with its lower left corner here; how much height it took.

    Parameters
    ----------
    block : Block
        The legend, which takes it up.
    at : Point
        Its lower left corner, in mm.
    units : Units
        The drum's units of length.
    height_mm : float
        Of the capitals, in mm.
    full_size : bool
        False for a picture that is not to be measured.
    """
    x, y = at
    tall = 0.8 * height_mm
    if not full_size:
        words = ["100 mm at the scale of this picture. Cut from the full-size drawing, not from here."]
    elif units == "in":
        words = ["Print at 100 %. The upper bar must measure 4 inches, the lower 100 mm."]
    else:
        words = ["Print at 100 %. This bar must measure 100 mm: lay a rule on it before you trust the print."]
    _bar(block, at, step_mm=10.0, steps=10, tall=tall)
    numbers = _numbers((x, y + tall), [(20.0 * n, f"{20 * n}") for n in range(5)] + [(100.0, "100 mm")])
    taken = tall + NUMBER_ROOM_MM
    if units == "in":
        _bar(block, (x, y + taken), step_mm=MM_PER_INCH / 2.0, steps=2 * INCH_BAR_IN, tall=tall)
        marks = [(MM_PER_INCH * n, f"{n}") for n in range(INCH_BAR_IN)]
        last = (MM_PER_INCH * INCH_BAR_IN, f"{INCH_BAR_IN} in")
        numbers += _numbers((x, y + taken + tall), [*marks, last])
        taken += tall + NUMBER_ROOM_MM
    for line in words:
        block.words.append(Text(at=(x, y + taken + 0.9 * height_mm), words=line, height_mm=height_mm))
    block.words += numbers
    return taken + 2.4 * height_mm


def _numbers(at: Point, marks: list[tuple[float, str]]) -> list[Text]:
    """Numbers over the marks of a bar, each beginning at its own."""
    return [Text(at=(at[0] + x, at[1] + 1.0), words=words, height_mm=SMALLEST_MM) for x, words in marks]


def _bar(block: Block, at: Point, *, step_mm: float, steps: int, tall: float) -> None:
    x, y = at
    for i in range(steps):
        left, right = x + i * step_mm, x + (i + 1) * step_mm
        corners = ((left, y), (right, y), (right, y + tall), (left, y + tall))
        (block.white if i % 2 else block.black).append(Region(outer=corners))


BLACK_STEPS = SOLID
WHITE_STEPS = Pen(stroke=SOLID.stroke, width_mm=SOLID.width_mm, fill=PAPER)
