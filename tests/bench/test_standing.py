"""Where each tongue stands by its taps: means since the last cut, surer taps weighing more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.bench.facts import Fact, Tapped
from kerftone.bench.standing import Standing, standings
from kerftone.pitch import sharpened

from .test_likely import BB4, D4, bench
from .test_replay import DEEPER, HOLE


def first(*facts: Fact) -> Standing:
    return standings(bench(*facts))[0]


def tap(off: float, plus_minus: float = 1.5, **state: bool) -> Tapped:
    return Tapped(tongue=1, hz=sharpened(D4, off), plus_minus_cents=plus_minus, bottom_on=False, **state)


def test_a_tongue_nobody_heard_is_to_be_tapped() -> None:
    one = first()
    assert (one.remains, one.cents, one.now_hz, one.bores, one.left_under_mm) == ("tap", None, None, 0, 12.0)
    assert one.target_hz == pytest.approx(D4, abs=0.001)


@pytest.mark.parametrize(
    "off, remains", [(-31.0, "raise"), (4.0, "nothing"), (-4.9, "nothing"), (12.0, "lower")]
)
def test_what_remains_follows_from_how_far_off_it_is(off: float, remains: str) -> None:
    one = first(tap(off))
    assert one.remains == remains and one.cents == pytest.approx(off, abs=0.01)


def test_taps_alike_are_averaged_the_surer_weighing_more() -> None:
    one = first(tap(-10.0, 1.0), tap(-16.0, 2.0))
    assert one.cents == pytest.approx((4 * -10.0 + -16.0) / 5, abs=0.01)
    assert one.plus_minus_cents == pytest.approx(0.8**0.5, abs=1e-6) and one.taps == 2


def test_taps_from_before_a_cut_or_in_another_state_are_not_mixed_in() -> None:
    assert first(tap(-60.0), HOLE, tap(-30.0)).cents == pytest.approx(-30.0, abs=0.01)
    assert first(tap(-60.0, top_glued=False), tap(-30.0)).cents == pytest.approx(-30.0, abs=0.01)


def test_taps_on_a_table_are_not_mixed_with_those_in_free_air() -> None:
    one = first(tap(-60.0), replace(tap(-30.0), bottom="table"))
    assert one.cents == pytest.approx(-30.0, abs=0.01) and (one.bottom, one.bottom_on) == ("table", False)
    assert first(tap(-60.0)).bottom == "off"


def test_after_a_bore_it_is_to_be_tapped_again_and_the_wood_left_is_told() -> None:
    one = first(tap(-60.0), HOLE, tap(-30.0), DEEPER)
    assert (one.remains, one.taps, one.bores) == ("tap again", 0, 1)
    assert one.left_under_mm == pytest.approx(7.4) and one.cents == pytest.approx(-30.0, abs=0.01)


def test_a_bore_under_one_tongue_leaves_the_others_as_they_are() -> None:
    other = standings(bench(Tapped(tongue=2, hz=BB4, bottom_on=False), HOLE))[1]
    assert (other.remains, other.bores, other.left_under_mm) == ("nothing", 0, 12.0)


def test_taps_that_do_not_agree_are_to_be_tapped_again_whatever_their_mean() -> None:
    one = first(tap(-19.0), tap(19.0))
    assert (one.remains, one.at_odds) == ("tap again", True) and one.apart_cents == pytest.approx(
        38.0, abs=0.01
    )
    assert first(tap(-12.0), tap(12.0)).remains == "nothing"
    assert not first(tap(-60.0), HOLE, tap(-20.0)).at_odds, "a bore lies between them"
