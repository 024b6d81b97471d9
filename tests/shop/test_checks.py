"""Each check says good, mind or mend at the right side of its limit, and its mend mends."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Bore, Drum
from kerftone.drum.shop import Feet, Pickup
from kerftone.shop.box import box_of
from kerftone.shop.checks import checks_of, mallet_check, paper_check, pulse_db
from kerftone.shop.measure import Measure
from kerftone.shop.verdict import Check

from .conftest import reed


def check(drum: Drum, name: str) -> Check:
    return next(c for c in checks_of(drum, box_of(drum), Measure()) if c.name == name)


def jack(thread: float) -> Check:
    drum = reed()
    return check(
        replace(drum, making=replace(drum.making, pickup=Pickup(jack_thread_mm=thread))),
        "Jack through the wall",
    )


def test_a_thread_longer_than_the_wall_and_its_nut_passes() -> None:
    assert jack(19.5).verdict == "good" and jack(19.4).verdict == "mind"


def test_a_short_thread_asks_for_the_counterbore_that_makes_it_long_enough() -> None:
    found = jack(9.5)
    # 16 mm wall, 9.5 mm thread, 3.5 mm for nut and washer: 6 mm stay, 10 mm go
    assert (
        found.verdict == "mind"
        and "counterbore 10 mm deep" in found.mend
        and "6 mm of wood stays" in found.mend
    )


def test_a_thread_that_leaves_too_little_wood_is_refused_a_counterbore() -> None:
    assert jack(6.0).verdict == "mend"


def test_bits_that_the_shop_has_not_are_named_with_the_nearest() -> None:
    drum = reed()
    bore = Bore(x_mm=120.0, y_mm=60.0, diameter_mm=18.0, depth_mm=4.0)
    found = check(replace(drum, bores=(bore,)), "Bits for the bores")
    assert found.verdict == "mend" and "get 18 mm" in found.mend and "20 mm" in found.mend
    have = replace(drum, bores=(bore,), shop=replace(drum.shop, bits_mm=(18.0,)))
    assert check(have, "Bits for the bores").verdict == "good"


def test_a_bottom_flat_on_the_bench_is_told() -> None:
    drum = reed()
    assert check(drum, "Bottom clear of the bench").verdict == "good"
    flat = replace(drum, box=replace(drum.box, feet=Feet(kind="none")))
    assert check(flat, "Bottom clear of the bench").verdict == "mind"
    raised = reed(fit="let in", recess=5.0)
    raised = replace(raised, box=replace(raised.box, feet=Feet(kind="none")))
    assert check(raised, "Bottom clear of the bench").verdict == "good"


def test_a_shallow_box_lets_the_tongues_hit_the_bottom() -> None:
    drum = reed()
    shallow = replace(drum, box=replace(drum.box, height_mm=10.0))
    assert check(drum, "Tongues clear at full swing").verdict == "good"
    assert check(shallow, "Tongues clear at full swing").verdict == "mend"


def test_a_narrow_root_strip_is_told_with_the_margin_that_mends_it() -> None:
    drum = reed()
    narrow = replace(drum, slots=replace(drum.slots, end_margin_mm=20.0))
    found = check(narrow, "Weakest root strip")
    assert found.verdict == "mind" and "end_margin 21 mm" in found.mend
    mended = replace(drum, slots=replace(drum.slots, end_margin_mm=21.0))
    assert check(mended, "Weakest root strip").verdict == "good"


@pytest.mark.parametrize("angle, verdict", [(0.0, "good"), (-8.0, "mind"), (20.0, "mend")])
def test_grain_off_the_tongues_is_told(angle: float, verdict: str) -> None:
    drum = reed()
    assert (
        check(replace(drum, top=replace(drum.top, grain_angle_deg=angle)), "Tongues along the grain").verdict
        == verdict
    )


def test_sheets_of_paper_are_said_as_they_are_printed() -> None:
    one, many = paper_check(pages=1, paper="a4"), paper_check(pages=9, paper="letter")
    assert (one.verdict, many.verdict) == ("good", "mind")
    assert "1 sheet of A4" in one.numbers and "9 sheets of Letter" in many.numbers


@pytest.mark.outside
@pytest.mark.parametrize("hz", [50.0, 400.0, 500.0, 900.0])
def test_the_strength_of_a_push_at_a_pitch_is_its_fourier_transform(hz: float) -> None:
    t = np.linspace(0.0, 1e-3, 20001)
    push = np.sin(np.pi * t / 1e-3)
    at = abs(np.trapezoid(push * np.exp(-2j * np.pi * hz * t), t)) / np.trapezoid(push, t)
    assert pulse_db(hz=hz, contact_ms=1.0) == pytest.approx(20.0 * np.log10(at), abs=0.01)


def test_a_soft_mallet_is_too_dull_for_a_high_note() -> None:
    assert mallet_check(ball="hard rubber", contact_ms=1.0, note="A3", hz=220.0).verdict == "good"
    assert mallet_check(ball="soft rubber", contact_ms=3.0, note="C6", hz=1046.5).verdict == "mend"


@pytest.mark.parametrize(
    "mount, radius, verdict, words",
    [
        # a 14 mm top on the walls: six tenths are 8.4
        ("on walls", 8.4, "good", ""),
        ("on walls", 8.5, "mend", "make round_over 8.4 mm or less"),
        # 16 mm walls, 7 of ledge and 0.5 of clearance: 8.5 beside the top, six tenths are 5.1
        ("in ledge", 5.0, "good", ""),
        ("in ledge", 6.0, "mend", "make round_over 5.1 mm or less"),
    ],
)
def test_a_round_over_that_eats_into_a_joint_is_told_with_the_radius_that_does_not(
    mount, radius, verdict, words
) -> None:
    drum = reed(mount=mount, joint="butt")
    found = check(replace(drum, box=replace(drum.box, round_over_mm=radius)), "Round-over")
    assert found.verdict == verdict and words in found.mend
