"""The parts list and the settings say what the box needs, in the maker's own units."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.shop import Keys
from kerftone.shop.box import box_of
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.parts import parts_of, settings_of

from ..drums import REED
from .conftest import reed


def test_a_keyed_box_lists_its_keys_and_their_wood() -> None:
    drum = reed(joint="mitre with keys")
    drum = replace(drum, box=replace(drum.box, keys=Keys(count=2, thickness_mm=3.0, wood="walnut, black")))
    parts = {part.name: part for part in parts_of(drum, box_of(drum))}
    assert (parts["Key"].count, parts["Key"].wood, parts["Key"].size_mm[2]) == (8, "walnut, black", 3.0)
    assert parts["Front and back wall"].short_mm == 368.0


def test_rough_sizes_are_larger_every_way_and_grain_is_said() -> None:
    for part in parts_of(reed(), box_of(reed())):
        assert all(rough > fine for rough, fine in zip(part.rough_mm, part.size_mm, strict=True))
        assert part.grain.startswith("along")


@pytest.mark.parametrize("joint", ["mitre", "mitre with keys", "butt", "finger", "rabbet"])
def test_every_joint_has_its_settings_for_both_pairs_of_walls(joint: str) -> None:
    drum = reed(joint=joint, mount="in ledge", fit="let in", recess=5.0)
    rows = settings_of(drum, box_of(drum), measure_of(drum))
    for pair in ("Front and back", "Left and right"):
        cuts = [row.cut for row in rows if row.part == pair]
        assert sum("rabbet for the" in cut for cut in cuts) == 2 and len(cuts) >= 3


def test_a_rabbet_that_would_show_at_the_corner_is_stopped_and_says_where() -> None:
    drum = reed(joint="butt", mount="in ledge")
    rows = {row.part: row for row in settings_of(drum, box_of(drum), measure_of(drum)) if "rabbet" in row.cut}
    # a 16 mm wall with a 7 mm ledge and 0.5 mm clearance keeps 8.5 mm beside the top; outside 418 mm long
    assert "stopped: from 8.5 mm to 409.5 mm" in rows["Front and back"].settings
    assert "through" in rows["Left and right"].settings


@pytest.mark.outside
@pytest.mark.parametrize("sixty_fourths", [1, 3, 37, 64, 129, 1057])
def test_inches_on_the_mark_are_exact_fractions(sixty_fourths: int) -> None:
    mm = float(Fraction(sixty_fourths, 64) * Fraction(254, 10))  # 25.4 mm exactly, 1959 agreement
    words = Measure(units="in", parts=64)(mm)
    whole, _, rest = words.removesuffix(" in").rpartition(" ")
    assert "(" not in words
    assert Fraction(whole or 0) + Fraction(rest) == Fraction(sixty_fourths, 64)


def test_inches_off_the_mark_show_what_the_fraction_hides() -> None:
    assert Measure(units="in", parts=32)(16.0) == "5/8 in (0.630)"
    assert Measure(units="in", parts=64)(25.4 * 3 / 64) == "3/64 in"
    assert "(" in Measure(units="in", parts=32)(25.4 * 3 / 64)


def test_a_sheet_of_plies_is_not_planed() -> None:
    drum = parse_drum(
        REED.replace(
            'wood = "cherry, black"', 'wood = "birch"\nplies = [[7, "along", "teak"], [7, "across", "teak"]]'
        )
    )
    top = next(part for part in parts_of(drum, box_of(drum)) if part.name == "Top")
    assert (top.wood, top.rough_mm[2]) == ("teak plywood", top.size_mm[2])
    assert top.rough_mm[0] > top.size_mm[0]
    assert top.grain == "along the tongues, of its upper face, 2 plies"
