"""The moments at which something was struck."""

from __future__ import annotations

import numpy as np
import pytest
from synthetic import bar

from kerftone.ear.background import background, band_frames
from kerftone.ear.listen import analyse
from kerftone.ear.strikes import onsets
from kerftone.ear.swells import swells

RATE = 44100


def moments(samples: np.ndarray, rate: int = RATE) -> list[float]:
    frames = band_frames(samples, rate)
    return onsets(samples, rate, frames, background(samples, rate, frames))


def placed(*taps: tuple[float, np.ndarray], seconds: float = 4.0, noise: float = 3e-4) -> np.ndarray:
    made = noise * np.random.default_rng(0).standard_normal(round(seconds * RATE))
    for at, tap in taps:
        first = round(at * RATE)
        made[first : first + len(tap)] += tap[: len(made) - first]
    return made


def test_strikes_are_timed_to_a_few_milliseconds() -> None:
    found = moments(placed((0.5, bar(150.0)), (1.7, bar(400.0)), (2.9, bar(90.0))))
    assert found == pytest.approx([0.5, 1.7, 2.9], abs=0.006)


def test_three_tenths_apart_on_the_same_note_soft_after_loud_is_two_strikes() -> None:
    found = moments(placed((0.5, bar(200.0)), (0.8, 0.25 * bar(200.0))))
    assert found == pytest.approx([0.5, 0.8], abs=0.01)


def test_a_double_hit_is_two_strikes() -> None:
    assert len(moments(placed((0.5, bar(200.0)), (0.62, 0.6 * bar(200.0))))) == 2


def test_a_strike_at_the_very_first_sample_is_found_and_a_cut_end_is_no_strike() -> None:
    found = moments(bar(300.0, seconds=0.4, t60_s=3.0))
    assert found == pytest.approx([0.0], abs=0.005)


def test_beats_and_steady_noise_are_no_strikes() -> None:
    t = np.arange(3 * RATE) / RATE
    beating = np.exp(-t) * (np.sin(2 * np.pi * 200.0 * t) + np.sin(2 * np.pi * 204.0 * t))
    # Beats give moments to look at; that nothing new rings after them is what `struck` finds.
    assert [one.t_s for one in analyse(beating, RATE).strikes] == pytest.approx([0.0], abs=0.005)
    assert moments(0.1 * np.random.default_rng(5).standard_normal(5 * RATE)) == []


def test_a_tone_that_noise_drowns_is_still_seen_to_come_up() -> None:
    rng = np.random.default_rng(6)
    tap = bar(320.0, levels_db=(0.0,), ratios=(1.0,))
    noise = 0.35 * rng.standard_normal(3 * RATE)
    drowned = noise.copy()
    drowned[RATE : RATE + len(tap)] += tap
    assert swells(drowned, RATE) == pytest.approx([1.0], abs=0.03)
    assert swells(noise, RATE) == []


def test_hum_that_was_there_all_along_does_not_come_up() -> None:
    t = np.arange(3 * RATE) / RATE
    hum = 0.05 * np.sin(2 * np.pi * 120.0 * t) + 0.01 * np.random.default_rng(7).standard_normal(len(t))
    assert [at for at in swells(hum, RATE) if at > 0.1] == []
