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


def test_clicks_while_a_tongue_rings_are_no_strikes() -> None:
    rng = np.random.default_rng(11)
    samples, at = drumming()
    for when in (0.58, 0.9, 1.2, 1.79, 2.4, 2.55, 3.0, 3.6, 4.2, 4.24):
        first = round(when * RATE)
        samples[first : first + 80] += 0.4 * rng.standard_normal(80)
    heard = analyse(samples, RATE)
    assert [one.t_s for one in heard.strikes] == pytest.approx(at, abs=0.01)
    # It bites: a soft tap in the place of a click is a strike.
    samples[round(2.4 * RATE) :][: RATE // 2] += 0.2 * bar(310.0, seconds=0.5)
    assert len(analyse(samples, RATE).strikes) == len(at) + 1


def test_a_click_just_before_a_tap_does_not_take_its_place() -> None:
    rng = np.random.default_rng(12)
    samples = 0.02 * rng.standard_normal(3 * RATE)
    samples[round(0.945 * RATE) :][:80] += rng.standard_normal(80)
    samples[RATE : RATE + round(1.5 * RATE)] += bar(300.0, t60_s=2.0)
    heard = [one for one in analyse(samples, RATE).strikes if abs(cents(one.hz, 300.0)) < 1.0]
    assert [one.t_s for one in heard] == pytest.approx([1.0], abs=0.03)


@pytest.mark.parametrize("hz", [147.0, 311.0, 640.0])
def test_the_same_note_struck_again_softly_is_two_strikes(hz: float) -> None:
    rng = np.random.default_rng(13)
    samples = 3e-4 * rng.standard_normal(2 * RATE)
    for when, level in ((0.5, 1.0), (0.8, 0.25)):
        tap = level * bar(hz, t60_s=0.8, rng=rng)
        first = round(when * RATE)
        samples[first : first + len(tap)] += tap[: len(samples) - first]
    assert [one.t_s for one in analyse(samples, RATE).strikes] == pytest.approx([0.5, 0.8], abs=0.01)


def test_a_mallet_that_bounces_strikes_twice_on_the_same_pitch() -> None:
    rng = np.random.default_rng(14)
    samples = 2e-4 * rng.standard_normal(2 * RATE)
    for when, level in ((0.5, 1.0), (0.59, 0.4)):
        tap = level * bar(152.0, t60_s=0.85, rng=rng)
        first = round(when * RATE)
        samples[first : first + len(tap)] += tap[: len(samples) - first]
    strikes = analyse(samples, RATE).strikes
    assert [one.t_s for one in strikes] == pytest.approx([0.5, 0.59], abs=0.01)
    assert all(abs(cents(one.hz, 152.0)) < 3.0 for one in strikes)


def test_a_low_tongue_is_heard_beside_a_neighbour_that_still_rings() -> None:
    rng = np.random.default_rng(15)
    samples = 2e-4 * rng.standard_normal(3 * RATE)
    for when, hz in ((0.5, 79.8), (0.85, 100.1), (1.2, 120.3)):
        tap = bar(hz, t60_s=0.9, rng=rng)
        first = round(when * RATE)
        samples[first : first + len(tap)] += tap[: len(samples) - first]
    strikes = analyse(samples, RATE).strikes
    assert [one.hz for one in strikes] == pytest.approx([79.8, 100.1, 120.3], rel=3e-3)


def test_knocks_and_rustle_are_no_strikes() -> None:
    rng = np.random.default_rng(16)
    samples = 2e-4 * rng.standard_normal(6 * RATE)
    count = round(0.06 * RATE)
    for when in (0.7, 1.6, 2.2, 3.1, 4.0, 4.9):
        first = round(when * RATE)
        burst = rng.standard_normal(count) * np.exp(-np.arange(count) / (0.015 * RATE))
        samples[first : first + count] += 0.03 * burst
    assert analyse(samples, RATE).strikes == ()


def test_hum_at_the_very_beginning_is_no_strike() -> None:
    rng = np.random.default_rng(17)
    t = np.arange(8 * RATE) / RATE
    hum = sum(0.02 / k * np.sin(2 * np.pi * 50.0 * k * t + k) for k in range(1, 9))
    samples = hum + with_noise(np.zeros(len(t)), RATE, kind="pink", noise_power=2e-5, rng=rng)
    assert analyse(samples, RATE).strikes == ()


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


def test_a_tone_damped_by_hand_in_noise_keeps_the_decay_it_had() -> None:
    rng = np.random.default_rng(18)
    samples = 0.02 * rng.standard_normal(3 * RATE)
    tap = bar(440.0, t60_s=3.0, ratios=(1.0,), levels_db=(0.0,), seconds=0.9)
    samples[RATE // 2 : RATE // 2 + len(tap)] += tap
    (strike,) = analyse(samples, RATE).strikes
    assert strike.t60_s == pytest.approx(3.0, rel=0.15)
