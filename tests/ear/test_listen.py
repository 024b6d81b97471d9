"""Whole recordings: every strike with its pitch, and nothing where nothing was struck."""

from __future__ import annotations

import math

import numpy as np
import pytest
from disturbed import as_ogg, clipped, coarse, with_noise
from synthetic import CANTILEVER, bar

from kerftone.ear.listen import analyse, analyse_stream
from kerftone.pitch import cents

RATE = 44100
PITCHES = (146.83, 174.61, 220.0, 261.63)


def drumming(*, gap_s: float = 1.2, repeat: int = 1, noise: float = 3e-4) -> tuple[np.ndarray, list[float]]:
    """Taps on four tongues in turn, and the moment of each."""
    at = [0.5 + gap_s * k for k in range(len(PITCHES) * repeat)]
    rng = np.random.default_rng(1)
    made = noise * rng.standard_normal(round((at[-1] + 1.5) * RATE))
    for k, when in enumerate(at):
        tap = bar(PITCHES[k % len(PITCHES)], ratios=CANTILEVER, rng=rng)
        first = round(when * RATE)
        made[first : first + len(tap)] += tap[: len(made) - first]
    return made, at


def test_every_tap_is_heard_with_its_pitch_decay_and_an_honest_spread() -> None:
    samples, at = drumming()
    heard = analyse(samples, RATE)
    assert [one.t_s for one in heard.strikes] == pytest.approx(at, abs=0.01)
    for strike, hz in zip(heard.strikes, PITCHES, strict=True):
        off = abs(cents(strike.hz, hz))
        assert off < 0.3
        assert off < 2.0 * strike.plus_minus_cents
        assert strike.t60_s == pytest.approx(0.8, rel=0.1)
        assert strike.drift_cents == pytest.approx(0.0, abs=0.5)
        assert len(strike.partials) >= 2
        assert max(one.db for one in strike.partials) == 0.0
    assert heard.seconds == pytest.approx(len(samples) / RATE)
    assert not heard.clipped
    assert heard.hum_hz is None


def test_taps_while_others_still_ring_are_told_apart() -> None:
    samples, at = drumming(gap_s=0.3)
    heard = analyse(samples, RATE, around_hz=PITCHES)
    assert [one.t_s for one in heard.strikes] == pytest.approx(at, abs=0.01)
    for strike, hz in zip(heard.strikes, PITCHES, strict=True):
        assert abs(cents(strike.hz, hz)) < 3.0


@pytest.mark.slow
def test_a_recording_in_blocks_is_heard_as_it_is_whole_and_across_pieces() -> None:
    samples, at = drumming(gap_s=3.1, repeat=10)
    assert len(samples) > 2 * 60 * RATE
    blocks = np.array_split(samples, 333)
    strikes = analyse_stream(iter(blocks), RATE).strikes
    assert [one.t_s for one in strikes] == pytest.approx(at, abs=0.01)
    assert [one.hz for one in strikes] == [one.hz for one in analyse(samples, RATE).strikes]


def test_a_partial_louder_than_the_fundamental_is_not_taken_for_it_and_is_told() -> None:
    tap = np.concatenate([np.zeros(RATE // 2), bar(185.0, levels_db=(-12.0, 0.0, -6.0))])
    (strike,) = analyse(tap, RATE).strikes
    assert abs(cents(strike.hz, 185.0)) < 0.5
    assert any("louder than the fundamental" in one for one in strike.doubt)


def test_a_hint_keeps_to_the_expected_pitch_and_a_wrong_one_finds_nothing() -> None:
    tap = np.concatenate([np.zeros(RATE // 2), bar(185.0)])
    (strike,) = analyse(tap, RATE, around_hz=(190.0,)).strikes
    assert abs(cents(strike.hz, 185.0)) < 0.5
    assert all(math.isnan(one.hz) for one in analyse(tap, RATE, around_hz=(300.0,)).strikes)


def test_clipping_leaves_the_pitch_alone_and_is_told() -> None:
    tap = clipped(np.concatenate([np.zeros(RATE // 2), bar(185.0)]), 12.0)
    heard = analyse(tap, RATE)
    assert heard.clipped
    assert abs(cents(heard.strikes[0].hz, 185.0)) < 0.5
    assert heard.strikes[0].t60_s == pytest.approx(0.8, rel=0.1)
    assert any("clipped" in one for one in heard.strikes[0].doubt)


def test_poor_files_are_heard() -> None:
    tap = np.concatenate([np.zeros(RATE // 2), bar(185.0)])
    for samples, rate in (coarse(tap, RATE), (as_ogg(tap, RATE), RATE)):
        assert abs(cents(analyse(samples, rate).strikes[0].hz, 185.0)) < 0.5


@pytest.mark.parametrize("kind", ["white", "pink", "workshop"])
def test_noise_alone_is_no_strike(kind: str) -> None:
    rng = np.random.default_rng(8)
    noise = with_noise(np.zeros(8 * RATE), RATE, kind=kind, noise_power=1e-3, rng=rng)
    assert len(analyse(noise, RATE).strikes) <= (1 if kind == "workshop" else 0)


def test_clicks_are_no_strikes() -> None:
    samples = 1e-4 * np.random.default_rng(9).standard_normal(4 * RATE)
    for at in (0.5, 1.3, 2.2, 3.1):
        samples[round(at * RATE) : round(at * RATE) + 40] += 0.5
    assert analyse(samples, RATE).strikes == ()


@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(0),
        np.zeros(5),
        np.zeros(RATE),
        np.full(RATE, np.nan),
        np.full(RATE, 0.7),
        np.ones(3),
        np.full(RATE, np.inf),
    ],
)
def test_silence_and_rubbish_hold_no_strike(samples: np.ndarray) -> None:
    for rate in (4000, RATE, 192000):
        assert [one for one in analyse(samples, rate).strikes if math.isfinite(one.hz)] == []
