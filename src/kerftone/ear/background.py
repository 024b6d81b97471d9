"""What a recording holds besides the strikes: noise, mains hum, and peaks that were cut off.

The noise floor is taken from the quiet frames of the whole recording, not from the moment before a strike,
when the last tongue may still ring. Hum is a comb of lines at multiples of 50 or 60 Hz that stands in the
quiet frames too. Clipping is told by flat tops: runs of equal samples at the very ends of the range.

Levels are power (mean square, full scale 1). A recording without a quiet moment has a noise floor that is
too high; nothing here can know that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy.fft
from numpy.typing import NDArray

Array = NDArray[np.float64]

FRAME_S = 0.0232
"""Short enough to tell a blow, long enough for the lowest band; own judgement."""
FRAMES_IN_ONE = 4
"""Hops a frame."""
BANDS = 26
"""Bands of equal ratio, about three an octave; own judgement."""
LOWEST_HZ, HIGHEST_HZ = 50.0, 12000.0
"""Below is rumble, above no sound of wood: own judgement."""
QUIET_PART = 0.2
"""The quietest frames that tell the noise."""
HUM_FRAME_S = 0.75
"""Long enough to part the lines of the mains from one another; own judgement."""
MAINS_HZ = (50.0, 60.0)
"""The two frequencies of the mains there are."""
HUM_LINES = 8
"""How many multiples of it are looked at; own judgement."""
HUM_DB = 12.0
"""How far a line must stand out of the noise beside it; own judgement."""
HUM_LEAST_FRAMES = 6
"""Fewer tell nothing of what goes on all the time; own judgement."""
HUM_LEAST_POWER = 1e-11
"""Of full scale: quieter lines hurt nobody."""
SILENCE_DB = -200.0
"""What is told for no sound at all: below any recorder's noise."""
FLAT_RUNS = 5
"""So many flat tops make a clipped recording; the top of one slow wave is not one."""


@dataclass(frozen=True, kw_only=True)
class Frames:
    """Power of a recording in bands, frame by frame: power (frames, bands), and when each frame begins."""

    power: Array
    hop_s: float
    frame_s: float

    @property
    def total(self) -> Array:
        """Mean square of each frame, over the bands."""
        return np.asarray(self.power.sum(axis=1))


@dataclass(frozen=True, kw_only=True)
class Background:
    """Noise in each band of `Frames`, its level in all, the mains frequency heard, and where peaks are cut."""

    bands: Array
    noise_db: float
    hum_hz: float | None
    flat_tops: NDArray[np.int64]

    @property
    def clipped(self) -> bool:
        """Whether peaks were cut off."""
        return len(self.flat_tops) >= FLAT_RUNS


def band_frames(samples: Array, sample_rate: int) -> Frames:
    """How loud each band is from moment to moment: frames of 23 ms, bands a third of an octave or wider."""
    hop = max(1, round(FRAME_S * sample_rate / FRAMES_IN_ONE))
    size = FRAMES_IN_ONE * hop
    # A frame before the first sample lets a strike at the very beginning be seen as a rise.
    # After the last, its mirror image: a cut end is no blow.
    padded = np.concatenate([np.zeros(size), samples, samples[: -size - 1 : -1]])
    padded = np.concatenate([padded, np.zeros(max(0, 2 * size - len(padded)))])
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)[::hop]
    window = np.hanning(size + 2)[1:-1]
    hz = scipy.fft.rfftfreq(size, 1.0 / sample_rate)
    edges = _edges(hz)
    power = np.empty((len(frames), len(edges) - 1))
    scale = 2.0 / (size * np.sum(window**2))
    for at in range(0, len(frames), 2048):
        some = np.abs(scipy.fft.rfft(frames[at : at + 2048] * window, axis=1)) ** 2 * scale
        power[at : at + 2048] = np.add.reduceat(some[:, : edges[-1]], edges[:-1], axis=1)
    return Frames(power=power, hop_s=hop / sample_rate, frame_s=size / sample_rate)


