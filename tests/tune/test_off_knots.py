"""Arrangements off knots, and places of a top on its board. Nothing is solved here."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.file import parse_drum
from kerftone.drum.knot_places import tongue_at
from kerftone.drum.knots import Knot
from kerftone.modal.search import Place
from kerftone.tune.before_search import placed_drum
from kerftone.tune.off_knots import MOST_CORNERS, KnotField, corners_on, cut_at, knot_field

from ..drums import REED

PLACES: tuple[Place, ...] = ((1, "left"), (1, "right"), (2, "left"), (2, "right"))
LENGTHS = (150.0, 110.0, 130.0, 95.0)
"""Of 310 mm from root line to root line (x from 45 to 355; rows y from 32 to 90 and on to 148)."""


def with_knots(*knots: tuple[float, float, float], free: bool = True) -> Drum:
    drum = parse_drum(REED)
    tongues = tuple(Tongue(note=tongue.note) for tongue in drum.tongues) if free else drum.tongues
    top = replace(drum.top, knots_mm=tuple(Knot(*knot) for knot in knots))
    return replace(drum, tongues=tongues, top=top)


def field(*knots: tuple[float, float, float], free: bool = True) -> KnotField:
    made = knot_field(with_knots(*knots, free=free))
    assert made is not None
    return made


def test_a_board_without_knots_has_none_to_keep_off() -> None:
    assert knot_field(with_knots()) is None


def test_a_knot_in_what_is_sawn_out_between_two_tips_changes_nothing() -> None:
    laid = field((215.0, 61.0, 6.0)).laid(PLACES, LENGTHS)
    assert laid.places == PLACES and laid.spoilt == ()


def test_a_knot_in_a_tongue_turns_the_drum_so_that_it_lies_between_tips() -> None:
    """At x = 185 it lies in L1, that ends at 195; turned end for end R1's 110 mm end at 155 there."""
    laid = field((175.0, 61.0, 6.0)).laid(PLACES, LENGTHS)
    assert laid.spoilt == () and laid.places != PLACES
    made = with_knots((175.0, 61.0, 6.0))
    sawn = placed_drum(made, laid.places).with_lengths(LENGTHS)
    assert tongue_at(sawn, sawn.top.knots_mm[0]) is None


def test_places_that_are_the_makers_are_not_turned() -> None:
    laid = field((175.0, 61.0, 6.0), free=False).laid(PLACES, LENGTHS)
    assert laid.places == PLACES and laid.spoilt == (0,)


def test_what_is_far_enough_here_passes_the_check_of_the_drawing() -> None:
    """Knots all over the board, each by itself."""
    drum = parse_drum(REED)
    for x, y in itertools.product(np.arange(10.0, 400.0, 17.0), np.arange(5.0, 180.0, 11.0)):
        knot = (float(x), float(y), 7.0)
        clear = not field(knot, free=False).laid(PLACES, LENGTHS).spoilt
        assert not clear or tongue_at(drum, Knot(*knot)) is None, knot


def test_the_knot_that_lies_in_a_tongue_is_named_with_it() -> None:
    one = field((15.0, 90.0, 8.0), (330.0, 120.0, 8.0), free=False)
    laid = one.laid(PLACES, LENGTHS)
    assert laid.spoilt == (1,) and one.tongue(PLACES, LENGTHS, 1) == 3


def test_arrangements_are_counted_as_each_is_laid_by_itself() -> None:
    one = field((175.0, 61.0, 6.0), (230.0, 119.0, 6.0))
    lengths = np.array([[150.0, 110.0, 130.0, 95.0]] * 4)
    every = np.array(list(itertools.permutations(range(4))))
    counted = one.counted(PLACES, lengths, every)
    # Two knots here never spoil one tongue, so tongues and knots are as many.
    each = [len(one.laid([PLACES[k] for k in chosen], LENGTHS).spoilt) for chosen in every]
    assert counted.tolist() == each and 0 in each and max(each) > 0


def test_a_top_is_moved_on_its_board_no_further_than_it_must_be() -> None:
    """A knot at the root of L1, 120 mm of board to spare: 14 mm of root, 8 mm of knot and grain, 2 mm to spare."""
    drum = with_knots((40.0, 61.0, 8.0), free=False)
    corners = corners_on((520.0, 180.0), (400.0, 180.0), 1.0)
    made = knot_field(drum, corners)
    assert made is not None
    laid = made.laid(PLACES, LENGTHS)
    assert laid.spoilt == () and laid.corner_mm == (19.0, 0.0), (
        "from 40 to 45 - 14 - 8 - 2 = 21 mm of the top"
    )
    cut = cut_at(drum, laid.corner_mm)
    assert cut.top.knots_mm == (Knot(21.0, 61.0, 8.0),)
    assert cut_at(drum, (41.0, 0.0)).top.knots_mm == (), "it is not on the top any more"


@pytest.mark.parametrize("step", [1.0, 25.4 / 16.0])
def test_corners_leave_the_top_on_the_board_and_begin_at_the_boards_own(step: float) -> None:
    corners = corners_on((900.0, 300.0), (400.0, 180.0), step)
    assert corners[0] == (0.0, 0.0) and len(corners) <= MOST_CORNERS
    assert max(x for x, _ in corners) <= 500.0 + 1e-6 and max(y for _, y in corners) <= 120.0 + 1e-6
    assert max(x for x, _ in corners) > 480.0 and max(y for _, y in corners) > 100.0
