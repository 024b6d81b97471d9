"""A segment of sound and the bands cut out of it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.ear.segment import Segment


@pytest.mark.parametrize(
    ("rate", "seconds", "hz", "t60_s"),
    [(44100, 0.6, 333.3, 0.8), (96000, 0.15, 1000.0, 0.1), (8000, 1.5, 500.0, 3.0)],
)
@pytest.mark.parametrize("half_width_hz", [15.0, 60.0])
def test_a_tone_in_a_band_is_what_its_shape_says(
    rate: int, seconds: float, hz: float, t60_s: float, half_width_hz: float
) -> None:
    t = np.arange(round(seconds * rate)) / rate
    decay = math.log(1000.0) / t60_s
    sound = 0.5 * np.exp(-decay * t) * np.cos(2.0 * math.pi * hz * t + 1.0)
    band = Segment(sound, rate, rise_s=0.01).band(hz, half_width_hz)

    def worst(decay_per_s: float) -> float:
        s = complex(-decay_per_s, 2.0 * math.pi * (hz - band.centre_hz))
        off = 0.5 * np.exp(1j) * band.shape(s) - band.z
        return float(np.max(np.abs(off)) / np.max(np.abs(band.z)))

    assert worst(decay) < 3e-4
    # It bites: a decay that is off by 3 % shows.
    assert worst(1.03 * decay) > 3e-3
