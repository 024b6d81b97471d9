"""Noise, hum and cut-off peaks of a recording."""

from __future__ import annotations

import numpy as np
import pytest
from disturbed import clipped, workshop
from synthetic import bar

from kerftone.ear.background import Background, background, band_frames

RATE = 44100


def ground(samples: np.ndarray, rate: int = RATE) -> Background:
    return background(samples, rate, band_frames(samples, rate))


def test_the_noise_floor_comes_from_the_quiet_frames_not_from_the_taps() -> None:
    rng = np.random.default_rng(1)
    samples = 1e-3 * rng.standard_normal(4 * RATE)
    alone = ground(samples).noise_db
    samples[RATE : RATE + len(bar(200.0))] += bar(200.0)
    assert alone == pytest.approx(-60.0, abs=4.0)  # the bands leave out what is under 50 Hz and over 12 kHz
    assert ground(samples).noise_db == pytest.approx(alone, abs=1.0)


@pytest.mark.parametrize("mains", [50.0, 60.0])
def test_the_mains_is_known_by_its_lines(mains: float) -> None:
    t = np.arange(4 * RATE) / RATE
    hum = sum(0.01 / k * np.sin(2 * np.pi * k * mains * t + k) for k in range(1, 6))
    samples = hum + 1e-3 * np.random.default_rng(2).standard_normal(len(t))
    assert ground(samples).hum_hz == mains


def test_one_ringing_note_on_a_line_is_not_taken_for_hum() -> None:
    samples = np.concatenate([bar(200.0, seconds=4.0, t60_s=5.0)])
    samples += 1e-4 * np.random.default_rng(3).standard_normal(len(samples))
    assert ground(samples).hum_hz is None


def test_flat_tops_are_clipping_and_a_loud_slow_wave_is_not() -> None:
    tap = bar(180.0, seconds=1.0)
    assert ground(clipped(tap, 12.0)).clipped
    assert not ground(tap / np.max(np.abs(tap))).clipped
    assert not ground(np.round(127 * bar(80.0)) / 127).clipped


def test_a_workshop_has_a_floor_and_silence_has_none() -> None:
    assert ground(0.1 * workshop(2 * RATE, RATE, np.random.default_rng(4))).noise_db > -40.0
    assert ground(np.zeros(RATE)).noise_db == -200.0
