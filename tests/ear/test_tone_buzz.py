"""A buzz is told from a clean tone, and a clean tone, noise or a click is not taken for one."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.ear.tone_buzz import buzz_of

from .synthetic import CANTILEVER, FREE_BAR, bar

RATE = 44100
LOUDNESSES = (-20.0, -30.0, -40.0)


def rattle(
    tone: np.ndarray,
    hz: float,
    rng: np.random.Generator,
    *,
    db: float,
    duty: float = 0.12,
    t60_s: float = 0.8,
) -> np.ndarray:
    """INVENTED: noise in each swing's last part, as loud as so many dB under the tone, a little unsteady, dying with
    the tone; it stops where the tone has fallen to a tenth, as a thing that is no longer thrown."""
    t = np.arange(len(tone)) / RATE
    fall = np.exp(-np.log(1000.0) / t60_s * t)
    jitter = 0.03 * np.cumsum(rng.normal(size=len(t))) / RATE**0.5
    hit = ((hz * t + jitter) % 1.0) < duty
    noise = rng.normal(size=len(t)) * hit * fall * (fall > 0.1)
    size = np.sqrt(np.mean(tone[: RATE // 2] ** 2) / np.mean(noise[: RATE // 2] ** 2))
    return np.asarray(10.0 ** (db / 20.0) * size * noise)


def clean(number: int, rng: np.random.Generator) -> tuple[float, np.ndarray]:
    """A struck bar of some kind, alone, in noise, with a click, with inharmonic or tuned partials."""
    hz = float(rng.uniform(110.0, 900.0))
    kinds = (FREE_BAR, CANTILEVER, (1.0, 4.0, 10.0), tuple(np.sort(np.r_[1.0, rng.uniform(2.0, 40.0, 12)])))
    ratios = kinds[number % 4]
    levels = rng.uniform(-40.0, 0.0, len(ratios))
    tone = bar(hz, t60_s=float(rng.uniform(0.3, 2.5)), ratios=ratios, levels_db=levels, rng=rng)
    tone += 10.0 ** (rng.uniform(-100.0, -25.0) / 20.0) * rng.normal(size=len(tone))
    if number % 5 == 0:
        at = int(rng.uniform(0.1, 0.5) * RATE)
        tone[at : at + 40] += 0.3 * rng.normal(size=40)
    return hz, tone


def test_of_four_hundred_clean_tones_at_most_four_seem_to_buzz() -> None:
    rng = np.random.default_rng(11)
    alarms = [buzz_of(tone, RATE, hz) is not None for hz, tone in (clean(n, rng) for n in range(400))]
    assert sum(alarms) <= 4


@pytest.mark.parametrize("db", LOUDNESSES)
def test_a_thing_that_rattles_with_the_tone_is_heard(db: float) -> None:
    rng = np.random.default_rng(12)
    found = []
    for hz in np.geomspace(120.0, 500.0, 20):
        tone = bar(hz, ratios=CANTILEVER, rng=rng)
        sound = tone + rattle(tone, hz, rng, db=db) + 1e-4 * rng.normal(size=len(tone))
        found.append(buzz_of(sound, RATE, hz))
    told = [one for one in found if one is not None]
    assert len(told) >= 19
    assert all(one.bands_hz[0] >= 1800.0 and one.below_db < 0.0 for one in told)
    if db < -20.0:
        assert np.median([one.below_db for one in told]) == pytest.approx(db, abs=8.0)


def test_the_same_noise_without_swings_is_no_buzz() -> None:
    rng = np.random.default_rng(13)
    hz = 220.0
    tone = bar(hz, ratios=CANTILEVER, rng=rng)
    assert buzz_of(tone + rattle(tone, hz, rng, db=-30.0, duty=1.0), RATE, hz) is None
    assert buzz_of(tone + rattle(tone, 1.37 * hz, rng, db=-30.0), RATE, hz) is None, "locked to another tone"


def test_what_is_too_short_to_tell_is_not_told() -> None:
    rng = np.random.default_rng(14)
    tone = bar(200.0, rng=rng)
    buzzing = tone + rattle(tone, 200.0, rng, db=-20.0)
    assert buzz_of(buzzing, RATE, 200.0) is not None
    assert buzz_of(buzzing[: round(0.2 * RATE)], RATE, 200.0) is None
    assert buzz_of(np.zeros(RATE), RATE, 200.0) is None
