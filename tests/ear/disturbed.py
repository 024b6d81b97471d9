"""A recording made worse: noise of several colours, a workshop, clipping, few bits, a lossy file.

All of it invented, from a seed. Signal-to-noise ratios are of the tap's first 0.3 s against the noise, both as
mean power over the whole spectrum.
"""

from __future__ import annotations

import io
from collections.abc import Callable

import numpy as np
import scipy.signal
import soundfile
from numpy.typing import NDArray

Array = NDArray[np.float64]
TAP_S = 0.3
"""The length over which a tap's power is taken."""


def white(size: int, sample_rate: int, rng: np.random.Generator) -> Array:
    return rng.standard_normal(size)


def pink(size: int, sample_rate: int, rng: np.random.Generator) -> Array:
    """Power falling by 3 dB an octave, from 20 Hz up."""
    spectrum = np.fft.rfft(rng.standard_normal(size))
    hz = np.fft.rfftfreq(size, 1.0 / sample_rate)
    made = np.fft.irfft(spectrum / np.sqrt(np.maximum(hz, 20.0)), size)
    return np.asarray(made / np.std(made))


def workshop(size: int, sample_rate: int, rng: np.random.Generator) -> Array:
    """Mains hum with harmonics, the broad band and blade tone of a dust collector, and clicks."""
    t = np.arange(size) / sample_rate
    mains = rng.choice([50.0, 60.0]) * (1.0 + 2e-4 * rng.standard_normal())
    hum = sum(
        np.sin(2 * np.pi * k * mains * t + rng.uniform(0, 2 * np.pi)) / k ** rng.uniform(0.5, 1.2)
        for k in range(1, 9)
    )
    low, high = min(150.0, 0.1 * sample_rate), min(2500.0, 0.4 * sample_rate)
    band = scipy.signal.butter(2, [low, high], "bandpass", fs=sample_rate, output="sos")
    fan = scipy.signal.sosfilt(band, rng.standard_normal(size))
    blade = np.sin(2 * np.pi * rng.uniform(180.0, 320.0) * t)
    clicks = np.zeros(size)
    for at in rng.integers(0, size, max(1, round(2.0 * size / sample_rate))):
        length = min(size - at, round(0.002 * sample_rate))
        clicks[at : at + length] += rng.standard_normal(length) * rng.uniform(2.0, 6.0)
    made = 0.7 * hum / np.std(hum) + fan / np.std(fan) + 0.3 * blade + clicks
    return np.asarray(made / np.std(made))


NOISES: dict[str, Callable[[int, int, np.random.Generator], Array]] = {
    "white": white,
    "pink": pink,
    "workshop": workshop,
}


def tap_power(tap: Array, sample_rate: int) -> float:
    """Mean power of the first 0.3 s."""
    return float(np.mean(tap[: round(TAP_S * sample_rate)] ** 2))


def faded(tap: Array, sample_rate: int, *, seconds: float = 0.03) -> Array:
    """The tap with its end faded, so that where the sample was cut makes no sound of its own."""
    made = tap.copy()
    count = min(len(made), round(seconds * sample_rate))
    made[len(made) - count :] *= np.linspace(1.0, 0.0, count)
    return made


def with_noise(
    samples: Array, sample_rate: int, *, kind: str, noise_power: float, rng: np.random.Generator
) -> Array:
    """The recording with noise of this mean power added."""
    return samples + np.sqrt(noise_power) * NOISES[kind](len(samples), sample_rate, rng)


def clipped(samples: Array, by_db: float) -> Array:
    """The recording with its peaks cut off, so many decibels under the highest."""
    top = float(np.max(np.abs(samples))) * 10.0 ** (-by_db / 20.0)
    return np.asarray(np.clip(samples, -top, top) / top)


def coarse(samples: Array, sample_rate: int) -> tuple[Array, int]:
    """The recording at 22 kHz in 8 bits."""
    halved = scipy.signal.resample_poly(samples, 1, 2)
    return np.asarray(np.round(np.clip(halved, -1.0, 1.0) * 127.0) / 127.0), sample_rate // 2


def as_ogg(samples: Array, sample_rate: int) -> Array:
    """The recording after it went through a Vorbis file."""
    held = io.BytesIO()
    soundfile.write(held, np.clip(samples, -1.0, 1.0), sample_rate, format="OGG", subtype="VORBIS")
    held.seek(0)
    return np.asarray(soundfile.read(held, dtype="float64")[0])


def with_loud_partial(samples: Array, sample_rate: int, *, hz: float, over_db: float) -> Array:
    """The tap with a partial added at 2.76 times its pitch (a free bar's second tone) that starts louder.

    It dies four times as fast as the loudest second of the tap, as upper tones do.
    """
    t = np.arange(len(samples)) / sample_rate
    level = 10.0 ** (over_db / 20.0) * float(np.max(np.abs(samples)))
    upper = level * np.exp(-t * 6.9 / 0.25) * np.sin(2 * np.pi * 2.756 * hz * t)
    made = samples + upper
    return np.asarray(made / max(1.0, float(np.max(np.abs(made)))))
