"""One damped tone: its pitch, its decay, its drift, and how sure they are."""

from __future__ import annotations

import math

import numpy as np
import pytest
from synthetic import bar, bound_cents

from kerftone.ear.segment import Segment
from kerftone.ear.tone import Tone, fit_tone
from kerftone.pitch import cents

RATE = 44100


def fitted(samples: np.ndarray, near_hz: float, *, rate: int = RATE, half_width_hz: float = 60.0) -> Tone:
    tone = fit_tone(Segment(samples, rate, rise_s=0.01), near_hz, half_width_hz=half_width_hz)
    assert tone is not None
    return tone


@pytest.mark.parametrize("hz", [61.3, 147.1, 333.3, 1187.9, 4321.0])
@pytest.mark.parametrize("rate", [8000, 44100, 96000])
def test_a_clean_tone_is_read_to_a_fiftieth_of_a_cent(hz: float, rate: int) -> None:
    if hz > 0.45 * rate:
        pytest.skip("above what this rate holds")
    tap = bar(hz, sample_rate=rate, ratios=(1.0,), levels_db=(0.0,), seconds=1.0)
    tone = fitted(tap, hz * 1.004, rate=rate)
    assert abs(cents(tone.hz, hz)) < 0.02
    assert tone.t60_s == pytest.approx(0.8, rel=0.04)
    assert abs(tone.amplitude) == pytest.approx(0.5, rel=0.05)


def test_upper_tones_do_not_pull_the_pitch() -> None:
    tap = bar(220.0, levels_db=(0.0, 12.0, 12.0), seconds=1.0)
    assert abs(cents(fitted(0.2 * tap, 221.0).hz, 220.0)) < 0.05


def test_the_drift_of_a_gliding_tone_is_read_with_its_sign() -> None:
    t = np.arange(RATE) / RATE
    rising = 300.0 * 2.0 ** (6.0 * t / 1200.0)
    tap = np.exp(-3.0 * t) * np.sin(2 * math.pi * np.cumsum(rising) / RATE)
    assert fitted(tap, 300.0).drift_cents == pytest.approx(6.0, abs=0.5)
    steady = np.exp(-3.0 * t) * np.sin(2 * math.pi * 300.0 * t)
    assert abs(fitted(steady, 300.0).drift_cents) < 0.1


@pytest.mark.parametrize(("hz", "t60_s"), [(150.0, 1.0), (330.0, 0.7), (90.0, 0.5)])
def test_in_noise_the_scatter_is_near_the_least_possible_and_the_stated_bound_is_honest(
    hz: float, t60_s: float
) -> None:
    noise, runs = 0.05, 60
    tones = []
    for run in range(runs):
        rng = np.random.default_rng(run)
        tap = bar(hz, ratios=(1.0,), levels_db=(0.0,), t60_s=t60_s, rng=rng)
        tones.append(fitted(tap + noise * rng.standard_normal(len(tap)), hz))
    off = np.array([cents(one.hz, hz) for one in tones])
    scatter = float(np.sqrt(np.mean(off**2)))
    least = bound_cents(hz, t60_s=t60_s, seconds=1.5, amplitude=0.5, noise=noise, sample_rate=RATE)
    assert 0.8 < scatter / least < 1.6
    assert 0.6 < np.median([one.crb_cents for one in tones]) / scatter < 1.6
    # The bound bites: with ten times the noise power the scatter is three times as wide.
    rough = []
    for run in range(runs):
        rng = np.random.default_rng(run)
        tap = bar(hz, ratios=(1.0,), levels_db=(0.0,), t60_s=t60_s, rng=rng)
        rough.append(cents(fitted(tap + 0.16 * rng.standard_normal(len(tap)), hz).hz, hz))
    assert float(np.sqrt(np.mean(np.square(rough)))) > 2.0 * least


def test_a_tone_already_known_is_taken_out_of_the_band() -> None:
    t = np.arange(RATE) / RATE
    loud = np.exp(-5.0 * t) * np.sin(2 * math.pi * 400.0 * t)
    soft = 0.05 * np.exp(-5.0 * t) * np.sin(2 * math.pi * 430.0 * t + 1.0)
    segment = Segment(loud + soft, RATE, rise_s=0.01)
    first = fit_tone(segment, 400.0, half_width_hz=60.0)
    assert first is not None
    second = fit_tone(segment, 430.0, half_width_hz=60.0, within_hz=(405.0, 460.0), known=(first,))
    assert second is not None
    assert second.hz == pytest.approx(430.0, abs=0.5)
    assert abs(second.amplitude) == pytest.approx(0.05, rel=0.25)


@pytest.mark.parametrize("hz", [147.0, 330.0, 1046.0])
@pytest.mark.parametrize("t60_s", [0.2, 0.5, 1.5, 4.0])
def test_the_decay_of_a_perfect_tone_is_read_to_a_thousandth(hz: float, t60_s: float) -> None:
    tap = bar(hz, t60_s=t60_s, ratios=(1.0,), levels_db=(0.0,), seconds=0.6)
    assert fitted(tap, hz * 1.002, half_width_hz=40.0).t60_s == pytest.approx(t60_s, rel=1e-3)
