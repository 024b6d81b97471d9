"""Real struck bars of wood and metal, against truths established without Kerftone."""

from __future__ import annotations

import numpy as np
import pytest
from disturbed import faded, tap_power, with_noise
from soundfont import BANK, Bank, Truth, truths

from kerftone.ear.heard import Strike
from kerftone.ear.listen import analyse
from kerftone.pitch import cents

pytestmark = [pytest.mark.outside, pytest.mark.needs(str(BANK))]

LEAD_S = 0.4


@pytest.fixture(scope="module")
def bank() -> Bank:
    return Bank()


def heard(bank: Bank, truth: Truth, *, noise: str | None = None, snr_db: float = 0.0, hint: bool) -> Strike:
    tap, rate = bank.sample(truth.bank_name)
    samples = np.concatenate([np.zeros(round(LEAD_S * rate)), faded(tap, rate), np.zeros(rate // 2)])
    if noise:
        power = tap_power(tap, rate) * 10.0 ** (-snr_db / 10.0)
        rng = np.random.default_rng(len(truth.name))
        samples = with_noise(samples, rate, kind=noise, noise_power=power, rng=rng)
    strikes = analyse(samples, rate, around_hz=(truth.hz * 1.03,) if hint else ()).strikes
    assert strikes, f"{truth.name} was not heard"
    return min(strikes, key=lambda one: abs(one.t_s - LEAD_S))


def off_cents(bank: Bank, listed: list[Truth], **how: object) -> np.ndarray:
    return np.array([abs(cents(heard(bank, one, **how).hz, one.hz)) for one in listed])  # type: ignore[arg-type]


def test_clean_bars_are_read_within_half_a_cent_and_none_grossly_wrong(bank: Bank) -> None:
    off = off_cents(bank, truths(tier="A"), hint=False)
    assert np.median(off) <= 0.5
    assert np.percentile(off, 95) <= 3.0
    assert off.max() < 50.0


def test_the_truth_bites_when_it_is_spoiled(bank: Bank) -> None:
    truth = truths(tier="A")[0]
    strike = heard(bank, truth, hint=False)
    assert abs(cents(strike.hz, truth.hz)) < 0.5 < abs(cents(strike.hz, truth.hz * 2.0 ** (1.0 / 1200.0)))


@pytest.mark.parametrize("noise", ["white", "pink", "workshop"])
def test_bars_in_noise_as_loud_as_themselves_are_read_with_a_hint(bank: Bank, noise: str) -> None:
    off = off_cents(bank, truths(tier="A"), noise=noise, snr_db=0.0, hint=True)
    assert np.median(off) <= 0.5
    assert np.percentile(off, 95) <= 3.0
    assert np.mean(off > 50.0) <= 0.05  # one bar's fundamental lies 15 dB under its partials, and drowns


def test_the_stated_spread_is_honest_and_the_decay_is_right(bank: Bank) -> None:
    listed = truths(tier="A")
    strikes = [heard(bank, one, hint=True) for one in listed]
    inside = [
        abs(cents(strike.hz, one.hz)) <= 2.0 * strike.plus_minus_cents
        for strike, one in zip(strikes, listed, strict=True)
    ]
    assert np.mean(inside) >= 0.9
    # Not by claiming little: half of the spreads are under a quarter of a cent.
    assert np.median([one.plus_minus_cents for one in strikes]) < 0.25
    decay = [
        abs(strike.t60_s / one.t60_s - 1.0) for strike, one in zip(strikes, listed, strict=True) if one.t60_ok
    ]
    assert np.nanmedian(decay) <= 0.1


def test_bars_that_glide_are_still_read_within_their_own_unrest(bank: Bank) -> None:
    listed = truths(tier="B")
    assert off_cents(bank, listed, hint=False).max() < 12.0


def test_no_clean_bar_seems_to_buzz(bank: Bank) -> None:
    """A false alarm in a hundred at most: of these, none; nor where they drown in a workshop's noise."""
    clean = [heard(bank, truth, hint=False) for truth in truths()]
    noisy = [heard(bank, truth, noise="workshop", snr_db=10.0, hint=True) for truth in truths(tier="A")]
    alarms = [one for one in (*clean, *noisy) if one.buzz is not None]
    assert len(clean) + len(noisy) > 60
    assert len(alarms) <= 0.01 * (len(clean) + len(noisy))
