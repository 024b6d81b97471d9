"""Taps of one tongue together."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.ear.heard import Strike
from kerftone.ear.repeats import same_pitch, together


def strike(hz: float, plus_minus_cents: float = 0.1, t60_s: float = 1.0) -> Strike:
    return Strike(
        t_s=0.0,
        hz=hz,
        plus_minus_cents=plus_minus_cents,
        drift_cents=0.0,
        t60_s=t60_s,
        loudness_db=-10.0,
        partials=(),
        doubt=(),
    )


def test_taps_of_like_pitch_are_one_group_whatever_their_order() -> None:
    strikes = [strike(hz) for hz in (220.0, 330.0, 220.5, math.nan, 329.5, 219.8)]
    assert same_pitch(strikes) == ((0, 2, 5), (1, 4))


def test_one_slip_does_not_move_the_median() -> None:
    steady = [strike(220.0 + d) for d in (-0.02, -0.01, 0.0, 0.01, 0.02)]
    slipped = [*steady[:-1], strike(222.0)]
    assert together(slipped).hz == pytest.approx(together(steady).hz, rel=1e-9)
    assert together(slipped).taps == 5


def test_the_spread_of_the_median_covers_the_truth_as_it_says() -> None:
    """Drawn taps with a scatter of 2 cents: within twice the ± nine times in ten or more."""
    rng = np.random.default_rng(5)
    for n in (3, 5, 9):
        runs = [
            together([strike(220.0 * 2 ** (2.0 * c / 1200)) for c in rng.standard_normal(n)])
            for _ in range(400)
        ]
        off = np.array([1200 * math.log2(one.hz / 220.0) for one in runs])
        stated = np.array([one.plus_minus_cents for one in runs])
        covered = float(np.mean(abs(off) <= 2 * stated))
        assert 0.86 <= covered <= 0.999, (n, covered)
        assert np.median(stated) < 2.0, "several taps say more than one"


def test_a_decay_nobody_could_read_is_left_out() -> None:
    assert together([strike(220.0, t60_s=math.nan), strike(220.0, t60_s=1.2)]).t60_s == 1.2
    assert math.isnan(together([strike(220.0, t60_s=math.nan)]).t60_s)
