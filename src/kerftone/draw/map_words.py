"""Where the words of the bench map may stand: on their lines, and round the bores. mm on the sheet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString

from kerftone.draw import style
from kerftone.draw.sheet import Point, Text
from kerftone.units import MM_PER_INCH, Units

Array = NDArray[np.floating[Any]]
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Cents per mm between two lines: the smallest of these that leaves at most MOST_LINES on a tongue."""
MOST_LINES = 8
"""More cannot be told apart under one tongue; own judgement."""


def line_step(values: Array) -> float:
    """How many cents per mm (or sixteenth of an inch) lie between two lines on a tongue with these values."""
    known = values[np.isfinite(values)]
    span = float(np.ptp(known)) if known.size else 0.0
    return next((step for step in STEPS if span / step <= MOST_LINES), STEPS[-1])


def told_by_mm(units: Units) -> float:
    """By what depth the lines tell the cents, in mm: a millimetre, or a sixteenth of an inch."""
    return MM_PER_INCH / 16.0 if units == "in" else 1.0


def depth_words(units: Units) -> str:
    """That depth in words.

    >>> depth_words("mm"), depth_words("in")
    ('mm', '1/16 in')
    """
    return "1/16 in" if units == "in" else "mm"


def figures(runs: list[tuple[Point, ...]], level: float, number: int) -> Iterator[Text]:
    """Places for how many cents a line means, on it; on lines side by side the search begins at different shares.

    Parameters
    ----------
    runs : list[tuple[Point, ...]]
        The pieces of the line, in mm.
    level : float
        What the line means, in cents.
    number : int
        Which line it is, counted from 0.
    """
    begin = (0.3, 0.7, 0.5)[number % 3]
    shares = sorted((0.1 * n for n in range(1, 10)), key=lambda share: abs(share - begin))
    for run in sorted(runs, key=_length, reverse=True):
        for share in shares if len(run) > 1 else ():
            at = LineString(run).interpolate(share, normalized=True)
            yield Text(
                at=(at.x, at.y - 0.5 * style.SMALLEST_MM),
                words=f"{level:+g}",
                height_mm=style.SMALLEST_MM,
                anchor="middle",
                plate=style.PAPER,
            )


def places_round(reach_mm: float, wide_mm: float, high_mm: float) -> list[Point]:
    """Places for words round something of this radius: above and below it, right and left.

    Parameters
    ----------
    reach_mm : float
        From the middle of the thing to the words, in mm.
    wide_mm : float
        Of the words, in mm.
    high_mm : float
        Of the words, in mm.
    """
    up, aside = reach_mm + high_mm, reach_mm + 0.5 * wide_mm + 1.0
    return [
        (0.0, up),
        (0.0, -up),
        (aside, 0.0),
        (-aside, 0.0),
        (aside, up),
        (-aside, up),
        (aside, -up),
        (-aside, -up),
    ]


def _length(run: tuple[Point, ...]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(run))
