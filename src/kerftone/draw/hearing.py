"""A picture of what was heard: a map of loudness by time and pitch, and how each strike dies away.

Above, time runs to the right and pitch upwards, an octave always as tall; dark is loud. A tick at the top edge
marks each strike, a line its fundamental for as long as it rings, with its name. Below, the level of each
fundamental as recorded, and the straight line of its decay as it was read.

Works on plain numbers: levels in dB, seconds, hertz, words.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kerftone.draw import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Array = NDArray[np.float64]

INCHES = (12.0, 7.5)
"""Of the picture, wide enough for a screen; own judgement."""
DPI = 110
"""Dots an inch; own judgement."""
SHOWN_DB = 75.0
"""How far under its loudest a recording is shown; own judgement."""
LEAST_GAP = 0.045
"""Names nearer than this share of the width would run into each other: the later one is left out."""
TICKS_HZ = (50, 100, 200, 300, 500, 1000, 2000, 3000, 5000, 8000)
"""Round pitches to read the axis by; own judgement."""


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
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=INCHES, dpi=DPI, facecolor=style.PAPER, layout="constrained")
    FigureCanvasAgg(figure)
    above, below = figure.subplots(2, 1, sharex=True, height_ratios=(2.4, 1.0))
    _map(figure, above, heard)
    ends = _ends(marks, heard.db.shape[1] * heard.column_s)
    _strikes(above, heard, marks, ends)
    _decays(below, heard, marks, ends)
    figure.align_ylabels()
    out = io.BytesIO()
    figure.savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()


def _ends(marks: Sequence[Mark], seconds: float) -> list[float]:
    """Until when each strike's lines go: it has rung out, or the next one begins."""
    starts = [*(mark.t_s for mark in marks), seconds][1:]
    return [
        min(follows, mark.t_s + (mark.t60_s if math.isfinite(mark.t60_s) else 0.3), seconds)
        for mark, follows in zip(marks, starts, strict=True)
    ]


def _map(figure: Any, axes: Axes, heard: HearingMap) -> None:
    from matplotlib.colors import LinearSegmentedColormap
    from matplotlib.ticker import NullLocator

    top = float(heard.db.max())
    colours = LinearSegmentedColormap.from_list(
        "ink", [style.PAPER, style.WOOD, "#b9a98c", style.SLATE, style.INK]
    )
    times = heard.column_s * np.arange(heard.db.shape[1] + 1)
    mesh = axes.pcolormesh(
        times, heard.edges_hz, heard.db, cmap=colours, vmin=top - SHOWN_DB, vmax=top, rasterized=True
    )
    axes.set_yscale("log")
    highest = float(heard.edges_hz[-1])
    axes.set_ylim(float(heard.edges_hz[0]), highest)
    ticks = [hz for hz in TICKS_HZ if heard.edges_hz[0] <= hz <= highest]
    axes.set_yticks(ticks, [str(hz) for hz in ticks])
    axes.yaxis.set_minor_locator(NullLocator())
    axes.set_ylabel("pitch, Hz")
    axes.set_title(heard.title, loc="left", fontsize=12, color=style.INK, parse_math=False, pad=22)
    figure.colorbar(mesh, ax=axes, pad=0.01, aspect=30).set_label("level, dB of full scale")


def _strikes(axes: Axes, heard: HearingMap, marks: Sequence[Mark], ends: Sequence[float]) -> None:
    seconds = heard.db.shape[1] * heard.column_s
    named = -math.inf
    for mark, end in zip(marks, ends, strict=True):
        colour = style.PLUM if mark.doubtful else style.RUST
        axes.plot([mark.t_s] * 2, [0.965, 1.0], color=colour, lw=1.6, transform=axes.get_xaxis_transform())
        axes.axvline(mark.t_s, color=colour, lw=0.6, alpha=0.45)
        if not math.isfinite(mark.hz):
            continue
        axes.plot([mark.t_s, end], [mark.hz] * 2, color=style.PAPER, lw=2.8, solid_capstyle="butt")
        axes.plot([mark.t_s, end], [mark.hz] * 2, color=colour, lw=1.3, solid_capstyle="butt")
        if mark.t_s - named >= LEAST_GAP * seconds:
            named = mark.t_s
            axes.annotate(
                mark.name + (" ?" if mark.doubtful else ""),
                (mark.t_s, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(0, 4),
                textcoords="offset points",
                fontsize=9,
                color=colour,
                parse_math=False,
            )


def _decays(axes: Axes, heard: HearingMap, marks: Sequence[Mark], ends: Sequence[float]) -> None:
    top = -math.inf
    for mark, end in zip(marks, ends, strict=True):
        if not math.isfinite(mark.hz):
            continue
        row = int(np.clip(np.searchsorted(heard.edges_hz, mark.hz) - 1, 1, len(heard.db) - 2))
        level = heard.db[row - 1 : row + 2].max(axis=0)
        times: Array = np.asarray(heard.column_s * (0.5 + np.arange(len(level))), dtype=np.float64)
        inside = (times >= mark.t_s - heard.column_s) & (times <= end)
        if not inside.any():
            continue
        axes.plot(times[inside], level[inside], color=style.SLATE, lw=1.1)
        top = max(top, float(level[inside].max()))
        if math.isfinite(mark.t60_s):
            _line(axes, mark, end, times[inside], level[inside])
    axes.plot([], [], color=style.SLATE, lw=1.1, label="level of the fundamental")
    axes.plot([], [], color=style.RUST, lw=1.6, ls="--", label="its decay as read")
    axes.legend(loc="upper right", fontsize=8, ncols=2, framealpha=0.9)
    if math.isfinite(top):
        axes.set_ylim(top - SHOWN_DB, top + 24.0)
    axes.set_ylabel("level, dB")
    axes.set_xlabel("time, s")
    axes.set_xlim(0.0, heard.db.shape[1] * heard.column_s)
    axes.grid(axis="y", color=style.SLATE, alpha=0.2, lw=0.5)


def _line(axes: Axes, mark: Mark, end: float, times: Array, level: Array) -> None:
    """The decay as read, through the levels soon after the blow."""
    slope = -60.0 / mark.t60_s
    # The map's frames are wide: only behind the first of them is the level that of the tone alone.
    settled = (times > mark.t_s + 0.07) & (times < mark.t_s + 0.07 + 0.35 * mark.t60_s)
    if not settled.any():
        return
    start = float(np.median(level[settled] - slope * (times[settled] - mark.t_s)))
    stop = min(end, mark.t_s + mark.t60_s)
    colour = style.PLUM if mark.doubtful else style.RUST
    axes.plot([mark.t_s, stop], [start, start + slope * (stop - mark.t_s)], color=colour, lw=1.6, ls="--")
