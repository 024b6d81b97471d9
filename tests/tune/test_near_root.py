"""Bores near a root against full solves of the whole drum, and where the factor does nothing."""

from __future__ import annotations

import pytest

from kerftone.drum.design import Bore, Drum
from kerftone.drum.plan_lines import layout
from kerftone.tune.confirm import fully_solved
from kerftone.tune.history import Bored, after
from kerftone.tune.instrument import Instrument
from kerftone.tune.near_root import root_factor


def bore(drum: Drum, number: int, from_root_mm: float, bit_mm: float, depth_mm: float) -> Bore:
    x, y = layout(drum).spot_mm(drum.tongues[number], from_root_mm)
    return Bore(x_mm=x, y_mm=y, diameter_mm=bit_mm, depth_mm=depth_mm)


def test_near_the_tip_a_bore_does_what_the_model_says(reference_drums) -> None:
    drum = reference_drums["W1"][0]
    assert root_factor(drum, 2, bore(drum, 2, 140.0, 20.0, 6.0)) == pytest.approx(1.0, abs=1e-4)


def test_the_factor_grows_with_depth_and_towards_the_root(reference_drums) -> None:
    drum = reference_drums["W1"][0]
    shallow, deep, further = (
        root_factor(drum, 2, bore(drum, 2, *at))
        for at in ((22.0, 20.0, 3.0), (22.0, 20.0, 6.0), (40.0, 20.0, 6.0))
    )
    assert 1.0 < further < shallow < deep < 1.2
    whole, first = bore(drum, 2, 22.0, 20.0, 6.0), bore(drum, 2, 22.0, 20.0, 4.0)
    rest = root_factor(drum, 2, whole, before_mm=4.0)
    assert 4.0 * root_factor(drum, 2, first) + 2.0 * rest == pytest.approx(6.0 * root_factor(drum, 2, whole))


@pytest.mark.slow
def test_a_bore_near_the_root_does_what_two_full_solves_say(bench: Instrument) -> None:
    """Without the factor the frame and tongues are a good deal off here: the check bites."""
    drum = bench.design
    made = Bored(tongue=0, bore=bore(drum, 0, 22.0, 20.0, 6.0))
    full = fully_solved(drum, made)
    said = bench.moved(drum, after(drum, [made]), bottom_on=drum.bottom is not None)[0]
    bare = said / root_factor(drum, 0, made.bore)
    assert full < -10.0 and abs(said - full) < 0.035 * abs(full) < abs(bare - full)
