"""The walls, seen in section, with what lies on them and under them: triangles and rectangles for the mesh.

Where a gap is open or a bottom has a lip, the section has fine lines at its two joints. They are wanted there and
nowhere else: rows of triangles take them back to the wall's two faces within a wall's thickness or so. Places are
(out, z): how far outwards of the walls' inner face, and how high above the top's underside, in mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from kerftone.drum.design import Drum
from kerftone.drum.seat import below_mm, bottom_gap_mm, drop_mm, gap_mm, over_mm, pressed_mm
from kerftone.modal.band_columns import PRESSED
from kerftone.modal.solid import LOWER_LAYER

GLUE_LAYER = 1.25
"""Height of the first layer of a wall under the glue, in widths of the glued band; each next is larger."""
LAYER_GROWTH = 2.0
"""Each layer of a wall is so many times as high as the one above it: own judgement."""
FREE_LAYER = 0.3
"""A top beside an open gap turns on its glue: another layer of the walls so many widths of it down, without which the
ratio of the errors of two orders falls to 3.2 and a note comes out 9 cents sharp."""
FINE_SHARE = 0.8
"""The fine rows at the two joints of a wall take no more than this share of its height; own judgement."""
NEAR_MM = 1e-6
"""Rounding, in mm: lines nearer than this are the same line."""

Place = tuple[float, float]


@dataclass(frozen=True)
class Piece:
    """One triangle or rectangle of the section, counter-clockwise, and what it is of.

    "rim", "wall", "bottom", or "pressed", the springs under a top that is only clamped.
    """

    part: str
    corners: tuple[Place, ...]


@dataclass(frozen=True)
class Edge:
    """A piece's edge that borders on air, from corner to corner, and its surface's name; "outer": by its side."""

    name: str
    corners: tuple[Place, Place]


@dataclass(frozen=True)
class CrossSection:
    """All pieces of a wall's section; levels_mm: the heights of its rows of wall, falling."""

    pieces: tuple[Piece, ...]
    edges: tuple[Edge, ...]
    levels_mm: tuple[float, ...]


def cross_section(drum: Drum, *, layered: bool) -> CrossSection:
    """The section of this drum's walls, cut into pieces. Held by tests/modal/test_cross_section.py.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    layered : bool
        Whether the top is meshed in two layers.
    """
    rows = wall_rows(drum)
    pieces = [*_above(drum, layered=layered), *_below(drum)]
    for (high, upper), (low, lower) in pairwise(rows):
        pieces += [Piece(_of(drum, corners), corners) for corners in _row(high, upper, low, lower)]
    edges = tuple(_named(drum, pieces))
    return CrossSection(tuple(pieces), edges, tuple(z for z, _ in rows))


def _of(drum: Drum, corners: tuple[Place, ...]) -> str:
    """What a piece of the walls is of: wall, but for the layer under a top that is only clamped."""
    lowest = drop_mm(drum) - pressed_mm(drum) - NEAR_MM
    under = all(z > lowest and out < over_mm(drum) + NEAR_MM for out, z in corners)
    return PRESSED if drum.box.clamped and under else "wall"


def wall_rows(drum: Drum) -> list[tuple[float, tuple[float, ...]]]:
    """The heights at which a wall is parted, falling, each with the places across at which it is parted there."""
    drop, box, bottom = drop_mm(drum), drum.box, drum.bottom
    floor = drop - box.height_mm
    over, gap, lip = over_mm(drum), gap_mm(drum), bottom.lip_mm if bottom is not None else 0.0
    plain = (0.0, box.wall_mm)
    upper = _lines(plain, over, over + gap if box.mount == "in ledge" else over)
    lower = _lines(plain, lip, lip + bottom_gap_mm(drum)) if lip else plain
    downs = [
        (FREE_LAYER if gap else GLUE_LAYER) * over,
        GLUE_LAYER * over * (1.0 if gap else 1.0 + LAYER_GROWTH),
    ]
    ups = [FREE_LAYER * lip, GLUE_LAYER * lip] if lip else []
    share = min(1.0, FINE_SHARE * box.height_mm / (downs[-1] + (ups[-1] if ups else 0.0)))
    rows = {drop: upper, drop - share * downs[0]: upper, drop - share * downs[1]: plain, floor: lower}
    if ups:
        rows |= {floor + share * ups[0]: lower, floor + share * ups[1]: plain}
    if drum.box.clamped:
        rows[drop - pressed_mm(drum)] = upper
    last = drop - share * downs[1]
    end = floor + (share * ups[1] if ups else 0.0)
    step = LAYER_GROWTH * GLUE_LAYER * over
    while last - end > 1.7 * step:
        last -= step
        rows[last] = plain
        step *= LAYER_GROWTH
    return _with_bars(drum, rows, fine=(drop - share * downs[0], upper))


