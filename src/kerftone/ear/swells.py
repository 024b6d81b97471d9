"""When a tone comes up out of the noise.

In loud noise a blow itself drowns, but the tone it leaves stands in a few hertz where little noise is. So
longer frames are looked at, bin by bin, and a tone is new when it rises above all that this bin has held for
a second: hum and a fan do not do that, nor does a beat, which only comes back to where it was. A soft tap on
a tongue that still rings louder is not found this way; that one is for `strikes`.

Times in seconds, good to about 15 ms.
"""

from __future__ import annotations

import math

import numpy as np
import scipy.fft
import scipy.ndimage
from numpy.typing import NDArray

Array = NDArray[np.float64]

FRAME_S = 0.093
"""Long enough to part tones, short enough for an onset; own judgement."""
FRAMES_IN_ONE = 4
"""Frames begin so many times in the length of one."""
LOWEST_HZ, HIGHEST_HZ = 40.0, 9000.0
"""Where tongues and their partials sound; own judgement."""
FLOOR = 6.0
"""Of the noise in a bin, added before the logarithm, so that its chance peaks do not count."""
LEAST_RISE_DB = 8.5
"""The rise in one bin that makes a soft onset; own judgement."""
PAST_S = 1.0
"""Against the loudest of so long before; own judgement."""
QUIET_PART = 0.25
"""The quietest frames that tell the noise; own judgement."""
AROUND_BINS = 31
"""The noise is smoothed over so many; own judgement."""
APART_S = 0.2
"""Two soft onsets nearer than this are one; own judgement."""
SLIDE_S = 0.02
"""The moment is refined with a window of this length; own judgement."""


def swells(samples: Array, sample_rate: int) -> list[float]:
    """The moments at which a tone came up that was not there before."""
    hop = max(1, round(FRAME_S * sample_rate / FRAMES_IN_ONE))
    size = FRAMES_IN_ONE * hop
    bins = slice(max(1, int(LOWEST_HZ * size / sample_rate)), int(HIGHEST_HZ * size / sample_rate) + 1)
    power = _frames(samples, size, hop)[:, bins]
    if len(power) <= FRAMES_IN_ONE or power.shape[1] < 4:
        return []
    level = 10.0 * np.log10(power + FLOOR * _noise(power[FRAMES_IN_ONE:]) + 1e-20)
    rise = level - _past(level, round(PAST_S * sample_rate / hop))
    best = rise.max(axis=1)
    apart = max(1, round(APART_S * sample_rate / hop))
    found: list[tuple[int, int]] = []
    for at in np.flatnonzero(best >= LEAST_RISE_DB):
        around = best[max(0, at - apart) : at + apart + 1]
        if best[at] == around.max() and (not found or at - found[-1][0] > apart):
            found.append((int(at), int(np.argmax(rise[at])) + bins.start))
    # Frame k begins k hops after one frame of silence put before the recording.
    return [
        _sharpened(samples, sample_rate, (at - FRAMES_IN_ONE) * hop, place * sample_rate / size)
        for at, place in found
    ]


def _frames(samples: Array, size: int, hop: int) -> Array:
    padded = np.concatenate([np.zeros(size), samples])
    if len(padded) < size + hop:
        return np.zeros((0, size // 2 + 1))
    frames = np.lib.stride_tricks.sliding_window_view(padded, size)[::hop]
    window = np.hanning(size + 2)[1:-1]
    power = np.empty((len(frames), size // 2 + 1))
    for at in range(0, len(frames), 512):
        power[at : at + 512] = np.abs(scipy.fft.rfft(frames[at : at + 512] * window, axis=1)) ** 2
    return power


def _noise(power: Array) -> Array:
    """What the quiet frames hold in each bin, without single lines; at least 60 dB under the loudest."""
    count = max(1, int(QUIET_PART * len(power)))
    quiet = np.argpartition(power.sum(axis=1), count - 1)[:count]
    smooth = scipy.ndimage.median_filter(power[quiet].mean(axis=0), size=AROUND_BINS, mode="nearest")
    return np.asarray(np.maximum(smooth, 1e-6 * float(power.max(initial=0.0))))


def _past(level: Array, frames: int) -> Array:
    """The highest that each bin, or the one beside it, was in the second before; silence counts as the floor."""
    wide = scipy.ndimage.maximum_filter1d(level, 3, axis=1)
    size = max(1, frames - FRAMES_IN_ONE + 1)
    lowest = level.min(axis=0)
    before = np.concatenate([np.broadcast_to(lowest, (frames, level.shape[1])), wide])
    held = scipy.ndimage.maximum_filter1d(before, size, axis=0, origin=-((size - 1) // 2) - (size - 1) % 2)
    return np.asarray(held[: len(level)])


def _sharpened(samples: Array, sample_rate: int, start: int, hz: float) -> float:
    """The moment at which this tone steps up, within a frame of where its frame begins."""
    slide = round(SLIDE_S * sample_rate)
    reach = round(FRAME_S * sample_rate)
    first, last = max(0, start - reach), min(len(samples), start + reach + 2 * slide)
    if last - first < 3 * slide:
        return max(0.0, start / sample_rate)
    turned = samples[first:last] * np.exp(-2j * math.pi * hz / sample_rate * np.arange(last - first))
    summed = np.concatenate([np.zeros(slide + 1), np.cumsum(turned)])
    mean = np.abs(summed[slide:] - summed[:-slide]) / slide
    # mean[k] is over the samples that end before k: what follows k against what precedes it.
    step = mean[slide:] - mean[:-slide]
    return (first + int(np.argmax(step))) / sample_rate
