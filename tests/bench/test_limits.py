"""What cannot have happened is refused with its mend; what is doubtful, until the maker is sure."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from kerftone.bench.facts import BoreMade
from kerftone.bench.limits import Place, bores_under, check_bore, check_change, place_of, spot_mm, tongue_of
from kerftone.drum import Bore, Drum, parse_drum
from kerftone.errors import EntryError
from kerftone.tune.history import Lengthened, Trimmed, Weighted, after

from .conftest import WREN

DRUM = parse_drum(WREN)
"""Two tongues in a row 30 mm high between slot centres at y = 20 and 50: 27 mm wide, roots at x = 26 and 294."""


def bore(tongue: int = 1, root: float = 100.0, edge: float | None = None, **sizes: float) -> BoreMade:
    x, y = spot_mm(DRUM, tongue, Place(from_root_mm=root, from_edge_mm=edge))
    return BoreMade(tongue=tongue, x_mm=x, y_mm=y, **({"bit_mm": 10.0, "depth_mm": 3.0} | sizes))


def refused(made: BoreMade, *, sure: bool = False, drum: Drum = DRUM) -> str:
    with pytest.raises(EntryError) as caught:
        check_bore(drum, made, sure=sure)
    return f"{caught.value} {[str(one) for one in caught.value.remedies]}"


def test_places_are_measured_from_the_root_and_from_the_front_edge() -> None:
    assert spot_mm(DRUM, 1, Place(from_root_mm=100.0)) == (126.0, 35.0)
    assert spot_mm(DRUM, 2, Place(from_root_mm=100.0)) == (194.0, 35.0)
    assert spot_mm(DRUM, 2, Place(from_root_mm=90.0, from_edge_mm=6.0)) == (204.0, 27.5)
    back = place_of(DRUM, 2, Bore(x_mm=204.0, y_mm=27.5, diameter_mm=10.0, depth_mm=1.0))
    assert back == Place(from_root_mm=90.0, from_edge_mm=6.0)


def test_a_sound_bore_is_let_through() -> None:
    """Up to the last tenth of a mm: 7 mm of 12 deep; 4 mm beside a bit 10 mm wide, and half a mm less, for places are
    told and read to a whole one."""
    check_bore(DRUM, bore(), sure=False)
    last = {"depth_mm": (7.0, 7.1), "root": (131.5, 131.6), "edge": (8.5, 8.4)}
    for size, (good, bad) in last.items():
        check_bore(DRUM, bore(**{size: good}), sure=False)
        assert "At least" in refused(bore(**{size: bad})), size
    check_bore(DRUM, bore(tongue=2, root=60.0, bit_mm=15.0, depth_mm=7.0), sure=False)


@pytest.mark.refusal
@pytest.mark.parametrize("number, near", [(0, 1), (3, 2), (-5, 1)])
def test_a_tongue_that_is_not_there_is_told_with_those_that_are(number: int, near: int) -> None:
    with pytest.raises(EntryError, match=r"no tongue .*has 2.*1 L1 \(D4\), 2 R1 \(Bb4\)") as caught:
        tongue_of(DRUM, number)
    assert caught.value.nearest == near


@pytest.mark.refusal
def test_a_bit_the_shop_has_not_is_told_with_the_nearest_unless_sure() -> None:
    told = refused(bore(bit_mm=13.0))
    assert "13 mm wide. The shop has 6 mm, 10 mm, 15 mm: the nearest is 15 mm" in told and "be sure" in told
    check_bore(DRUM, bore(bit_mm=13.0), sure=True)


@pytest.mark.refusal
def test_a_bore_too_deep_is_told_with_the_deepest() -> None:
    told = refused(bore(depth_mm=8.0))
    assert "8 mm deep in a 12 mm top, leaving 4 mm. At least 5 mm must stay: no deeper than 7 mm." in told
    assert "be sure" in told
    check_bore(DRUM, bore(depth_mm=8.0), sure=True)
    through = refused(bore(depth_mm=12.5), sure=True)
    assert "leaving 0 mm. At least 3 mm must stay" in through and "be sure" not in through
    assert "be sure" not in refused(bore(depth_mm=11.0))
    assert "above 0" in refused(bore(depth_mm=0.0), sure=True)


@pytest.mark.refusal
def test_the_measured_depth_counts_over_the_one_meant() -> None:
    assert "8 mm deep" in refused(bore(depth_mm=3.0, measured_mm=8.0))


@pytest.mark.refusal
@pytest.mark.parametrize(
    "made, told",
    [
        (bore(root=150.0), "not under L1 (D4)"),
        (bore(root=180.0), "under R1 (Bb4), not under L1 (D4)"),
        (bore(root=-10.0), "in no tongue"),
        (bore(root=400.0), "off the board"),
        (bore(edge=-3.0), "in no tongue"),
    ],
)
def test_a_bore_that_is_not_under_its_tongue_is_told_where_it_is(made: BoreMade, told: str) -> None:
    for sure in (False, True):
        said = refused(made, sure=sure)
        assert told in said and "140 mm long from its root and 27 mm wide" in said


@pytest.mark.refusal
def test_a_bore_over_a_slot_or_too_near_it_is_told_with_the_nearest_place() -> None:
    over = refused(bore(edge=4.0), sure=True)
    assert "breaks out by 1 mm, towards a slot" in over and "be sure" not in over
    assert "nearest place is 100 mm from the root and 6 mm from the front edge" in over
    near = refused(bore(edge=7.0))
    assert (
        "leaves 2 mm of wood beside it, towards a slot. At least 4 mm must stay" in near and "be sure" in near
    )
    place = re.search(r"is ([\d.]+) mm from the root and ([\d.]+) mm from the front", near)
    assert place is not None
    check_bore(DRUM, bore(root=float(place[1]), edge=float(place[2]) + 0.1), sure=False)
    check_bore(DRUM, bore(edge=7.0), sure=True)


@pytest.mark.refusal
def test_a_bore_at_the_root_is_asked_about_with_the_nearest_place() -> None:
    """Root line at x = 26, a bit of 10 mm: 9 mm from the root leaves 4 mm."""
    at = refused(bore(root=6.0))
    assert "leaves 1 mm of wood to the root line" in at and "be sure" in at
    assert "no nearer than 9 mm from the root" in at
    past = refused(bore(root=3.0))
    assert "reaches 2 mm past the root line" in past and "be sure" in past
    check_bore(DRUM, bore(root=9.0), sure=False)
    check_bore(DRUM, bore(root=6.0), sure=True)


@pytest.mark.refusal
def test_too_thin_a_wall_between_two_bores_is_asked_about() -> None:
    bored = replace(DRUM, bores=(Bore(x_mm=126.0, y_mm=35.0, diameter_mm=10.0, depth_mm=3.0),))
    thin = refused(bore(root=111.0), drum=bored)
    assert "leave 1 mm of wood to the one 10 mm wide" in thin and "2 mm clear" in thin and "be sure" in thin
    check_bore(bored, bore(root=112.0), sure=False)
    check_bore(bored, bore(root=111.0), sure=True)


@pytest.mark.refusal
def test_a_hole_is_only_ever_made_deeper() -> None:
    bored = replace(DRUM, bores=(Bore(x_mm=126.0, y_mm=35.0, diameter_mm=10.0, depth_mm=3.0),))
    for depth in (2.0, 3.0):
        assert "whole depth from the underside" in refused(bore(depth_mm=depth), drum=bored, sure=True)
    check_bore(bored, bore(depth_mm=4.0), sure=False)
    beside = refused(bore(root=106.0), drum=bored)
    assert "break into the one 10 mm wide whose middle is 6 mm away" in beside
    assert bores_under(bored, 1) == bored.bores and bores_under(bored, 2) == ()


@pytest.mark.refusal
@pytest.mark.parametrize(
    "change, told",
    [
        (Trimmed(tongue=0, by_mm=0.0), "Wood comes off, never on"),
        (Trimmed(tongue=0, by_mm=140.0), "Nothing would be left"),
        (Trimmed(tongue=0, by_mm=120.0), "L1 (D4): trimming it by 120 mm cannot be"),
        (Lengthened(tongue=1, by_mm=40.0), "lengthening its slots by 40 mm cannot be"),
        (Weighted(tongue=1, grams=-2.0), "carries 0 g"),
        (Weighted(tongue=1, grams=0.0), "above 0"),
    ],
)
def test_a_change_that_cannot_be_is_told(change: Trimmed | Lengthened | Weighted, told: str) -> None:
    with pytest.raises(EntryError) as caught:
        check_change(DRUM, change)
    assert told in str(caught.value)


@pytest.mark.parametrize(
    "change, most",
    [
        (Trimmed(tongue=0, by_mm=1.0), 110.0),  # of 140 mm, of which 30 must stay to be struck
        (
            Lengthened(tongue=1, by_mm=2.0),
            11.0,
        ),  # of a margin of 26 mm, over a wall of 10 and 5 mm of free wood
    ],
)
def test_small_changes_are_let_through_and_so_are_larger_ones_up_to_a_limit(
    change: Trimmed | Lengthened, most: float
) -> None:
    check_change(DRUM, change)
    check_change(DRUM, replace(change, by_mm=most))
    with pytest.raises(EntryError, match="cannot be"):
        check_change(DRUM, replace(change, by_mm=most + 0.5))


def test_a_weight_is_let_through_and_so_is_taking_it_off_again_but_no_more() -> None:
    fixed = Weighted(tongue=0, grams=3.0)
    check_change(DRUM, fixed)
    heavy = after(DRUM, [fixed])
    check_change(heavy, replace(fixed, grams=-3.0))
    with pytest.raises(EntryError, match="carries 3 g"):
        check_change(heavy, replace(fixed, grams=-3.1))
