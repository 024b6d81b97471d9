"""What buzzes: shaken harder than what holds it, with a mend that holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.shop import RUBBER_MPA, Feet, Pickup
from kerftone.shop.buzz import Shakes, buzz_checks
from kerftone.shop.verdict import Check

from .conftest import reed

QUIET = Shakes(corners_mm=(1e-5,) * 4, rim_m_s2=(2.0,) * 4, floor_m_s2=(4.0,) * 4, walls_m_s2=(1.0,) * 4)
LOUD = Shakes(
    corners_mm=(0.002, 0.004, 0.001, 0.02),
    rim_m_s2=(8.0, 30.0, 12.0, 5.0),
    floor_m_s2=(40.0, 5.0, 5.0, 5.0),
    walls_m_s2=(5.0, 5.0, 5.0, 20.0),
)


def checks(drum: Drum, shakes: Shakes) -> dict[str, Check]:
    return {one.name: one for one in buzz_checks(drum, shakes, weight_g=4000.0, bottom_g=500.0)}


def with_pickup(drum: Drum) -> Drum:
    return replace(drum, making=replace(drum.making, pickup=Pickup()))


def on_feet(kind: str) -> Drum:
    drum = reed()
    return replace(drum, box=replace(drum.box, feet=Feet(kind=kind, diameter_mm=15.0, height_mm=8.0)))


def test_a_drum_that_shakes_nothing_hard_is_good_all_over() -> None:
    assert {one.verdict for one in checks(with_pickup(on_feet("rubber")), QUIET).values()} == {"good"}


def test_a_bottom_laid_in_is_thrown_by_more_than_its_weight_and_held_by_twice_what_is_over() -> None:
    found = checks(reed(), LOUD)["Bottom before it is glued"]
    # 0.5 kg shaken by 30 m/s² is 15 N, its weight 4.9: 10.1 N over, twice that to be sure
    assert found.verdict == "mind" and "2.1 kg or more in all" in found.mend, "20.2 N, as a weight"
    assert "3.1 times as hard as its weight holds it" in found.numbers, "30 over 9.81"
    assert "rattles from A4, F4, and" in found.mend, "the hardest first, those that are held left out"
    assert "Bottom before it is glued" not in checks(replace(reed(), bottom=None), LOUD)


def test_hard_feet_chatter_and_the_soft_ones_that_are_told_do_not() -> None:
    wood = checks(on_feet("wood"), LOUD)["Feet on a hard table"]
    assert wood.verdict == "mind" and "C5" in wood.mend
    high = float(wood.mend.split("rubber ")[2].split(" mm high")[0])
    # 9.81 N on each foot; a foot that much squeezed by 0.04 mm gives 245 N/mm at the most
    assert RUBBER_MPA * 176.7 / high <= 245.3
    assert checks(on_feet("rubber"), LOUD)["Feet on a hard table"].verdict == "good"
    assert checks(on_feet("none"), LOUD)["Feet on a hard table"].verdict == "mind"
    felt = checks(on_feet("felt"), LOUD)["Feet on a hard table"]
    assert felt.verdict == "good" and felt.numbers.startswith("feet of felt give")


@pytest.mark.parametrize(
    ("name", "note"), [("Wires in the box", "D4, C5"), ("Nuts of jack and volume control", "C5")]
)
def test_what_the_pickup_brings_is_looked_at_where_it_lies(name: str, note: str) -> None:
    found = checks(with_pickup(reed()), LOUD)[name]
    assert found.verdict == "mind" and f"from {note}:" in found.mend
    assert name not in checks(reed(), LOUD)


def test_wood_on_wood_is_named_with_its_notes_and_the_gap_is_told_against_its_swing() -> None:
    found = checks(reed(), LOUD)["Wood on wood"]
    assert found.verdict == "mind" and "from A4, C5, F4:" in found.mend and "gap" not in found.numbers
    drum = reed()
    box = replace(drum.box, mount="in ledge", glued="ledge", clearance_mm=0.8)
    gap = checks(replace(drum, box=box), LOUD)["Wood on wood"]
    assert "the gap of 0.8 mm round the top is 40 times its swing" in gap.numbers and "felt" in gap.mend


def test_a_nut_s_hold_is_told_as_a_press() -> None:
    found = checks(with_pickup(reed()), LOUD)["Nuts of jack and volume control"]
    # 3 g shaken by 20 m/s² is 0.06 N, its weight 0.03: twice what is over
    assert "pressed on by the weight of 6 g stays" in found.numbers
