"""Which tongue a tap was on. The drums here are invented lists of pitches; no solver is asked."""

from __future__ import annotations

import math

import numpy as np
import pytest

from kerftone.ear.heard import Strike
from kerftone.tune.match import Expected, match_one, match_strikes

SCALE = {"D3": 146.8, "F3": 174.6, "G3": 196.0, "A3": 220.0, "C4": 261.6, "D4": 293.7}


def tongues(spread: float = 160.0) -> list[Expected]:
    return [
        Expected(number=n, name=name, hz=hz, plus_minus_cents=spread)
        for n, (name, hz) in enumerate(SCALE.items(), start=1)
    ]


def strike(hz: float) -> Strike:
    return Strike(
        t_s=0.0,
        hz=hz,
        plus_minus_cents=0.2,
        drift_cents=0.0,
        t60_s=1.0,
        loudness_db=-10.0,
        partials=(),
        doubt=(),
    )


def run_of(order: list[int], shift_cents: float, own_cents: float = 0.0, seed: int = 0) -> list[Strike]:
    rng = np.random.default_rng(seed)
    own = own_cents * rng.standard_normal(len(SCALE))
    hz = list(SCALE.values())
    return [strike(hz[n - 1] * 2 ** ((shift_cents + own[n - 1]) / 1200)) for n in order]


@pytest.mark.parametrize("shift", [-250.0, -120.0, 0.0, 90.0, 250.0])
def test_a_whole_run_is_placed_though_the_wood_is_off_by_more_than_a_tone(shift: float) -> None:
    """Nearest pitch alone would fail: 250 cents is more than the step between most tongues."""
    order = [3, 1, 6, 2, 5, 4, 1, 3]
    found = match_strikes(run_of(order, shift), tongues())
    assert [match.tongue for match in found.matches] == order
    assert found.shift_cents == pytest.approx(shift, abs=5.0)


def test_tongues_that_differ_a_little_each_are_still_placed() -> None:
    order = [1, 2, 3, 4, 5, 6]
    right = [
        [match.tongue for match in match_strikes(run_of(order, shift, 12.0, seed), tongues()).matches]
        == order
        for seed in range(10)
        for shift in (-160.0, 0.0, 160.0)
    ]
    assert np.mean(right) >= 0.95


def test_one_tap_of_an_untested_board_is_doubted_and_the_others_named() -> None:
    (match,) = match_strikes(run_of([3], -100.0), tongues()).matches
    assert any("could also be" in words and "F3" in words for words in match.doubt)


def test_one_tap_of_a_known_board_is_not_doubted() -> None:
    (match,) = match_strikes(run_of([3], 5.0), tongues(10.0)).matches
    assert (match.tongue, match.doubt) == (3, ())


def test_two_tongues_near_each_other_are_both_named() -> None:
    twins = [
        Expected(number=1, name="L1 (A3)", hz=220.0, plus_minus_cents=10.0),
        Expected(number=2, name="R1 (A3)", hz=221.0, plus_minus_cents=10.0),
    ]
    (match,) = match_strikes([strike(220.4)], twins).matches
    assert match.tongue in (1, 2)
    assert any("could also be" in words for words in match.doubt)


def test_a_knock_that_fits_no_tongue_is_given_to_none() -> None:
    strikes = [*run_of([1, 2, 3, 4, 5, 6], 60.0), strike(430.0), strike(math.nan)]
    found = match_strikes(strikes, tongues()).matches
    assert [match.tongue for match in found] == [1, 2, 3, 4, 5, 6, None, None]
    assert "fits no tongue" in found[6].doubt[0] and "D4" in found[6].doubt[0]
    assert "no pitch" in found[7].doubt[0]


def test_a_tongue_that_stands_apart_from_the_others_is_doubted() -> None:
    strikes = run_of([1, 2, 3, 4, 5, 6], 40.0)
    strikes[2] = strike(strikes[2].hz * 2 ** (55.0 / 1200))
    found = match_strikes(strikes, tongues()).matches
    assert found[2].tongue == 3 and any("among the others" in words for words in found[2].doubt)
    assert all(not match.doubt for n, match in enumerate(found) if n != 2)


def test_a_named_tongue_takes_every_strike_and_doubts_what_is_far() -> None:
    one = tongues(100.0)[0]
    near, far = match_one([strike(150.0), strike(920.0)], one).matches
    assert (near.tongue, near.doubt) == (1, ())
    assert far.tongue == 1 and "D3" in far.doubt[0]


def test_nothing_heard_and_no_tongues_are_no_trouble() -> None:
    assert match_strikes([], tongues()).matches == ()
    assert match_strikes([strike(220.0)], []).matches[0].tongue is None
