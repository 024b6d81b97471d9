"""A segment of recording cut out after an attack, and one narrow band of it brought down to zero frequency.

A tone of a struck bar is fitted on few numbers: the segment is shaped by a window (a short smooth rise, so
that the other tones do not leak into the band, a flat part, a short smooth fall), transformed once, and
each band of interest is taken out of that one transform, centred on zero and sampled just fast enough.
The window is applied before the band is cut. What comes out is nearly window times damped sinusoid, its
corners rounded by the band filter; `Band.shape` says exactly what a damped sinusoid becomes in a band, from
the closed form of its spectrum under the window, so that the fit loses nothing to either.

Times in seconds from the start of the segment, frequencies in hertz. Which segment, and what is fitted,
is for others.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.fft
from numpy.typing import NDArray

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

FALL_PART = 0.12
"""The last part of the segment over which the window falls."""


@dataclass(frozen=True, kw_only=True)
class Passage:
    """How a band is cut out of a segment: angular frequencies from its centre, and how much of each passes.

    rise_s, flat_s and end_s: when the window is open, begins to close and is closed. places: where the
    frequencies stand in the transform of the band, `count` long; scale: from integral to transform.
    """

    angular: Array
    passes: Array
    places: NDArray[np.int64]
    count: int
    scale: float
    rise_s: float
    flat_s: float
    end_s: float

    @cached_property
    def turns(self) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """exp(-i w t) at the three corners of the window after its beginning."""
        return (
            np.exp(-1j * self.angular * self.rise_s),
            np.exp(-1j * self.angular * self.flat_s),
            np.exp(-1j * self.angular * self.end_s),
        )


@dataclass(frozen=True, kw_only=True)
class Band:
    """One band of a segment at baseband: z (n,) at times t_s (n,), under the window (n,)."""

    centre_hz: float
    z: ComplexArray
    t_s: Array
    window: Array
    passage: Passage

    @property
    def rate_hz(self) -> float:
        """How many numbers a second."""
        return 1.0 / float(self.t_s[1] - self.t_s[0])

    def shape(self, s: complex) -> ComplexArray:
        """What exp(s t), t from the start of the segment, becomes in this band: z were this the whole sound.

        The integral of window times exp(p t), p = s - i w, over a raised-cosine rise to r and fall from f to
        e is b^2 / (2 p (p^2 + b^2)) times -(1 + exp(p r)) with b = pi / r, plus the same with
        (exp(p f) + exp(p e)) and b = pi / (e - f). Held by test_a_tone_in_a_band_is_what_its_shape_says.
        """
        way = self.passage
        p = s - 1j * way.angular
        square = p * p
        rise, flat, end = way.turns
        opens, closes = (np.pi / way.rise_s) ** 2, (np.pi / (way.end_s - way.flat_s)) ** 2
        whole = (np.exp(s * way.flat_s) * flat + np.exp(s * way.end_s) * end) * (closes / (square + closes))
        whole -= (1.0 + np.exp(s * way.rise_s) * rise) * (opens / (square + opens))
        spread = np.zeros(way.count, dtype=np.complex128)
        spread[way.places] = whole * (way.passes / (2.0 * p))
        made = scipy.fft.ifft(spread, overwrite_x=True)
        return np.asarray(made[: len(self.t_s)] * way.scale)


class Segment:
    """Samples from one moment on, windowed, with their spectrum."""

    def __init__(
        self, samples: Array, sample_rate: int, *, rise_s: float, fall_part: float = FALL_PART
    ) -> None:
        """Window and transform; `rise_s` is how long the window takes to open, `fall_part` closes it."""
        self.sample_rate = sample_rate
        self.size = len(samples)
        self.seconds = self.size / sample_rate
        self.rise_s = min(rise_s, 0.4 * self.seconds)
        self.fall_s = fall_part * self.seconds
        self._samples = samples
        self._padded = int(scipy.fft.next_fast_len(int(1.25 * self.size) + 256, real=True))

    def window(self, t_s: Array) -> Array:
        """The window at these times, in order: half a raised cosine up, flat, half a raised cosine down."""
        made = np.ones(len(t_s))
        up, down = np.searchsorted(t_s, (self.rise_s, self.seconds - self.fall_s))
        made[:up] = np.sin(0.5 * np.pi * t_s[:up] / self.rise_s) ** 2
        left = np.maximum(self.seconds - t_s[down:], 0.0)
        made[down:] *= np.sin(0.5 * np.pi * left / self.fall_s) ** 2
        return made

    @cached_property
    def spectrum(self) -> ComplexArray:
        """Transform of the windowed samples, zero-padded."""
        t = np.arange(self.size) / self.sample_rate
        return np.asarray(scipy.fft.rfft(self._samples * self.window(t), self._padded), dtype=np.complex128)

    @property
    def bin_hz(self) -> float:
        """Distance of two values of the spectrum."""
        return self.sample_rate / self._padded

    def band(self, centre_hz: float, half_width_hz: float) -> Band:
        """The band about a frequency: flat over most of its width, with soft edges, down at baseband."""
        centre = round(centre_hz / self.bin_hz)
        half = max(12, int(np.ceil(half_width_hz / self.bin_hz)))
        offsets = np.arange(-half, half + 1)
        places = centre + offsets
        inside = (places > 0) & (places < len(self.spectrum))
        picked = np.where(inside, self.spectrum[np.clip(places, 0, len(self.spectrum) - 1)], 0.0)
        edge = np.clip((half - np.abs(offsets)) / (0.3 * half), 0.0, 1.0)
        passes = np.where(inside, np.sin(0.5 * np.pi * edge) ** 2, 0.0)
        count = int(scipy.fft.next_fast_len(2 * half + 2))
        spread = np.zeros(count, dtype=np.complex128)
        spread[offsets % count] = picked * passes
        # A tone a cos(wt) has half of its amplitude at positive frequencies: hence the factor two.
        z = scipy.fft.ifft(spread) * (2.0 * count / self._padded)
        t: Array = np.arange(count, dtype=np.float64) * (self._padded / count / self.sample_rate)
        keep = t <= self.seconds
        way = Passage(
            angular=np.asarray(2.0 * np.pi * self.bin_hz * offsets, dtype=np.float64),
            passes=passes,
            places=offsets % count,
            count=count,
            scale=count * self.bin_hz,
            rise_s=self.rise_s,
            flat_s=self.seconds - self.fall_s,
            end_s=self.seconds,
        )
        return Band(
            centre_hz=centre * self.bin_hz, z=z[keep], t_s=t[keep], window=self.window(t[keep]), passage=way
        )
