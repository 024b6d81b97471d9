"""A picture of what was heard: a map of loudness by time and pitch, and how each strike dies away.

Above, time runs to the right and pitch upwards, an octave always as tall; dark is loud. A mark over the map says when
a strike came, a line its fundamental for as long as it rings, with its name. Below, the level of each fundamental
as recorded, and the straight line of its decay as it was read. Scales are the reader's: octaves of A, whole
seconds; what a line is stands beside it.

Works on plain numbers: levels in dB, seconds, hertz, words. A drawing of our own, written as SVG or PNG; mm inside.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from kerftone.draw import style
from kerftone.draw.fonts import width_mm
from kerftone.draw.raster import png_file
from kerftone.draw.sheet import Circle, Layer, Line, Pen, Picture, Point, Region, Shape, Sheet, Text
from kerftone.draw.svg import svg_file
from kerftone.draw.wood_look import mixed

Array = NDArray[np.float64]

WIDE_MM, HIGH_MM = 300.0, 188.0
"""Of the picture, wide enough for a screen; own judgement."""
MAP = (26.0, 72.0, 288.0, 160.0)
"""Where the map lies: x from, y from, x to, y to."""
DECAYS = (26.0, 16.0, 288.0, 58.0)
"""Where the levels lie: x from, y from, x to, y to."""
PIXELS_PER_MM = 4.4
"""1320 pixels wide; own judgement."""
SHOWN_DB = 75.0
"""How far under its loudest a recording is shown; own judgement."""
RANGE_DB, EVERY_DB = 80.0, 20.0
"""What the lower part shows under the loudest, and how far its lines lie apart."""
LEAST_GAP_MM = 2.0
"""Names nearer than this would run into each other: the later one is left out."""
WORDS_MM, SMALL_MM = 2.7, 2.3
"""Of names, and of the numbers of a scale; own judgement."""
SETTLED_S = 0.07
"""The map's frames are wide: only this long after the blow is the level that of the tone alone."""
FAINT = Pen(stroke="#d9d2c5", width_mm=0.2)
AXIS = Pen(stroke=style.SLATE, width_mm=0.35)
"""Under the map and the levels; own judgement."""
LEVEL = Pen(stroke=style.SLATE, width_mm=0.45)
"""Of the level as recorded; own judgement."""
QUIET = Pen(fill=style.SLATE)
INKS = (style.PAPER, style.WOOD, "#cdb893", "#8b7a63", style.SLATE, style.INK)
"""From quiet to loud."""


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One strike to mark: when, its fundamental (nan: none), its T60 (nan: unknown), its name, whether in doubt."""

    t_s: float
    hz: float
    t60_s: float
    name: str
    doubtful: bool = False


@dataclass(frozen=True, kw_only=True)
class HearingMap:
    """Levels db (rows, columns), pitches between the rows, seconds a column, and the recording's name."""

    title: str
    db: Array
    edges_hz: Array
    column_s: float


def hearing_png(heard: HearingMap, marks: Sequence[Mark]) -> bytes:
    """The picture as PNG bytes."""
    return png_file(hearing_sheet(heard, marks), pixels_per_mm=PIXELS_PER_MM)


def hearing_svg(heard: HearingMap, marks: Sequence[Mark]) -> bytes:
    """The picture as an SVG file."""
    return svg_file(hearing_sheet(heard, marks)).encode("utf-8")


def hearing_sheet(heard: HearingMap, marks: Sequence[Mark]) -> Sheet:
    """The picture as a drawing. Held by tests/draw/test_hearing.py."""
    picture = _Picture(heard, marks)
    picture.head()
    picture.map()
    picture.strikes()
    picture.decays()
    picture.seconds()
    return Sheet(
        width_mm=WIDE_MM,
        height_mm=HIGH_MM,
        title=f"{heard.title}: what was heard",
        description=f"{len(marks)} strikes in {picture.long_s:.1f} seconds.",
        layers=tuple(picture.layers),
    )


