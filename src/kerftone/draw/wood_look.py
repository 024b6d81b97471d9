"""What a wood looks like in a picture: its colour, its shades in light and shadow, the lines of its grain.

Colours stand in `wood_colours.csv`, all by eye. Grain is invented, the same each time for the same name: long lines
along the board, with nested arches in the middle of a flatsawn one. mm of the board, x along the grain.
"""

from __future__ import annotations

import csv
import zlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LINE_MM = 5.5
"""About how far grain lines lie apart: our own judgement, by the look."""
STEP_MM = 9.0
"""From point to point of a line."""


SHADOW = "#2a160c"


@dataclass(frozen=True, kw_only=True)
class WoodLook:
    """Colours as #rrggbb; `figure` from 0 to 1: how strongly the lines show."""

    colour: str
    lines: str
    figure: float


UNKNOWN = WoodLook(colour="#c7a171", lines="#9f7a4c", figure=0.6)
"""For a wood that the table does not know."""


@cache
def _table() -> dict[str, WoodLook]:
    text = files("kerftone.draw").joinpath("wood_colours.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        row["species"]: WoodLook(colour=row["colour"], lines=row["lines"], figure=float(row["figure"]))
        for row in rows
    }


def look_of(wood: str) -> WoodLook:
    """The look of this species.

    >>> look_of("walnut, black").colour
    '#6b4a33'
    """
    return _table().get(wood.removesuffix(" plywood").removesuffix(" laminate"), UNKNOWN)


def shaded(colour: str, light: float) -> str:
    """This colour in more light (over 1, towards white) or less (towards the warm dark of a shadow on wood).

    >>> shaded("#808080", 1.5), shaded("#808080", 0.0) == SHADOW
    ('#c0c0c0', True)
    """
    if light > 1.0:
        return mixed(colour, "#ffffff", min(1.0, light - 1.0))
    return mixed(colour, SHADOW, 1.0 - max(0.0, light))


def mixed(one: str, other: str, share: float) -> str:
    """The first colour with so much of the second in it, from 0 to 1.

    Parameters
    ----------
    one : str
        As #rrggbb.
    other : str
        As #rrggbb.
    share : float
        Of the second, 0 to 1.
    """
    pairs = zip((one[n : n + 2] for n in (1, 3, 5)), (other[n : n + 2] for n in (1, 3, 5)), strict=True)
    return "#" + "".join(f"{round(int(a, 16) * (1 - share) + int(b, 16) * share):02x}" for a, b in pairs)


def grain(
    long_mm: float, wide_mm: float, *, name: str, flatsawn: bool = True, every_mm: float = LINE_MM
) -> list[Array]:
    """Lines of grain over a board, each (n, 2) points; they may run a little over its edges.

    Parameters
    ----------
    long_mm : float
        Along the grain, in mm.
    wide_mm : float
        Across it, in mm.
    name : str
        The same name gives the same lines.
    flatsawn : bool, optional
        Whether arches stand in the middle, as on a flatsawn board.
    every_mm : float, optional
        The mean gap between lines, in mm.
    """
    random = np.random.default_rng(zlib.crc32(name.encode("utf-8")))
    xs = np.arange(-STEP_MM, long_mm + 2.0 * STEP_MM, STEP_MM)
    phase, wave = random.uniform(0.0, 2.0 * np.pi, 2), random.uniform(0.7, 1.3, 2)
    drift = 0.04 * wide_mm * np.sin(2.0 * np.pi * wave[0] * xs / long_mm + phase[0])
    middle = wide_mm * (random.uniform(0.4, 0.6) if flatsawn else -0.5)
    lines = []
    offset = 0.10 * wide_mm if flatsawn else 0.4 * wide_mm
    while offset < 1.7 * wide_mm:
        for way in (1.0, -1.0):
            bulge = 1.0 + 0.16 * np.sin(2.0 * np.pi * wave[1] * xs / long_mm + phase[1] + 0.4 * way)
            ys = middle + drift + way * offset * bulge + random.normal(0.0, 0.12, len(xs))
            lines.append(np.stack([xs, ys], axis=1))
        offset += every_mm * random.uniform(0.45, 1.5) * (1.0 if flatsawn else 0.7)
    if flatsawn:
        lines += _arches(xs, middle + drift, 0.10 * wide_mm, random)
    return lines


def _arches(xs: Array, middle: Array, room: float, random: np.random.Generator) -> list[Array]:
    """Nested arches about the middle line, as a saw shows them that runs along the rings."""
    arches = []
    for start in np.arange(xs[0], xs[-1], 34.0) + random.uniform(-9.0, 9.0):
        inside = xs > start
        if inside.sum() < 4:
            continue
        along = xs[inside] - start
        spread = room * np.minimum(1.0, np.sqrt(along / (0.28 * (xs[-1] - xs[0]))))
        run = slice(0, max(4, int(0.45 * len(along))))
        upper = np.stack([xs[inside], middle[inside] + spread], axis=1)[run]
        lower = np.stack([xs[inside], middle[inside] - spread], axis=1)[run]
        arches.append(np.vstack([lower[::-1], upper]))
    return arches