def _lines(ends: tuple[float, float], *between: float) -> tuple[float, ...]:
    low, high = ends
    found = [low]
    for line in sorted(between):
        if line - found[-1] > NEAR_MM and high - line > NEAR_MM:
            found.append(line)
    return (*found, high)


def _with_bars(
    drum: Drum, rows: dict[float, tuple[float, ...]], *, fine: tuple[float, tuple[float, ...]]
) -> list[tuple[float, tuple[float, ...]]]:
    """The rows with one at the upper and one at the lower edge of root bars; rows too near to those go."""
    box, (high, *_, low) = drum.box, sorted(rows, reverse=True)
    edges = (0.0, -box.root_bar_height_mm) if box.root_bar_mm > 0.0 else ()
    near = 0.4 * FREE_LAYER * over_mm(drum)
    for edge in edges:
        if not low + NEAR_MM < edge < high - NEAR_MM:
            continue
        rows = {z: at for z, at in rows.items() if z in (high, low) or abs(z - edge) > near}
        rows[edge] = fine[1] if edge > fine[0] else (0.0, box.wall_mm)
    return sorted(rows.items(), reverse=True)


def _row(
    high: float, upper: tuple[float, ...], low: float, lower: tuple[float, ...]
) -> Iterable[tuple[Place, ...]]:
    """One row of wall: rectangles where both its edges are parted alike, else triangles between them."""
    common = sorted(set(upper) & set(lower))
    for a, b in pairwise(common):
        above = [x for x in upper if a <= x <= b]
        under = [x for x in lower if a <= x <= b]
        if len(above) == len(under) == 2:
            yield ((a, low), (b, low), (b, high), (a, high))
            continue
        i = j = 0
        while i < len(above) - 1 or j < len(under) - 1:
            # Of the two next triangles the one whose new side is the more upright.
            on_top = j == len(under) - 1 or (
                i < len(above) - 1 and abs(above[i + 1] - under[j]) <= abs(under[j + 1] - above[i])
            )
            if on_top:
                yield ((under[j], low), (above[i + 1], high), (above[i], high))
                i += 1
            else:
                yield ((under[j], low), (under[j + 1], low), (above[i], high))
                j += 1


def _box(part: str, across: tuple[float, float], low: float, high: float) -> Piece:
    a, b = across
    return Piece(part, ((a, low), (b, low), (b, high), (a, high)))


def _above(drum: Drum, *, layered: bool) -> Iterable[Piece]:
    """The top's rim over the wall, and the wall beside it where the top is let in."""
    drop, t, over, gap = drop_mm(drum), drum.top.thickness_mm, over_mm(drum), gap_mm(drum)
    parted = [LOWER_LAYER * t] if layered and not drop else []
    for low, high in pairwise([drop, *parted, t]):
        yield _box("rim", (0.0, over), low, high)
        if drum.box.mount == "in ledge" and not gap:
            yield _box("wall", (over, drum.box.wall_mm), low, high)
    if drum.box.mount == "in ledge" and gap:
        yield _box("wall", (over + gap, drum.box.wall_mm), 0.0, t)


def _below(drum: Drum) -> Iterable[Piece]:
    """The bottom under the wall, or its lip, and the wall that reaches down beside that."""
    bottom, wall, floor = drum.bottom, drum.box.wall_mm, drop_mm(drum) - drum.box.height_mm
    if bottom is None:
        return
    if bottom.fit != "on a lip":
        yield _box("bottom", (0.0, wall), floor - bottom.thickness_mm, floor)
        return
    yield _box("bottom", (0.0, bottom.lip_mm), floor - bottom.lip_thickness_mm, floor)
    yield _box("wall", (bottom.lip_mm + bottom_gap_mm(drum), wall), floor - below_mm(drum), floor)


def _named(drum: Drum, pieces: list[Piece]) -> Iterable[Edge]:
    """What borders on air and has a name: upper face, outer faces, what the drum stands on, what hangs above that."""
    drop, wall = drop_mm(drum), drum.box.wall_mm
    lowest = min(z for piece in pieces for _, z in piece.corners)
    ends = {piece: list(pairwise([*piece.corners, piece.corners[0]])) for piece in pieces}
    uses = Counter(frozenset(pair) for pairs in ends.values() for pair in pairs)
    for piece, pairs in ends.items():
        for one, other in pairs:
            (a, low), (b, high) = one, other
            if uses[frozenset((one, other))] > 1:
                continue
            if a == b == wall and piece.part != "bottom":
                yield Edge("outer", (one, other))
            elif low == high and b < a and low > drop - NEAR_MM:
                yield Edge("upper, rim", (one, other))
            elif low == high and b > a and low < lowest + NEAR_MM:
                yield Edge("base", (one, other))
            elif low == high and b > a and piece.part == "bottom":
                yield Edge("below", (one, other))
