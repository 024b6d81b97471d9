"""Tops smaller than the board in hand. Nothing is solved here."""

from __future__ import annotations

from kerftone.drum.design import Drum
from kerftone.drum.knots import Knot
from kerftone.tune.begin import USUAL, Sizes, Wishes, first_drum
from kerftone.tune.cut_top import MOST_TOPS, cut_tops, knot_words

NOTES, SIZES = ("D4", "A4"), USUAL["mm"].sizes[:2]
KNOT = Knot(430.0, 60.0, 8.0)


def make(wishes: Wishes, sizes: Sizes) -> Drum:
    return first_drum("T", NOTES, "cherry, black", wishes=wishes, sizes=sizes)


def test_without_a_board_in_hand_there_is_nothing_to_cut_from() -> None:
    assert cut_tops(make, SIZES, Wishes(knots=(KNOT,)), "mm") == []


def test_a_board_that_is_just_large_enough_is_not_cut() -> None:
    top = first_drum("T", NOTES, "cherry, black").top
    wishes = Wishes(board_mm=(top.length_mm + 4.0, top.width_mm + 4.0, 16.0), knots=(KNOT,))
    assert cut_tops(make, SIZES[:1], wishes, "mm") == []


def test_tops_are_shorter_or_narrower_or_both_and_lie_on_the_board() -> None:
    plans = cut_tops(make, SIZES, Wishes(board_mm=(700.0, 170.0, 16.0), knots=(KNOT,)), "mm")
    sizes = [(plan.drum.top.length_mm, plan.drum.top.width_mm) for plan in plans]
    assert 3 <= len(plans) <= MOST_TOPS and len({plan.drum for plan in plans}) == len(plans)
    assert sizes[0][0] < 700.0 and sizes[0][1] == 170.0, "shorter first: it wastes the least"
    assert any(long < 700.0 and wide < 170.0 for long, wide in sizes)
    assert any(long == 700.0 and wide < 170.0 for long, wide in sizes)
    for plan, (long, wide) in zip(plans, sizes, strict=True):
        assert plan.drum.top.knots_mm == (KNOT,), "as on the board, until it is known where the top is cut"
        assert max(x for x, _ in plan.corners_mm) <= 700.0 - long + 1e-6
        assert max(y for _, y in plan.corners_mm) <= 170.0 - wide + 1e-6


def test_a_knot_is_named_as_it_was_given() -> None:
    words = knot_words((KNOT, Knot(120.0, 45.0, 12.0)), 1, "mm")
    assert words == "knot 2 (12 mm wide, 120 mm from the left end and 45 mm from the front edge)"
