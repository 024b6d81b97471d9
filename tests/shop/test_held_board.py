"""A frame that holds a shrinking board gives a little, by the laws of springs and beams."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.shop.held_board import give_of

from .conftest import reed


def test_a_frame_like_rock_gives_nothing_and_one_like_cloth_all() -> None:
    drum = reed()
    for factor, low, high in ((1e6, 0.0, 1e-5), (1.0, 0.01, 0.4), (1e-6, 0.9999, 1.0)):
        stiff = replace(drum.box.elastic, e_l_gpa=factor * drum.box.elastic.e_l_gpa)
        give = give_of(replace(drum, box=replace(drum.box, elastic=stiff)), bottom=False)
        assert low <= give <= high


@pytest.mark.outside
def test_a_wall_pulled_at_its_edge_is_four_times_as_soft_as_one_pulled_in_its_middle() -> None:
    """A rectangle pulled at its edge: 1/A + (h/2)² / (b h³/12) = 4/A (any text on eccentric tension)."""
    drum = reed()
    box = replace(drum.box, root_bar_mm=0.0, root_bar_height_mm=0.0)
    drum = replace(drum, box=box)
    board = drum.top.elastic.e_t_gpa * drum.top.thickness_mm * drum.slots.end_margin_mm
    wall = box.elastic.e_l_gpa * box.wall_mm * box.height_mm / 4.0
    assert give_of(drum, bottom=False) == pytest.approx(board / (board + wall))


def test_a_root_bar_stiffens_the_frame_at_the_top() -> None:
    drum = reed()
    bare = replace(drum, box=replace(drum.box, root_bar_mm=0.0, root_bar_height_mm=0.0))
    barred = replace(
        drum, box=replace(drum.box, root_bar_mm=30.0, root_bar_height_mm=0.6 * drum.box.height_mm)
    )
    assert give_of(barred, bottom=False) < give_of(bare, bottom=False)
