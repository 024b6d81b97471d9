"""What a drawing is: shapes and words in millimetres, on named layers.

One model for every format: a sheet knows nothing of SVG or any other file. x to the right, y up, in mm of
the real thing; for a layout that is the drum's own frame, x along the length and y across from the front
edge. The sheet's lower left corner may lie anywhere in it. Later layers are drawn over earlier ones.

Text is measured by the height of its capitals, as draughtsmen do, so that a height given here can be
checked with a rule on the paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from kerftone.drum.arcs import ClosedPath

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, kw_only=True)
class Pen:
    """How the shapes of a layer are drawn: colours as #rrggbb or None, line width and dashes in mm.

    halo: a colour laid under words, a little wider than they are, so that crossing lines do not blur them.
    """

    stroke: str | None = None
    width_mm: float = 0.35
    dash_mm: tuple[float, ...] = ()
    fill: str | None = None
    halo: str | None = None


@dataclass(frozen=True, kw_only=True)
class Line:
    """An open run of straight pieces, filled never."""

    points: tuple[Point, ...]


@dataclass(frozen=True, kw_only=True)
class Region:
    """An area: one outer edge and any number of holes, none of them repeating its first point."""

    outer: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True, kw_only=True)
class Shade:
    """Many closed edges together; what lies inside an odd number of them is filled."""

    rings: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A circle."""

    centre: Point
    radius_mm: float


@dataclass(frozen=True, kw_only=True)
class Text:
    """One line of words. `at` is on the baseline; turned by angle_deg counter-clockwise about it.

    `spots`: other places where it says the same, for paper that cuts it at `at` (`word_places.py`); lines of one
    `group` move together. `plate`: a colour laid under it, so that it may stand on a line. `leader`: what it names
    where it does not stand on it; a thin line is drawn to there.
    """

    at: Point
    words: str
    height_mm: float
    anchor: Anchor = "start"
    angle_deg: float = 0.0
    bold: bool = False
    spots: tuple[Point, ...] = ()
    group: str = ""
    plate: str | None = None
    leader: Point | None = None


@dataclass(frozen=True, kw_only=True)
class Outlined:
    """A closed edge of straight pieces, true arcs and curves: see `drum.arcs`. `holes`: what it leaves open."""

    path: ClosedPath
    holes: tuple[ClosedPath, ...] = ()

    @property
    def rings(self) -> tuple[ClosedPath, ...]:
        """Its own edge and those of its holes."""
        return self.path, *self.holes


@dataclass(frozen=True, kw_only=True)
class Picture:
    """An image in a rectangle (x from, y from, x to, y to): the bytes of a PNG."""

    bounds: tuple[float, float, float, float]
    png: bytes


Shape = Line | Region | Shade | Circle | Text | Outlined | Picture


@dataclass(frozen=True, kw_only=True)
class Layer:
    """Shapes that belong together and look alike. The name is what a drawing program shows."""

    name: str
    pen: Pen
    shapes: tuple[Shape, ...]


Sample = Literal["line", "area", "circle", "strike", "hatch", "next"]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One kind of mark and what it means."""

    name: str
    pen: Pen
    words: str
    sample: Sample = "line"


@dataclass(frozen=True, kw_only=True)
class Tag:
    """A name for a small picture of a drawing: what is at this point, and the room round it, mm of the drawing."""

    at: Point
    words: str
    room_mm: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A drawing: its size, where its lower left corner is, what it shows in words, and its layers.

    On paper that is too small for all of it, `to_size` (x from, y from, x to, y to) is what must be at true size, and
    `loose` what is shown too where that takes no more paper; None for everything. The words round it are then set
    afresh: `notes`, a paragraph each, `marks`, what each kind of line means, and a small picture with `tags` for its
    words.
    """

    width_mm: float
    height_mm: float
    title: str
    description: str
    layers: tuple[Layer, ...] = field(default=())
    left_mm: float = 0.0
    bottom_mm: float = 0.0
    to_size: Bounds | None = None
    loose: Bounds | None = None
    notes: tuple[str, ...] = ()
    marks: tuple[Entry, ...] = ()
    tags: tuple[Tag, ...] = ()

    def layer(self, name: str) -> Layer:
        """The layer of this name. Raises KeyError when there is none."""
        for layer in self.layers:
            if layer.name == name:
                return layer
        raise KeyError(name)


# Widest letters of common system fonts, as a share of the height of capitals: capitals and figures run to
# about 0.95 of it in plain and 1.05 in bold type. A little generous, so that words stay inside their box.
WIDTH_PER_CAPITAL = 0.95


def text_width_mm(words: str, height_mm: float, *, bold: bool = False) -> float:
    """How wide these words come out at most, near enough to keep them inside a tongue.

    Parameters
    ----------
    words : str
        In one line.
    height_mm : float
        Height of the capitals, in mm.
    bold : bool, optional
        Whether they are drawn bold.
    """
    return len(words) * height_mm * WIDTH_PER_CAPITAL * (1.1 if bold else 1.0)


def height_that_fits(words: str, *, width_mm: float, most_mm: float, bold: bool = False) -> float:
    """How tall these words may be so that they fit this width: never more than most_mm.

    Parameters
    ----------
    words : str
        In one line.
    width_mm : float
        The room for it, in mm.
    most_mm : float
        The height that is taken where there is room, in mm.
    bold : bool, optional
        Whether they are drawn bold.
    """
    if not words:
        return most_mm
    return min(most_mm, width_mm / text_width_mm(words, 1.0, bold=bold))


def closed(points: Sequence[Sequence[float]]) -> tuple[Point, ...]:
    """A ring of points without the first repeated at the end, as Region wants it."""
    ring = tuple((float(p[0]), float(p[1])) for p in points)
    return ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring
