"""A tap a semitone or more from anything likely is asked about; every honest one is let through."""

from __future__ import annotations

import pytest

from kerftone.bench.facts import BoreMade, Fact, Tapped
from kerftone.bench.likely import check_tap
from kerftone.bench.replay import Bench, bench_of
from kerftone.errors import EntryError
from kerftone.pitch import sharpened

from .test_replay import HOLE, entries

D4, BB4 = 293.665, 466.164  # Hz, from published tables of equal temperament


def bench(*facts: Fact) -> Bench:
    return bench_of(entries(*facts))


def tap(hz: float, tongue: int = 1, *, bottom_on: bool = False) -> Tapped:
    return Tapped(tongue=tongue, hz=hz, bottom_on=bottom_on)


def refused(on: Bench, made: Tapped, *, sure: bool = False) -> str:
    with pytest.raises(EntryError) as caught:
        check_tap(on, made, sure=sure)
    return f"{caught.value} {[str(one) for one in caught.value.remedies]}"


def test_the_first_tap_of_an_untested_board_may_be_far_off() -> None:
    for off in (-380.0, -80.0, 0.0, 350.0):
        check_tap(bench(), tap(sharpened(D4, off)), sure=False)
    assert "be sure" in refused(bench(), tap(sharpened(D4, -700.0)))


def test_another_tongue_lies_about_where_the_first_did() -> None:
    heard = bench(tap(sharpened(D4, -200.0)))
    for off in (-280.0, -100.0, 60.0):
        check_tap(heard, tap(sharpened(BB4, off), 2), sure=False)
    for off in (-320.0, 120.0):
        assert "likely" in refused(heard, tap(sharpened(BB4, off), 2))


def test_a_tongue_left_alone_sounds_as_before() -> None:
    heard = bench(tap(D4 * 0.98))
    check_tap(heard, tap(sharpened(D4 * 0.98, 90.0)), sure=False)
    for off in (-110.0, 110.0):
        said = refused(heard, tap(sharpened(D4 * 0.98, off)))
        assert "be sure" in said and "Check the number and the tongue" in said
        check_tap(heard, tap(sharpened(D4 * 0.98, off)), sure=True)


def test_a_bore_may_bring_it_anywhere_up_to_its_note() -> None:
    bored = bench(tap(sharpened(D4, -150.0)), HOLE)
    for off in (-240.0, -75.0, 90.0):
        check_tap(bored, tap(sharpened(D4, off)), sure=False)
    assert "likely" in refused(bored, tap(sharpened(D4, 110.0)))


@pytest.mark.refusal
def test_the_wrong_tongue_is_guessed() -> None:
    assert "near the note of R1 (Bb4): was it that one?" in refused(bench(), tap(BB4 * 0.99))


@pytest.mark.refusal
@pytest.mark.parametrize("hz", [0.0, -3.0, 1.0, 1e6, float("nan"), float("inf")])
def test_what_is_no_pitch_is_refused_however_sure(hz: float) -> None:
    assert "sound between" in refused(bench(), tap(hz), sure=True)


@pytest.mark.refusal
def test_a_bottom_that_is_not_there_cannot_be_on() -> None:
    assert "without a [bottom]" in refused(bench(), tap(D4, bottom_on=True), sure=True)
    loose = Tapped(tongue=1, hz=D4, bottom_on=False, bottom="loose")
    assert "to be with the bottom loose" in refused(bench(), loose, sure=True)
    check_tap(bench(), Tapped(tongue=1, hz=D4, bottom_on=False, bottom="table"), sure=False)


def test_a_tap_in_another_state_of_the_bottom_has_more_room() -> None:
    heard = tap(D4)
    far = D4 * 2.0 ** (150.0 / 1200.0)
    assert "anything likely" in refused(bench(heard), tap(far))
    check_tap(bench(heard), Tapped(tongue=1, hz=far, bottom_on=False, bottom="table"), sure=False)


@pytest.mark.refusal
def test_a_tongue_that_is_not_there_cannot_sound() -> None:
    assert "no tongue 7" in refused(bench(BoreMade(**vars(HOLE))), tap(D4, 7))


def test_what_the_model_says_of_a_tongue_is_likely_too() -> None:
    """A drum whose lengths are 335 cents off its notes still sounds what it sounds."""
    odd = tap(D4 * 2.0 ** (-550.0 / 1200.0))
    with pytest.raises(EntryError, match="A semitone or more from anything likely"):
        check_tap(bench(), odd, sure=False)
    check_tap(bench(), odd, sure=False, model_hz=D4 * 2.0 ** (-500.0 / 1200.0))
