"""Where the words of the bench map may stand: on their lines, and round the bores. mm on the sheet."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from shapely.geometry import LineString

from kerftone.draw import style
from kerftone.draw.sheet import Point, Text


def figures(runs: list[tuple[Point, ...]], level: float, number: int) -> Iterator[Text]:
    """Places for how many cents a line means, on it; on lines side by side the search begins at different shares."""
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
            )


def places_round(reach_mm: float, wide_mm: float, high_mm: float) -> list[Point]:
    """Places for words round something of this radius: above and below it, right and left."""
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