def _ends(marks: Sequence[Mark], seconds: float) -> list[float]:
    """Until when each strike's lines go: it has rung out, or the next one begins."""
    starts = [*(mark.t_s for mark in marks), seconds][1:]
    return [
        min(follows, mark.t_s + (mark.t60_s if math.isfinite(mark.t60_s) else 0.3), seconds)
        for mark, follows in zip(marks, starts, strict=True)
    ]


@dataclass
class _Picture:
    """The picture while it is drawn."""

    heard: HearingMap
    marks: Sequence[Mark]
    layers: list[Layer] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.long_s = self.heard.db.shape[1] * self.heard.column_s
        self.ends = _ends(self.marks, self.long_s)
        white = ((0.0, 0.0), (WIDE_MM, 0.0), (WIDE_MM, HIGH_MM), (0.0, HIGH_MM))
        self.put("paper", Pen(fill=style.PAPER), (Region(outer=white),))

    def put(self, name: str, pen: Pen, shapes: Iterable[Shape]) -> None:
        """Shapes over what is there."""
        kept = tuple(shapes)
        if kept:
            self.layers.append(Layer(name=name, pen=pen, shapes=kept))

    def say(self, at: Point, words: str, pen: Pen = QUIET, **how: object) -> None:
        """Some words."""
        text = Text(**{"at": at, "words": words, "height_mm": WORDS_MM} | how)  # type: ignore[arg-type]
        self.put("words", pen, (text,))

    def x(self, t_s: float) -> float:
        """Where a moment lies."""
        return float(MAP[0] + (MAP[2] - MAP[0]) * t_s / self.long_s)

    def y(self, hz: float) -> float:
        """Where a pitch lies on the map."""
        low, high = (math.log(float(hz)) for hz in (self.heard.edges_hz[0], self.heard.edges_hz[-1]))
        return MAP[1] + (MAP[3] - MAP[1]) * (math.log(hz) - low) / (high - low)

    def head(self) -> None:
        """The recording's name, how much was heard, and what light and dark mean."""
        self.put(
            "rule",
            Pen(fill=style.RUST),
            (Region(outer=((26, 179.6), (38, 179.6), (38, 180.4), (26, 180.4))),),
        )
        name = self.heard.title if len(self.heard.title) < 70 else self.heard.title[:69] + "…"
        self.say((26.0, 172.6), name, Pen(fill=style.INK), height_mm=4.4, bold=True)
        pitched = sum(math.isfinite(mark.hz) for mark in self.marks)
        count = len(self.marks)
        said = f"{count} strike{'s' * (count != 1)}, {pitched} with a pitch, in {self.long_s:.1f} s"
        self.say((MAP[2], 172.6), said, anchor="end")
        x, y, step = MAP[2] - 40.0, 178.4, 30.0 / 24
        for n in range(24):
            corners = ((x, y), (x + step, y), (x + step, y + 2.4), (x, y + 2.4))
            shifted = tuple((a + n * step, b) for a, b in corners)
            self.put("scale", Pen(fill=_ink((n + 0.5) / 24.0)), (Region(outer=shifted),))
        self.say((x - 1.5, y), "quiet", height_mm=SMALL_MM, anchor="end")
        self.say((x + 31.5, y), "loud", height_mm=SMALL_MM)

    def map(self) -> None:
        """Loudness by time and pitch, with a line for each A."""
        self.put("map", Pen(), (Picture(bounds=MAP, png=_shades(self.heard.db)),))
        number = 0
        while 27.5 * 2**number <= self.heard.edges_hz[-1]:
            hz = 27.5 * 2**number
            if hz >= self.heard.edges_hz[0]:
                y = self.y(hz)
                self.put(
                    "octaves",
                    Pen(stroke="#b9ad98", width_mm=0.15),
                    (Line(points=((MAP[0], y), (MAP[2], y))),),
                )
                self.say(
                    (MAP[0] - 14.0, y - 0.5 * WORDS_MM),
                    f"A{number}",
                    Pen(fill=style.INK),
                    anchor="end",
                    bold=True,
                )
                self.say((MAP[0] - 2.0, y - 0.5 * SMALL_MM), f"{hz:g}", height_mm=SMALL_MM, anchor="end")
            number += 1
        self.say((MAP[0] - 2.0, MAP[3] + 1.6), "Hz", height_mm=SMALL_MM, anchor="end")

    def strikes(self) -> None:
        """When each strike came, its name, and its fundamental for as long as it rings."""
        free = -math.inf
        for mark, end in zip(self.marks, self.ends, strict=True):
            colour, x = _colour(mark), self.x(mark.t_s)
            top = MAP[3]
            head = Region(outer=((x, top + 0.2), (x - 1.1, top + 2.4), (x + 1.1, top + 2.4)))
            self.put("strikes", Pen(fill=colour), (head,))
            self.put(
                "moments",
                Pen(stroke=mixed(colour, style.PAPER, 0.55), width_mm=0.2),
                (Line(points=((x, MAP[1]), (x, top))),),
            )
            if not math.isfinite(mark.hz) or not self.heard.edges_hz[0] <= mark.hz <= self.heard.edges_hz[-1]:
                continue
            y = self.y(mark.hz)
            run = (Line(points=((x, y), (max(self.x(end), x + 0.5), y))),)
            self.put("under", Pen(stroke=style.PAPER, width_mm=1.1), run)
            self.put("fundamentals", Pen(stroke=colour, width_mm=0.55), run)
            words = mark.name + (" ?" if mark.doubtful else "")
            if x >= free and x + width_mm(words, WORDS_MM, bold=True) < WIDE_MM:
                free = x + width_mm(words, WORDS_MM, bold=True) + LEAST_GAP_MM
                self.say((x - 0.8, top + 3.6), words, Pen(fill=colour), bold=True)

    def decays(self) -> None:
        """The level of each fundamental, and the line of its decay."""
        curves = [
            (mark, end, *self._level(mark, end)) for mark, end in zip(self.marks, self.ends, strict=True)
        ]
        shown = [curve for curve in curves if len(curve[2])]
        loudest = max((float(level.max()) for _, _, _, level in shown), default=0.0)
        top = math.ceil(loudest / EVERY_DB) * EVERY_DB
        for db in np.arange(top - RANGE_DB, top + 1.0, EVERY_DB):
            y = self._height(float(db), top)
            self.put("levels", FAINT, (Line(points=((DECAYS[0], y), (DECAYS[2], y))),))
            self.say(
                (DECAYS[0] - 2.0, y - 0.5 * SMALL_MM),
                f"{db:.0f} dB".replace("-", "\N{MINUS SIGN}"),
                height_mm=SMALL_MM,
                anchor="end",
            )
        self._key()
        for mark, end, times, level in shown:
            run = [
                (self.x(float(t)), self._height(float(db), top)) for t, db in zip(times, level, strict=True)
            ]
            self.put(
                "level",
                LEVEL,
                (Line(points=tuple(run)),) if len(run) > 1 else (Circle(centre=run[0], radius_mm=0.3),),
            )
            self._decay(mark, end, (times, level), top)

    def _key(self) -> None:
        """What the two kinds of line are, in a row over them."""
        x, y = DECAYS[0], DECAYS[3] + 3.0
        for pen, words in (
            (LEVEL, "level of the fundamental"),
            (Pen(stroke=style.RUST, width_mm=0.6, dash_mm=(1.8, 1.2)), "its decay as read"),
        ):
            self.put("key", pen, (Line(points=((x, y + 0.5 * WORDS_MM), (x + 9.0, y + 0.5 * WORDS_MM))),))
            self.say((x + 11.0, y), words)
            x += 11.0 + width_mm(words, WORDS_MM) + 8.0

    def _height(self, db: float, top: float) -> float:
        share = (db - top + RANGE_DB) / RANGE_DB
        return DECAYS[1] + (DECAYS[3] - DECAYS[1]) * min(1.0, max(0.0, share))

    def _level(self, mark: Mark, end: float) -> tuple[Array, Array]:
        """When, and how loud the fundamental is, from the strike to the end of its line."""
        none = np.zeros(0)
        if not math.isfinite(mark.hz):
            return none, none
        heard = self.heard
        row = int(np.clip(np.searchsorted(heard.edges_hz, mark.hz) - 1, 1, len(heard.db) - 2))
        level = np.asarray(heard.db[row - 1 : row + 2].max(axis=0), dtype=np.float64)
        times = np.asarray(heard.column_s * (0.5 + np.arange(len(level))), dtype=np.float64)
        inside = (times >= mark.t_s - heard.column_s) & (times <= end)
        return times[inside], level[inside]

    def _decay(self, mark: Mark, end: float, curve: tuple[Array, Array], top: float) -> None:
        """The decay as read, through the levels soon after the blow."""
        if not math.isfinite(mark.t60_s):
            return
        times, level = curve
        slope = -60.0 / mark.t60_s
        after = mark.t_s + SETTLED_S
        settled = (times > after) & (times < after + 0.35 * mark.t60_s)
        if not settled.any():
            return
        start = float(np.median(level[settled] - slope * (times[settled] - mark.t_s)))
        floor = mark.t_s + (top - RANGE_DB - start) / slope
        stop = min(end, mark.t_s + mark.t60_s, floor)
        ends = [(self.x(t), self._height(start + slope * (t - mark.t_s), top)) for t in (mark.t_s, stop)]
        pen = Pen(stroke=_colour(mark), width_mm=0.6, dash_mm=(1.8, 1.2))
        self.put("decay", pen, (Line(points=tuple(ends)),))

    def seconds(self) -> None:
        """The scale of time under both, in steps that read easily."""
        for west, south, east, _ in (MAP, DECAYS):
            self.put("axis", AXIS, (Line(points=((west, south), (east, south))),))
        for t in _steps(self.long_s):
            x = self.x(t)
            for _, south, _, _ in (MAP, DECAYS):
                self.put("ticks", AXIS, (Line(points=((x, south), (x, south - 1.2))),))
            self.say((x, DECAYS[1] - 5.0), f"{t:g}", anchor="middle")
        self.say((DECAYS[2], DECAYS[1] - 10.0), "seconds", anchor="end")


