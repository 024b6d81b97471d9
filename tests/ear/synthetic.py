"""Struck bars that are made up, so that their pitch is known exactly, and the Cramer-Rao bound on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FREE_BAR = (1.0, 2.756, 5.404)
"""Tones of a slender free bar against its first: squares of 4.7300, 7.8532, 10.9956 (Fletcher and Rossing,
The Physics of Musical Instruments, from memory)."""
CANTILEVER = (1.0, 6.267, 17.55)
"""The same of a bar clamped at one end."""


def bar(
    hz: float,
    *,
    sample_rate: int = 44100,
    seconds: float = 1.5,
    t60_s: float = 0.8,
    ratios: Sequence[float] = FREE_BAR,
    levels_db: Sequence[float] = (0.0, -6.0, -12.0),
    rng: np.random.Generator | None = None,
) -> Array:
    """A struck bar: damped tones, the upper ones dying faster, phases from `rng`, at most full scale."""
    t = np.arange(round(seconds * sample_rate)) / sample_rate
    made = np.zeros(len(t))
    for ratio, level in zip(ratios, levels_db, strict=False):
        if ratio * hz < 0.45 * sample_rate:
            phase = 0.0 if rng is None else rng.uniform(0.0, 2.0 * math.pi)
            decay = math.log(1000.0) / (t60_s / ratio**0.7)
            made += 10.0 ** (level / 20.0) * np.exp(-decay * t) * np.sin(2 * math.pi * ratio * hz * t + phase)
    return np.asarray(0.5 * made)


def bound_cents(
    hz: float, *, t60_s: float, seconds: float, amplitude: float, noise: float, sample_rate: int
) -> float:
    """The least standard deviation that any unbiased reading of the pitch can have, in cents.

    One real damped sinusoid of this starting amplitude in white noise of standard deviation `noise`,
    amplitude, phase and decay unknown. From the Fisher matrix of the four, by its derivatives on the
    samples themselves: no closed form, and nothing of the program's.
    """
    t = np.arange(round(seconds * sample_rate)) / sample_rate
    decay = math.log(1000.0) / t60_s
    envelope = np.exp(-decay * t)
    angle = 2.0 * math.pi * hz * t + 0.7
    slopes = np.stack(
        [
            envelope * np.sin(angle),
            amplitude * envelope * np.cos(angle),
            -amplitude * t * envelope * np.sin(angle),
            amplitude * 2.0 * math.pi * t * envelope * np.cos(angle),
        ]
    )
    scale = np.linalg.norm(slopes, axis=1)
    fisher = (slopes / scale[:, None]) @ (slopes / scale[:, None]).T / noise**2
    sd_hz = math.sqrt(np.linalg.inv(fisher)[3, 3]) / scale[3]
    return 1200.0 / math.log(2.0) * sd_hz / hz
