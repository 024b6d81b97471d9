"""Root bars in the shop: they close as solids, weigh what they weigh, and keep out of the way of all the rest."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.shop import Climate, FootRelief, Pickup, Wish
from kerftone.errors import ShopError
from kerftone.modal.box_solids import box_solids
from kerftone.shop.box import box_of
from kerftone.shop.checks import checks_of
from kerftone.shop.cutlist import cutting_of, weight_g
from kerftone.shop.measure import Measure
from kerftone.shop.movement import moves_of
from kerftone.shop.order import order_of
from kerftone.shop.parts import parts_of, settings_of
from kerftone.shop.verdict import Check

from .conftest import reed
from .test_box import JOINTS, air, assembled, overlap

WIDE, HIGH, INSIDE = 30.0, 45.0, 148.0
"""Of the bars, and the width of the box inside: 180 less two walls of 16, or 180 less two ledges of 7."""


def barred(*, high: float = HIGH, **kind: Any) -> Drum:
    drum = reed(**kind)
    return replace(drum, box=replace(drum.box, root_bar_mm=WIDE, root_bar_height_mm=high))


def picked(drum: Drum, **pickup: Any) -> Drum:
    return replace(drum, making=replace(drum.making, pickup=Pickup(**pickup)))


def check(drum: Drum, name: str) -> Check:
    return next(c for c in checks_of(drum, box_of(drum), Measure()) if c.name == name)


@pytest.mark.outside
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("mount", ["on walls", "in ledge"])
@pytest.mark.parametrize("fit, high", [(None, HIGH), ("under", 90.0), ("let in", 90.0)])
def test_the_parts_close_with_bars_of_any_height(
    joint: str, mount: str, fit: str | None, high: float
) -> None:
    drum = barred(joint=joint, mount=mount, fit=fit, high=high)
    box, parts = assembled(drum)
    bars = [solid for name, solid in parts.items() if name.startswith("root bar")]
    long = {"on walls": 148.0, "in ledge": 166.0}[mount]
    assert [bar.mass for bar in bars] == pytest.approx(2 * [long * WIDE * high])
    assert overlap(parts) == pytest.approx(0.0, abs=1.0)
    wood = sum(part.mass for part in parts.values())
    room = air(drum, box) - 2 * long * WIDE * high
    assert wood + room == pytest.approx(box.length_mm * box.width_mm * box.whole_height_mm, rel=1e-7)
    for bar in bars:  # flush with the face the top is glued to
        low, high_corner = bar.bounding_box
        assert (low.z, high_corner.z) == pytest.approx((-high, 0.0), abs=1e-6)


def test_a_bar_a_tenth_too_long_is_caught_by_the_overlap() -> None:
    box = box_of(barred(joint="butt"))
    left = box.wall("left")
    assert left.root_bar is not None
    longer = replace(left, root_bar=replace(left.root_bar, to_mm=left.root_bar.to_mm + 0.1))
    spoiled = replace(box, walls=tuple(longer if wall is left else wall for wall in box.walls))
    assert overlap(box_solids(spoiled)) > 100.0


def test_two_bars_are_listed_with_their_grain_along_them_and_laid_on_the_boards() -> None:
    drum = barred()
    parts = parts_of(drum, box_of(drum))
    bar = next(part for part in parts if part.name == "Root bar")
    assert (bar.count, bar.wood, bar.size_mm) == (2, drum.box.wood, (INSIDE, HIGH, WIDE))
    assert bar.grain == "along the bar" and "growth rings as in the wall" in bar.note
    assert "glue it up from layers" in bar.note  # 30 mm of bar, 16 of wall
    thin = replace(drum, box=replace(drum.box, root_bar_mm=16.0))
    assert "layers" not in next(p for p in parts_of(thin, box_of(thin)) if p.name == "Root bar").note
    bought = cutting_of(parts, (), kerf_mm=3.0).buy
    (buy,) = [one for one in bought if "Root bar" in one.parts]
    assert buy.parts.count("Root bar") == 2 and buy.thick_mm >= WIDE
    assert not [part for part in parts_of(reed(), box_of(reed())) if part.name == "Root bar"]


def test_the_bars_weigh_with_the_drum_and_leave_the_joints_as_they_were() -> None:
    drum, plain = barred(joint="mitre with keys"), reed(joint="mitre with keys")
    weights = [weight_g(one, box_of(one), top_mm2=1.0) for one in (drum, plain)]
    grams = 2 * INSIDE * HIGH * WIDE * drum.box.elastic.density_kg_m3 * 1e-6
    assert weights[0] - weights[1] == pytest.approx(grams)
    assert settings_of(drum, box_of(drum), Measure()) == settings_of(plain, box_of(plain), Measure())


@pytest.mark.parametrize("mount, face", [("on walls", "the wall's upper edge"), ("in ledge", "the ledge")])
def test_the_bars_are_glued_to_loose_walls_that_are_sanded_and_bored(mount: str, face: str) -> None:
    drum = picked(barred(joint="mitre with keys", mount=mount), wall="left")
    drum = replace(
        drum, making=replace(drum.making, finish=replace(drum.making.finish, when="before glue-up"))
    )
    steps = order_of(drum, box_of(drum))
    names = [step.name for step in steps]
    for first, then in (
        ("sand inside", "glue bars"),
        ("bore pickup", "glue bars"),
        ("glue bars", "dry fit"),
        ("glue bars", "finish loose"),
        ("glue bars", "glue box"),
        ("glue bars", "glue top"),
    ):
        assert names.index(first) < names.index(then), (first, then)
    words = next(step.words for step in steps if step.name == "glue bars")
    assert f"flush with {face}" in words and "30 mm wide and 45 mm high" in words
    assert "root bars" in next(step.words for step in steps if step.name == "glue top")
    assert "glue bars" not in [step.name for step in order_of(reed(), box_of(reed()))]


@pytest.mark.refusal
@pytest.mark.parametrize(
    "do, before, why",
    [
        ("glue top", "glue bars", "no bar can be pressed home"),
        ("glue box", "glue bars", "only while the wall is loose"),
        ("glue bars", "sand inside", "the wall cannot be sanded any more"),
    ],
)
def test_an_order_that_traps_is_refused_with_the_reason(do: str, before: str, why: str) -> None:
    drum = barred()
    wished = replace(drum, making=replace(drum.making, order=(Wish(do=do, before=before),)))
    with pytest.raises(ShopError, match=why):
        order_of(wished, box_of(wished))


def test_the_root_strip_is_measured_from_the_bar() -> None:
    drum = barred()
    # 16 of wall and 30 of bar: 51 leave the 5 mm that are safe, 50 do not
    wide, narrow = (
        check(replace(drum, slots=replace(drum.slots, end_margin_mm=mm)), "Weakest root strip")
        for mm in (51.0, 50.0)
    )
    assert wide.verdict == "good" and wide.numbers.startswith("5 mm")
    assert narrow.verdict == "mind" and "end_margin 51 mm" in narrow.mend


def test_what_the_bars_leave_of_the_inside_is_told_and_the_mend_mends() -> None:
    drum = barred()
    # inside 368 by 90 seen from the front; two bars of 30 by 45
    found = check(drum, "Room between the root bars")
    assert found.verdict == "good" and found.numbers.startswith("308 mm of 368 mm inside; they take 8%")
    fat = replace(drum, box=replace(drum.box, root_bar_mm=60.0, root_bar_height_mm=90.0))
    told = check(fat, "Room between the root bars")
    assert told.verdict == "mind" and "root_bar_height 69 mm or less" in told.mend
    mended = replace(fat, box=replace(fat.box, root_bar_height_mm=69.0))
    assert check(mended, "Room between the root bars").verdict == "good"


def test_a_bar_moves_across_its_grain_by_the_radial_coefficient_and_a_wide_one_in_dry_air_is_told() -> None:
    drum = barred()
    (move,) = [m for m in moves_of(drum, box_of(drum)) if m.part == "Root bar, across"]
    # Wood Handbook Table 13-5: white ash C_R 0.00169
    assert (move.across_mm, move.coefficient, move.verdict) == (30.0, 0.00169, "good")
    dry = replace(
        drum,
        box=replace(drum.box, root_bar_mm=80.0),
        making=replace(drum.making, climate=Climate(shop_rh_pct=70.0, home_dry_rh_pct=20.0)),
    )
    (wide,) = [m for m in moves_of(dry, box_of(dry)) if m.part == "Root bar, across"]
    assert wide.dry_mm < -0.5 and wide.verdict == "mind" and "Make root_bar" in wide.words


@pytest.mark.refusal
@pytest.mark.parametrize(
    "kind, pickup, words",
    [
        # the bar ends 45 mm over the lower edge; a body 30 mm wide: its middle 30 mm up at most
        ({}, {"wall": "left", "jack_up_mm": 40.0}, "meets the root bar. The nearest that works is 30 mm"),
        # beside the bar of the end wall: 16 + 30 + 15 mm from the end
        (
            {},
            {"wall": "back", "jack_along_mm": 40.0, "jack_up_mm": 60.0},
            "the root bar of the wall beside it. The nearest that works is 61 mm: write that as jack_along",
        ),
        (
            {"high": 80.0},
            {"wall": "right"},
            'Inside the right wall 10 mm are free between root bar and bottom.* write wall = "back"',
        ),
    ],
)
def test_a_hole_that_meets_a_bar_is_refused_with_the_nearest_place(
    kind: Any, pickup: Any, words: str
) -> None:
    with pytest.raises(ShopError, match=words):
        box_of(picked(barred(**kind), **pickup))


def test_holes_lie_under_the_bars_or_clear_of_them_and_the_named_place_works() -> None:
    drum = barred()
    under = box_of(picked(drum, wall="back", jack_along_mm=35.0, jack_up_mm=28.0))
    assert under.wall("back").holes[0].u_mm == 35.0  # its body passes under the bar of the left wall
    jack, pot = box_of(picked(drum, wall="left")).wall("left").holes
    assert jack.s_mm == pot.s_mm == 22.5  # in the middle of what the bar leaves
    box_of(picked(drum, wall="back", jack_along_mm=61.0, jack_up_mm=60.0))
    with pytest.raises(ShopError):
        box_of(picked(drum, wall="back", jack_along_mm=60.9, jack_up_mm=60.0))


@pytest.mark.refusal
def test_a_foot_relief_that_bares_the_bars_is_refused_with_the_height_that_works() -> None:
    def relieved(high: float, fit: str | None = None, recess: float = 0.0) -> Drum:
        drum = barred(fit=fit, high=high, recess=recess)
        return replace(drum, box=replace(drum.box, foot_relief=FootRelief(rise_mm=12.0, inset_mm=50.0)))

    with pytest.raises(
        ShopError, match="make root_bar_height 78 mm or less, or make the rise 10 mm"
    ) as caught:
        box_of(relieved(80.0))
    assert caught.value.nearest == 78.0
    box_of(relieved(78.0))
    box_of(relieved(90.0, fit="let in", recess=12.0))  # the bottom lies between