def _edges(hz: Array) -> NDArray[np.int64]:
    """Bin numbers where the bands begin, and where the last ends; at least two bins a band."""
    top = min(HIGHEST_HZ, 0.92 * float(hz[-1]))
    wanted = np.searchsorted(hz, np.geomspace(LOWEST_HZ, max(top, 4.0 * LOWEST_HZ), BANDS + 1))
    edges = [max(1, int(wanted[0]))]
    for place in wanted[1:]:
        if place >= edges[-1] + 2:
            edges.append(min(int(place), len(hz)))
    if len(edges) == 1:
        edges.append(len(hz))
    return np.asarray(edges, dtype=np.int64)


def background(samples: Array, sample_rate: int, frames: Frames) -> Background:
    """What noise, hum and clipping this recording has.

    Parameters
    ----------
    samples : Array
        One channel, (n,), from -1 to 1.
    sample_rate : int
        Samples a second.
    frames : Frames
        The same samples as short spectra.
    """
    total = (
        frames.total[FRAMES_IN_ONE : len(frames.total) - FRAMES_IN_ONE]
        if len(frames.total) > 4 * FRAMES_IN_ONE
        else frames.total
    )
    power = (
        frames.power[FRAMES_IN_ONE : len(frames.power) - FRAMES_IN_ONE]
        if len(frames.total) > 4 * FRAMES_IN_ONE
        else frames.power
    )
    count = max(1, int(QUIET_PART * len(total)))
    quiet = np.argpartition(total, count - 1)[:count]
    bands = power[quiet].mean(axis=0)
    level = float(bands.sum())
    return Background(
        bands=bands,
        noise_db=10.0 * math.log10(level) if level > 10.0 ** (0.1 * SILENCE_DB) else SILENCE_DB,
        hum_hz=_hum(samples, sample_rate),
        flat_tops=_flat_tops(samples),
    )


def _hum(samples: Array, sample_rate: int) -> float | None:
    """The mains frequency whose comb stands out in the quiet moments; None where neither does."""
    size = round(HUM_FRAME_S * sample_rate)
    if len(samples) < HUM_LEAST_FRAMES * size // 2:
        return None
    frames = np.lib.stride_tricks.sliding_window_view(samples, size)[:: size // 2]
    frames = frames[:: max(1, len(frames) // 80)]
    power = np.abs(scipy.fft.rfft(frames * np.hanning(size), axis=1)) ** 2
    quiet = np.quantile(power, 0.15, axis=0)
    # A note that rings may stand near one line; a comb it is only with several.
    found = {mains: _lines(quiet, mains, size / sample_rate) for mains in MAINS_HZ}
    mains = max(found, key=lambda one: found[one])
    return mains if found[mains] >= 3 and found[mains] > min(found.values()) else None


def _lines(power: Array, mains_hz: float, bins_per_hz: float) -> int:
    """How many of the first multiples of the mains frequency stand out of their neighbourhood."""
    count = 0
    for k in range(1, HUM_LINES + 1):
        at = round(k * mains_hz * bins_per_hz)
        reach = round(0.4 * mains_hz * bins_per_hz)
        if at + reach >= len(power):
            break
        around = np.median(np.concatenate([power[at - reach : at - 3], power[at + 4 : at + reach]]))
        line = at - 2 + int(np.argmax(power[at - 2 : at + 3]))
        stands = power[line] > 10.0 ** (0.1 * HUM_DB) * max(
            float(around), HUM_LEAST_POWER * 0.06 * len(power) ** 2
        )
        count += bool(stands and abs(line - at) <= 1)
    return count


def _flat_tops(samples: Array) -> NDArray[np.int64]:
    """Where runs of three samples or more lie at the ends of the range: the last sample of each run."""
    ends = []
    for sign in (1.0, -1.0):
        peak = float(np.max(sign * samples, initial=0.0))
        if peak <= 1e-4:
            continue
        high = np.concatenate([[False], sign * samples >= peak * (1.0 - 1e-5), [False]])
        turns = np.flatnonzero(high[1:] != high[:-1])
        starts, stops = turns[::2], turns[1::2]
        ends.append(stops[stops - starts >= 3] - 1)
    return np.sort(np.concatenate(ends)).astype(np.int64) if ends else np.zeros(0, dtype=np.int64)