def _steps(long_s: float) -> Iterator[float]:
    """Times to write on the scale: at most twelve, whole seconds or easy parts of one."""
    step = next(
        (
            s
            for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 120.0, 300.0, 600.0)
            if long_s / s <= 12
        ),
        1200.0,
    )
    for number in range(int(long_s / step + 1e-9) + 1):
        yield round(number * step, 6)


def _colour(mark: Mark) -> str:
    return style.PLUM if mark.doubtful else style.RUST


def _ink(share: float) -> str:
    """The colour of a loudness from 0 to 1."""
    at = min(max(share, 0.0), 1.0) * (len(INKS) - 1)
    low = min(int(at), len(INKS) - 2)
    return mixed(INKS[low], INKS[low + 1], at - low)


def _shades(db: Array) -> bytes:
    """The map as a PNG: a pixel for each row and column, the loudest darkest."""
    from PIL import Image

    top = float(db.max())
    shares = np.clip((db - top + SHOWN_DB) / SHOWN_DB, 0.0, 1.0)
    inks = [_ink(n / 255.0) for n in range(256)]
    table = np.array([[int(c[n : n + 2], 16) for n in (1, 3, 5)] for c in inks], dtype=np.uint8)
    pixels = table[np.round(shares * 255.0).astype(np.int64)][::-1]
    stream = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(pixels), "RGB").save(stream, format="PNG")
    return stream.getvalue()
