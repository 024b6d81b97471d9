"""The tables of the shop read, refuse and write back; a file without them is whole."""

from __future__ import annotations

import pytest

from kerftone.drum import drum_text, parse_drum
from kerftone.drum.design import Drum
from kerftone.drum.shop import FootRelief, Stock, Wish
from kerftone.errors import DrumFileError

from .conftest import reference_toml

W1 = reference_toml("W1")

ALL = (
    W1
    + """
[bottom]
wood = "ash, white"
thickness = 9.0
cut = "quartersawn"
fit = "let in"
clearance = 0.75
recess = 6.0
[box.keys]
count = 4
thickness = 2.5
wood = "walnut, black"
[box.foot_relief]
rise = 5.0
inset = 60.0
[box.feet]
kind = "wood"
diameter = 20.0
[finish]
kind = "hard wax"
when = "before glue-up"
coats = 2
[mallets]
count = 3
diameter = 30.0
[pickup]
disc = 20.0
x = 210.0
y = 95.0
wall = "left"
[[stock]]
wood = "Black Cherry"
length = 900.0
width = 220.0
thickness = 20.0
price = 48.5
[[stock]]
wood = "some plum"
length = 900.0
width = 120.0
thickness = 20.0
count = 3
[climate]
home_dry_rh_pct = 25.0
[shop]
saw_kerf = 2.4
paper = "letter"
bits = [25.0, 10.0]
[[order]]
do = "finish"
before = "tune"
"""
)


def test_a_file_that_says_nothing_of_the_shop_has_its_defaults() -> None:
    drum = parse_drum(W1)
    assert (drum.box.joint, drum.box.foot_relief, drum.making.pickup, drum.making.stock) == (
        "mitre",
        None,
        None,
        (),
    )
    assert drum.shop.bits_mm == (10.0, 15.0, 20.0, 25.0, 30.0)


def everything() -> Drum:
    return parse_drum(ALL)


def test_every_table_of_the_shop_is_read() -> None:
    drum = everything()
    assert drum.bottom is not None
    assert drum.bottom.cut == "quartersawn"
    assert (drum.bottom.fit, drum.bottom.clearance_mm, drum.bottom.recess_mm) == ("let in", 0.75, 6.0)
    assert (drum.box.keys.count, drum.box.keys.thickness_mm, drum.box.keys.wood) == (4, 2.5, "walnut, black")
    assert drum.box.foot_relief == FootRelief(shape="arch", rise_mm=5.0, inset_mm=60.0)
    assert (drum.box.feet.kind, drum.box.feet.diameter_mm, drum.box.feet.height_mm) == ("wood", 20.0, 8.0)
    assert (drum.making.finish.when, drum.making.finish.coats) == ("before glue-up", 2)
    assert (drum.making.mallets.count, drum.making.mallets.ball_mm) == (3, 30.0)
    assert drum.making.pickup is not None and drum.making.pickup.wall == "left"
    first, second = drum.making.stock
    assert first == Stock(
        wood="cherry, black", length_mm=900.0, width_mm=220.0, thickness_mm=20.0, price=48.5
    )
    assert (second.wood, second.count) == ("some plum", 3)
    assert drum.making.climate.home_dry_rh_pct == 25.0
    assert (drum.shop.saw_kerf_mm, drum.shop.paper, drum.shop.bits_mm) == (2.4, "letter", (10.0, 25.0))
    assert drum.making.order == (Wish(do="finish", before="tune"),)


@pytest.mark.roundtrip
def test_every_table_of_the_shop_reads_back_to_the_same_drum() -> None:
    assert parse_drum(drum_text(everything())) == everything()


@pytest.mark.refusal
@pytest.mark.parametrize(
    "old, new, words",
    [
        ("count = 4", "count = 4.5", "count in [box.keys] is 4.5. It must be a whole number"),
        ("count = 4", "count = 40", "the nearest that works is 12"),
        ("bits = [25.0, 10.0]", "bits = [25.0, 1000.0]", "bits in [shop] has a bit that is 1000 mm"),
        ("bits = [25.0, 10.0]", "bits = 25.0", "It is a list of 1 to 50 diameters"),
        ("y = 95.0\n", "", "[pickup] has x but no y"),
        ("home_dry_rh_pct = 25.0", "home_dry_rh_pct = 80.0", "cannot be the damper one"),
        ('fit = "let in"', 'fit = "let inn"', 'did you mean "let in"?'),
        ("saw_kerf = 2.4", "sawkerf = 2.4", "the nearest key is saw_kerf"),
        ("rise = 5.0\n", "", "[box.foot_relief] lacks rise"),
    ],
)
def test_a_slip_in_the_shop_is_told_with_its_mend(old: str, new: str, words: str) -> None:
    assert old in ALL
    with pytest.raises(DrumFileError) as caught:
        parse_drum(ALL.replace(old, new, 1), "drum.toml")
    assert words in str(caught.value) and caught.value.line is not None
