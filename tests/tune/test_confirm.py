"""The second opinion by full solves against the frame and tongues."""

from __future__ import annotations

import pytest

from kerftone.drum.design import Bore
from kerftone.pitch import cents
from kerftone.tune.confirm import apart, fully_solved
from kerftone.tune.history import Bored, after
from kerftone.tune.instrument import Instrument


@pytest.mark.slow
def test_two_full_solves_and_the_frame_and_tongues_say_the_same_of_a_bore_near_the_tip(
    bench: Instrument,
) -> None:
    hole = Bore(x_mm=32.0 + 0.8 * 170.0, y_mm=141.0, diameter_mm=20.0, depth_mm=6.0)
    step = Bored(tongue=2, bore=hole)
    quick = cents(bench.notes(after(bench.design, [step]))[2].hz, bench.notes(bench.design)[2].hz)
    full = fully_solved(bench.design, step)
    assert full > 10.0
    assert quick == pytest.approx(full, abs=1.0)
    assert not apart(quick, full)


@pytest.mark.parametrize(
    ("one", "other", "are"), [(22.0, 20.5, False), (25.0, 20.0, True), (95.0, 100.0, False)]
)
def test_two_answers_are_apart_by_two_cents_and_a_tenth(one: float, other: float, are: bool) -> None:
    assert apart(one, other) is are
