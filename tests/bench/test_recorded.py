"""A recording of taps becomes one pitch per tongue, and what is doubtful is asked about.

The recordings are made here, of tones of known pitch (tests/ear/recordings.py); the drum is an invented list of
pitches.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from kerftone.bench.recorded import check_sure, hear_taps, left_out, placed
from kerftone.ear.heard import Strike
from kerftone.errors import EntryError, RecordingError
from kerftone.pitch import cents
from kerftone.tune.match import Expected

from ..ear.recordings import taps, written

SCALE = {"D3": 146.8, "F3": 174.6, "G3": 196.0, "A3": 220.0, "C4": 261.6, "D4": 293.7}


def tongues(spread_cents: float = 40.0) -> list[Expected]:
    return [
        Expected(number=n, name=f"tongue {n} ({name})", hz=hz, plus_minus_cents=spread_cents)
        for n, (name, hz) in enumerate(SCALE.items(), start=1)
    ]


def strike(hz: float, *, doubt: tuple[str, ...] = (), t_s: float = 0.0) -> Strike:
    return Strike(
        t_s=t_s,
        hz=hz,
        plus_minus_cents=0.3,
        drift_cents=0.0,
        t60_s=0.9,
        loudness_db=-10.0,
        partials=(),
        doubt=doubt,
    )


def flat(number: int, by_cents: float) -> float:
    return list(SCALE.values())[number - 1] * 2.0 ** (-by_cents / 1200.0)


def test_a_run_over_all_tongues_gives_each_its_own_pitch(tmp_path: Path) -> None:
    """Tapped out of order, all about 60 cents flat, tongue 3 twice."""
    order = [(3, 62.0), (1, 55.0), (6, 60.0), (2, 65.0), (5, 58.0), (4, 61.0), (3, 62.0)]
    sound = taps([(flat(n, by), 0.5 + 1.2 * k) for k, (n, by) in enumerate(order)], seconds=10.0)
    heard = hear_taps(written(tmp_path / "run.wav", sound), tongues())
    assert [one.tongue for one in heard.tongues] == [1, 2, 3, 4, 5, 6]
    told = dict(order)
    for one in heard.tongues:
        assert cents(one.hz, flat(one.tongue, told[one.tongue])) == pytest.approx(0.0, abs=1.0)
        assert 0.0 < one.plus_minus_cents < 3.0
    assert [one.taps for one in heard.tongues] == [1, 1, 2, 1, 1, 1]
    assert check_sure(tmp_path / "run.wav", heard, sure=False) == heard.tongues


def test_taps_of_one_named_tongue_are_taken_together(tmp_path: Path) -> None:
    sound = taps([(flat(3, 31.0), at) for at in (0.5, 1.7, 2.9)], seconds=4.5)
    (one,) = hear_taps(written(tmp_path / "three.flac", sound), [tongues()[2]]).tongues
    assert (one.tongue, one.taps, one.doubt) == (3, 3, ())
    assert cents(one.hz, SCALE["G3"]) == pytest.approx(-31.0, abs=1.0)


@pytest.mark.refusal
def test_a_recording_without_a_strike_is_told_with_the_mend(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match=r"no strike is heard in its 2\.0 s.*closer to the drum"):
        hear_taps(written(tmp_path / "hiss.wav", taps([], seconds=2.0, noise=1e-2)), tongues())


def test_a_strike_that_fits_no_tongue_is_left_out_and_asked_about_and_the_rest_is_kept() -> None:
    run = [strike(flat(n, 5.0)) for n in range(1, 7)] + [strike(1500.0, t_s=8.3)]
    heard = placed(run, tongues(10.0))
    kept = check_sure(Path("run.wav"), heard, sure=False)
    assert [one.tongue for one in kept] == [1, 2, 3, 4, 5, 6]
    (asked,) = left_out(heard, kept)
    assert asked.startswith("The strike at 8.3 s at 1500.0 Hz")


def test_ten_good_taps_of_a_named_tongue_are_kept_beside_one_that_is_not() -> None:
    """The odd one is told with its time and how far it lies from the others."""
    run = [strike(flat(3, 0.3 * k)) for k in range(10)] + [strike(flat(3, 60.0), t_s=12.5)]
    heard = placed(run, [tongues(40.0)[2]])
    (one,) = check_sure(Path("one.wav"), heard, sure=False)
    assert one.taps == 10 and cents(one.hz, SCALE["G3"]) == pytest.approx(-1.35, abs=0.1)
    (asked,) = left_out(heard, (one,))
    assert "at 12.5 s" in asked and "-59 cents from the other 10" in asked


def test_a_tongue_in_doubt_is_asked_about_and_the_others_are_kept() -> None:
    run = [strike(flat(1, 5.0)), strike(flat(2, 5.0), doubt=("It is too short.",)), strike(flat(6, 5.0))]
    heard = placed(run, tongues(10.0))
    kept = check_sure(Path("run.wav"), heard, sure=False)
    assert [one.tongue for one in kept] == [1, 6]
    assert "It is too short." in left_out(heard, kept)[0]
    assert [one.tongue for one in check_sure(Path("run.wav"), heard, sure=True)] == [1, 2, 6]


@pytest.mark.refusal
def test_a_run_in_which_nothing_fits_is_refused_even_when_sure() -> None:
    heard = placed([strike(1500.0), strike(math.nan)], tongues(10.0))
    with pytest.raises(EntryError, match=r"2 strikes are heard and none fits.*no pitch"):
        check_sure(Path("run.wav"), heard, sure=True)


@pytest.mark.refusal
def test_a_pitch_far_from_the_named_tongue_is_doubted() -> None:
    """A fourth above: another tongue was tapped."""
    heard = placed([strike(SCALE["C4"])], [tongues(10.0)[2]])
    with pytest.raises(EntryError, match="cents from where the model puts tongue 3"):
        check_sure(Path("one.wav"), heard, sure=False)
    assert check_sure(Path("one.wav"), heard, sure=True)[0].hz == pytest.approx(SCALE["C4"])


@pytest.mark.refusal
def test_taps_of_a_named_tongue_that_differ_are_doubted() -> None:
    run = [strike(flat(3, by)) for by in (0.0, 1.0, 60.0)]
    with pytest.raises(EntryError, match="3 taps of one tongue lie 60 cents apart"):
        check_sure(Path("one.wav"), placed(run, [tongues(40.0)[2]]), sure=False)


@pytest.mark.refusal
def test_two_taps_that_differ_are_not_averaged_and_the_tongue_to_tap_again_is_named() -> None:
    run = [strike(flat(3, by), t_s=at) for by, at in ((0.0, 0.5), (38.0, 1.7))]
    says = "tongue 3 .*: 2 taps of one tongue lie 38 cents apart, from 191.7 Hz at 1.7 s .* Tap tongue 3 .* again"
    with pytest.raises(EntryError, match=says):
        check_sure(Path("one.wav"), placed(run, [tongues(40.0)[2]]), sure=False)
    near = [strike(flat(3, by)) for by in (0.0, 24.0)]
    assert check_sure(Path("one.wav"), placed(near, [tongues(40.0)[2]]), sure=False)[0].taps == 2


def test_a_strike_the_ear_doubts_does_not_count_beside_clean_ones() -> None:
    run = [strike(flat(3, 2.0)), strike(flat(3, 12.0), doubt=("It is too short.",)), strike(flat(3, 2.0))]
    (one,) = placed(run, [tongues()[2]]).tongues
    assert (one.taps, one.doubt) == (2, ())
    assert cents(one.hz, SCALE["G3"]) == pytest.approx(-2.0, abs=0.01)


@pytest.mark.refusal
def test_a_strike_the_ear_doubts_is_asked_about_when_it_is_the_only_one() -> None:
    heard = placed([strike(flat(3, 2.0), doubt=("It is too short.",))], [tongues()[2]])
    with pytest.raises(EntryError, match="It is too short"):
        check_sure(Path("one.wav"), heard, sure=False)
