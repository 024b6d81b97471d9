"""Measures on a drawing: a line with two heads, a figure beside it, lines out to what is measured.

Everything in the drawing's own millimetres. A measure shorter than its two heads gets short strokes instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from kerftone.draw.sheet import Anchor, Line, Point, Region, Text, text_width_mm


@dataclass(kw_only=True)
class Measures:
    """The measures of one drawing as they are collected: lines, heads and figures, a layer each."""

    figure_mm: float
    plate: str | None = None
    """The colour under figures that stand on their line, as in a narrow border; None: beside the line."""
    lines: list[Line] = field(default_factory=list)
    heads: list[Region] = field(default_factory=list)
    figures: list[Text] = field(default_factory=list)

    def across(self, *, x_from: float, x_to: float, y: float, words: str, reach_from: float) -> None:
        """A level measure at this y, with lines out to it from reach_from; the figure above the line.

        Parameters
        ----------
        x_from : float
            In mm.
        x_to : float
            In mm.
        y : float
            Of the measure, in mm.
        words : str
            The figure.
        reach_from : float
            The y at which the lines out to it begin, in mm.
        """
        for x in (x_from, x_to):
            self._reach((x, reach_from), (x, y))
        self._shaft((x_from, y), (x_to, y))
        if self.plate is not None:
            self._on_line((x_from, y), (x_to, y), words, 0.0)
            return
        at = (0.5 * (x_from + x_to), y + 0.4 * self.figure_mm)
        places = along((x_from, at[1]), (x_to, at[1]), text_width_mm(words, self.figure_mm))
        self.figures.append(Text(at=at, words=words, height_mm=self.figure_mm, anchor="middle", spots=places))

    def upright(self, *, y_from: float, y_to: float, x: float, words: str, reach_from: float) -> None:
        """An upright measure at this x; the figure turned along it, or level beside it where it is short.

        Parameters
        ----------
        y_from : float
            In mm.
        y_to : float
            In mm.
        x : float
            Of the measure, in mm.
        words : str
            The figure.
        reach_from : float
            The x at which the lines out to it begin, in mm.
        """
        for y in (y_from, y_to):
            self._reach((reach_from, y), (x, y))
        self._shaft((x, y_from), (x, y_to))
        middle = 0.5 * (y_from + y_to)
        if self.plate is not None and text_width_mm(words, self.figure_mm) < y_to - y_from - self.figure_mm:
            self._on_line((x, y_from), (x, y_to), words, 90.0)
            return
        if text_width_mm(words, self.figure_mm) < y_to - y_from:
            at = (x - 0.4 * self.figure_mm, middle)
            self._figure(at, words, "middle", 90.0, (y_from, y_to))
            return
        outward = -1.0 if x < reach_from else 1.0
        at = (x + outward * 0.6 * self.figure_mm, middle - 0.5 * self.figure_mm)
        self._figure(at, words, "end" if outward < 0.0 else "start", 0.0)

    def _figure(
        self, at: Point, words: str, anchor: Anchor, angle_deg: float, run: tuple[float, float] | None = None
    ) -> None:
        """The figure beside its line; `run`: from where to where along an upright line it may stand."""
        places = (
            ()
            if run is None
            else along((at[0], run[0]), (at[0], run[1]), text_width_mm(words, self.figure_mm))
        )
        figure = Text(
            at=at, words=words, height_mm=self.figure_mm, anchor=anchor, angle_deg=angle_deg, spots=places
        )
        self.figures.append(figure)

    def _on_line(self, start: Point, end: Point, words: str, angle_deg: float) -> None:
        """The figure in the line, on a plate, anywhere along it."""
        half = 0.5 * self.figure_mm
        off = (half, 0.0) if angle_deg else (0.0, -half)
        places = [
            (x + off[0], y + off[1]) for x, y in along(start, end, text_width_mm(words, self.figure_mm))
        ]
        at = (0.5 * (start[0] + end[0]) + off[0], 0.5 * (start[1] + end[1]) + off[1])
        self.figures.append(
            Text(
                at=at,
                words=words,
                height_mm=self.figure_mm,
                anchor="middle",
                angle_deg=angle_deg,
                spots=tuple(places),
                plate=self.plate,
            )
        )

    def _reach(self, start: Point, end: Point) -> None:
        """The line from the thing measured to a little beyond the measure, starting clear of the thing."""
        length = math.dist(start, end)
        if length < 1e-9:
            return
        along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        gap, beyond = min(1.0, 0.3 * length), length + 0.5 * self.figure_mm
        points = tuple((start[0] + s * along[0], start[1] + s * along[1]) for s in (gap, beyond))
        self.lines.append(Line(points=points))

    def _shaft(self, a: Point, b: Point) -> None:
        self.lines.append(Line(points=(a, b)))
        head = 0.8 * self.figure_mm
        if math.dist(a, b) < 2.5 * head:
            self.lines += [_stroke(a, head), _stroke(b, head)]
        else:
            self.heads += [arrow_head(a, b, head), arrow_head(b, a, head)]


EVERY_MM = 4.0
"""How far apart the places are at which a figure may stand on its line."""


def along(start: Point, end: Point, wide_mm: float) -> tuple[Point, ...]:
    """Places for the middle of something this wide between two points, none beyond their ends.

    Parameters
    ----------
    start : Point
        In mm.
    end : Point
        In mm.
    wide_mm : float
        How much room it needs along the line, in mm.
    """
    length = math.dist(start, end)
    room = length - wide_mm - 4.0
    if room <= 0.0:
        return ()
    count = max(1, int(room / EVERY_MM))
    shares = ((0.5 * (length - room) + room * k / count) / length for k in range(count + 1))
    return tuple((start[0] + t * (end[0] - start[0]), start[1] + t * (end[1] - start[1])) for t in shares)


def _stroke(at: Point, size: float) -> Line:
    """A short slanting stroke through the end of a measure."""
    half = 0.35 * size
    return Line(points=((at[0] - half, at[1] - half), (at[0] + half, at[1] + half)))


def arrow_head(tip: Point, back: Point, size: float) -> Region:
    """A slim head whose point is at tip, looking away from back.

    Parameters
    ----------
    tip : Point
        Its point, in mm.
    back : Point
        Where its shaft comes from, in mm.
    size : float
        Its length, in mm.
    """
    length = math.dist(tip, back)
    ux, uy = (tip[0] - back[0]) / length, (tip[1] - back[1]) / length
    base = (tip[0] - size * ux, tip[1] - size * uy)
    half = 0.24 * size
    return Region(
        outer=(tip, (base[0] - half * uy, base[1] + half * ux), (base[0] + half * uy, base[1] - half * ux))
    )
