"""A mend that a check offers as a change is made in the drum's file, and the check is then good."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from kerftone.drum import parse_drum
from kerftone.drum.design import Drum
from kerftone.drum.edit import Change, edited
from kerftone.drum.save import stated_mm
from kerftone.jobs.print_papers import ShopLookRequest, look_at_shop
from kerftone.shop.checks import mallet_check
from kerftone.shop.verdict import Check
from kerftone.units import inch_fraction, least_mm, most_mm, written_length

from ..drums import REED

Values = dict[tuple[str | int, ...], Any]
INCHES = {"mm": 1.0, "in": 25.4}
LIP: Values = {("box", "mount"): "on a lip", ("top", "lip"): 12.0, ("top", "lip_thickness"): 8.0}
BARS: Values = {("top", "length"): 590.0, ("slots", "end_margin"): 105.0, ("box", "root_bar"): 80.0}
FAULTS: dict[str, Values] = {
    "Round-over": {("box", "round_over"): 25.0},
    "Bottom clear of the bench": {("box", "feet", "kind"): "none"},
    "Tongues clear at full swing": {("box", "height"): 9.0},
    "Tongues along the grain": {("top", "grain_angle_deg"): 12.0},
    "Lip of the top": LIP | {("top", "lip_thickness"): 2.0},
    "Glue under the lip of the top": LIP | {("top", "lip"): 3.5},
    "Room between the root bars": BARS | {("box", "root_bar_height"): 85.0},
    "Root bar, across": BARS | {("box", "root_bar_height"): 20.0, ("climate", "home_dry_rh_pct"): 15.0},
    "Bottom, in its rabbet": {("bottom", "fit"): "let in", ("bottom", "clearance"): 0.1},
}
"""What is made wrong in the drum, in mm or words, for each check to have something to mend."""


def with_values(text: str, values: Values) -> str:
    drum = parse_drum(text)
    stated = {
        at: v if at[0] == "climate" or not isinstance(v, float) else written_length(v, drum.units)
        for at, v in values.items()
    }
    return edited(text, [Change(at=at, value=value) for at, value in stated.items()])


def found(text: str, name: str) -> Check:
    plan = look_at_shop(ShopLookRequest(drum=parse_drum(text))).plan
    return next(check for check in plan.checks if check.name == name)


@pytest.mark.parametrize("name", FAULTS)
def test_a_mend_mends(name: str) -> None:
    spoilt = with_values(REED, FAULTS[name])
    check = found(spoilt, name)
    assert check.verdict != "good" and check.by is not None
    value = check.by.value if check.by.mm is None else check.by.mm
    assert found(with_values(spoilt, {check.by.at: value}), name).verdict == "good"


def test_feet_that_are_too_low_are_made_higher() -> None:
    spoilt = with_values(REED, {("box", "feet", "height"): 1.0})
    check = found(spoilt, "Bottom clear of the bench")
    assert check.by is not None and check.by.mm == pytest.approx(2.0)


def test_what_no_file_can_state_has_words_alone() -> None:
    check = mallet_check(ball="wood", contact_ms=3.0, note="D5", hz=587.0)
    assert check.verdict != "good" and check.mend and check.by is None
    softer = mallet_check(ball="soft rubber", contact_ms=3.0, note="D5", hz=587.0)
    assert softer.by is not None and softer.by.value == "hard rubber"


def test_a_good_check_has_nothing_to_mend() -> None:
    plan = look_at_shop(ShopLookRequest(drum=parse_drum(REED))).plan
    assert all(check.by is None for check in plan.checks if check.verdict == "good")


@pytest.mark.parametrize("mm", [9.8765, 12.7, 20.0, 3.175, 0.3])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_bound_is_set_on_the_rule_and_kept_as_the_file_will_state_it(mm: float, units: Any) -> None:
    low, high = least_mm(mm, units), most_mm(mm, units)
    step = 0.1 if units == "mm" else 25.4 / 32.0
    assert high <= mm + 1e-5 and low >= mm - 1e-5 and low - high < step + 1e-6
    assert stated_mm(low, units) == pytest.approx(low, abs=1e-9)
    if units == "in" and mm > 3.0:
        assert inch_fraction(low, parts=32) == written_length(low, "in")


def test_inches_are_mended_too() -> None:
    inches = replace(parse_drum(REED), units="in")
    inches = replace(inches, box=replace(inches.box, height_mm=9.0))
    name = "Tongues clear at full swing"

    def looked(drum: Drum) -> Check:
        plan = look_at_shop(ShopLookRequest(drum=drum)).plan
        return next(one for one in plan.checks if one.name == name)

    by = looked(inches).by
    assert by is not None and by.mm is not None
    stated = stated_mm(by.mm, "in")
    assert looked(replace(inches, box=replace(inches.box, height_mm=stated))).verdict == "good"
