"""Where a knot lies: in a tongue, at its root, in its saw cut, or well away."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.knot_places import root_strip_mm, tongue_at
from kerftone.drum.knots import Knot

from ..drums import REED

LEFT, FRONT, LONG = 45.0, 32.0, 150.0
"""Reed's first tongue, D4: its root line, its slot's centre line and its length; rows 58 mm, kerf 3 mm."""


@pytest.fixture
def drum() -> Drum:
    return parse_drum(REED)


def test_a_knot_in_a_tongue_spoils_that_tongue(drum: Drum) -> None:
    assert tongue_at(drum, Knot(120.0, 60.0, 8.0)) == 0
    assert tongue_at(drum, Knot(330.0, 60.0, 8.0)) == 1


def test_the_grain_bends_as_far_as_a_radius_round_the_knot(drum: Drum) -> None:
    """A knot of 10 mm beyond the tip: 5 mm of wood and 5 mm of bent grain."""
    tip = LEFT + LONG
    assert tongue_at(drum, Knot(tip + 9.9, 60.0, 10.0)) == 0
    assert tongue_at(drum, Knot(tip + 10.1, 60.0, 10.0)) is None


def test_a_tongue_bends_behind_its_root_line_as_far_as_the_top_is_thick(drum: Drum) -> None:
    assert root_strip_mm(drum) == 14.0
    assert tongue_at(drum, Knot(LEFT - 14.0 - 5.9, 60.0, 6.0)) == 0
    assert tongue_at(drum, Knot(LEFT - 14.0 - 6.1, 60.0, 6.0)) is None


def test_a_root_glued_close_behind_its_line_ends_there(drum: Drum) -> None:
    close = replace(drum, slots=replace(drum.slots, end_margin_mm=22.0))
    assert root_strip_mm(close) == pytest.approx(6.0)


def test_the_saw_does_not_meet_a_small_knot_in_its_cut(drum: Drum) -> None:
    """The cut's far side lies 1.5 mm in front of its centre line, so a knot of 2 mm must begin there."""
    assert tongue_at(drum, Knot(120.0, FRONT - 2.4, 2.0)) == 0
    assert tongue_at(drum, Knot(120.0, FRONT - 2.6, 2.0)) is None


def test_a_knot_in_the_frame_spoils_nothing(drum: Drum) -> None:
    assert tongue_at(drum, Knot(15.0, 90.0, 8.0)) is None
