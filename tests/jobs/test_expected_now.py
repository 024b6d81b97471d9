"""Where each tongue should sound before a recording is heard, from the model itself and from what was tapped."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from kerftone.air.answer import in_air
from kerftone.air.notes_in_air import tongues_in_air
from kerftone.air.place import BottomState
from kerftone.bench.facts import BoreMade, Entry, Fact, Start, Tapped
from kerftone.bench.replay import bench_of
from kerftone.drum.design import Bore
from kerftone.drum.file import parse_drum
from kerftone.errors import EntryError
from kerftone.jobs.progress import Progress
from kerftone.jobs.record_fact import Struck
from kerftone.jobs.record_taps import TakeRequest, expected_now
from kerftone.pitch import cents, sharpened
from kerftone.tune.match import Expected

from ..bench.conftest import START
from ..drums import WREN
from ..solving import solve_once

STRUCK = Struck()
FREE = WREN + 'stands = "free"\n[bottom]\nwood = "teak"\nthickness = 6.0\n'
CLOSED = Start(file="drum.toml", text=FREE)

Asked = Callable[..., tuple[Expected, ...]]


@pytest.fixture(scope="module")
def expected(tmp_path_factory: pytest.TempPathFactory) -> Asked:
    """What is expected after these facts; frames are solved once and kept, as they are beside a drum."""
    file = tmp_path_factory.mktemp("wren") / "drum.toml"

    def asked(
        *facts: Fact, start: Start = START, tongue: int | None = None, struck: Struck = STRUCK
    ) -> tuple[Expected, ...]:
        entries = [Entry(number=n, at="", fact=fact) for n, fact in enumerate((start, *facts), start=1)]
        request = TakeRequest(drum=file, recording=file, tongue=tongue, struck=struck)
        return expected_now(bench_of(entries), file, request, Progress())

    return asked


def pitches(text: str, *, bottom: bool = True, bores: tuple[Bore, ...] = ()) -> list[float]:
    """What the two tongues sound by a solve of the whole drum, in air."""
    drum = parse_drum(text)
    drum = replace(drum, bottom=drum.bottom if bottom else None, bores=bores)
    solution = solve_once(drum)
    air = in_air(solution, BottomState.OFF if drum.bottom is None else BottomState.GLUED)
    return [tongue.heard.hz for tongue in tongues_in_air(drum, solution.modes(), air)]


def tap(tongue: int, hz: float, **more: bool) -> Tapped:
    return Tapped(tongue=tongue, hz=hz, **({"bottom_on": False} | more))


def test_before_any_tap_it_is_the_model_s_pitch_and_what_the_wood_leaves_open(expected: Asked) -> None:
    one, two = expected()
    for said, hz in zip((one, two), pitches(WREN), strict=True):
        assert cents(said.hz, hz) == pytest.approx(0.0, abs=1.0)
        assert said.plus_minus_cents > 100.0, "an untested board"
    assert (one.number, two.number) == (1, 2) and "D4" in one.name and "Bb4" in two.name


def test_a_tongue_tapped_is_expected_where_it_was_heard_and_says_most_of_the_other(expected: Asked) -> None:
    before = expected()
    one, two = expected(tap(1, sharpened(before[0].hz, 60.0)))
    assert cents(one.hz, before[0].hz) == pytest.approx(60.0, abs=1.0) and one.plus_minus_cents < 3.0
    assert 30.0 < cents(two.hz, before[1].hz) < 75.0
    assert one.plus_minus_cents < two.plus_minus_cents < 0.6 * before[1].plus_minus_cents


def test_a_bore_made_since_the_tap_moves_what_is_expected_and_makes_it_less_sure(expected: Asked) -> None:
    bore = Bore(x_mm=140.0, y_mm=35.0, diameter_mm=15.0, depth_mm=4.0)
    made = BoreMade(tongue=1, x_mm=bore.x_mm, y_mm=bore.y_mm, bit_mm=15.0, depth_mm=4.0)
    at = pitches(WREN)
    facts = [tap(1, at[0]), tap(2, at[1])]
    (before, _), (after, _) = expected(*facts), expected(*facts, made)
    true = cents(pitches(WREN, bores=(bore,))[0], at[0])
    assert true > 15.0
    assert cents(after.hz, before.hz) == pytest.approx(true, abs=max(2.0, 0.1 * true))
    assert after.plus_minus_cents > before.plus_minus_cents + 0.5


@pytest.mark.slow
def test_with_the_bottom_off_it_is_the_open_box_that_is_expected(expected: Asked) -> None:
    """Each state against a solve of its own: the log aims at the closed drum, and this tap is of the open one."""
    closed, opened = expected(start=CLOSED), expected(start=CLOSED, struck=replace(STRUCK, bottom="off"))
    moved = [cents(off, on) for off, on in zip(pitches(FREE, bottom=False), pitches(FREE), strict=True)]
    assert max(abs(by) for by in moved) > 3.0
    for on, off, by in zip(closed, opened, moved, strict=True):
        assert cents(off.hz, on.hz) == pytest.approx(by, abs=1.0)
    again = expected(tap(1, opened[0].hz), start=CLOSED)
    assert cents(again[0].hz, opened[0].hz) == pytest.approx(0.0, abs=1.5), "as at the tap before"


def test_a_tongue_named_is_the_only_one_expected(expected: Asked) -> None:
    (two,) = expected(tongue=2)
    assert two == expected()[1]


@pytest.mark.refusal
def test_a_tongue_that_is_not_there_is_refused_with_those_that_are(expected: Asked) -> None:
    with pytest.raises(EntryError, match=r"no tongue 3.*1 L1 \(D4\), 2 R1 \(Bb4\)"):
        expected(tongue=3)
