"""What the page is told of a drum: knots, slots that bow, and a list of bows that does not fit the rows."""

from __future__ import annotations

from dataclasses import replace

from kerftone.app.drum_view import drum_view, problems_of
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.knots import Knot

from ..drums import WREN


def bowed(*bows: float) -> Drum:
    drum = parse_drum(WREN)
    return replace(drum, slots=replace(drum.slots, bow_mm=bows))


def test_the_page_hears_how_far_each_slot_bows() -> None:
    assert drum_view(bowed(3.0, -2.0))["lines"]["bows_mm"] == (3.0, -2.0)
    assert drum_view(parse_drum(WREN))["lines"]["bows_mm"] == ()


def test_bows_that_do_not_fit_the_rows_are_a_problem_at_their_key_and_no_plan_is_drawn() -> None:
    drum = bowed(3.0, -2.0, 1.0)
    assert drum_view(drum)["lines"] is None
    (problem,) = problems_of(drum)
    assert problem["at"] == ["slots", "bow"]


def test_the_page_hears_of_the_board_s_knots() -> None:
    drum = parse_drum(WREN)
    knotty = replace(drum, top=replace(drum.top, knots_mm=(Knot(30.0, 12.0, 8.0),)))
    assert drum_view(knotty)["top"]["knots_mm"] == [[30.0, 12.0, 8.0]]
    assert drum_view(drum)["top"]["knots_mm"] == []
