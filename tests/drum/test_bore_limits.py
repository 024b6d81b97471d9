"""One rule on where a bore may be. Expected places are worked out by hand from the drawing of the small drum."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from kerftone.drum.bore_limits import between_mm, bore_limits, room_for_bit, room_on_board, to_root_mm
from kerftone.drum.design import Bore, Drum
from kerftone.drum.file import parse_drum

from ..drums import WREN

DRUM = parse_drum(WREN)
"""Tongue 1: root line at x = 26, tip at 166, from y = 21.5 to 48.5. Tongue 2: root line at 294, tip at 189."""


def bore(x: float, y: float, bit: float = 10.0) -> Bore:
    return Bore(x_mm=x, y_mm=y, diameter_mm=bit, depth_mm=3.0)


def bored(*bores: Bore) -> Drum:
    return replace(DRUM, bores=bores)


def test_each_clearance_is_at_least_the_one_before() -> None:
    for web in (0.5, 4.0, 12.0):
        limits = bore_limits(replace(DRUM, shop=replace(DRUM.shop, min_web_mm=web)))
        for narrow, wide in ((limits.refused, limits.asked), (limits.asked, limits.kept)):
            assert narrow.edge_mm <= wide.edge_mm and narrow.over_mm <= wide.over_mm
            assert (narrow.root_mm or -99.0) <= (wide.root_mm or -99.0)
            assert (narrow.between_mm or -99.0) <= (wide.between_mm or -99.0)


def test_the_shop_says_how_much_must_stay() -> None:
    limits = bore_limits(DRUM)
    assert (limits.refused.edge_mm, limits.asked.edge_mm, limits.kept.root_mm) == (1.0, 4.0, 8.0)
    assert limits.refused.over_mm == 3.0, "a quarter of 12 mm"
    assert limits.kept.over_mm == 5.0


@pytest.mark.parametrize(
    "number, spots",
    [
        (0, {39.5: True, 38.5: False, 156.5: True, 157.5: False}),  # 26 + 5 + 8; 166 - 5 - 4
        (1, {280.5: True, 281.5: False, 198.5: True, 197.5: False}),  # 294 - 5 - 8; 189 + 5 + 4
    ],
)
def test_a_bit_of_10_mm_has_room_from_the_root_to_the_tip(number: int, spots: dict[float, bool]) -> None:
    room = room_for_bit(DRUM, number, 10.0, bore_limits(DRUM).kept)
    assert {x: bool(shapely.contains_xy(room, x, 35.0)) for x in spots} == spots
    assert shapely.contains_xy(room, 100.0 if number == 0 else 240.0, 30.6)  # 21.5 + 5 + 4 = 30.5
    assert not shapely.contains_xy(room, 100.0 if number == 0 else 240.0, 30.4)


def test_wood_is_measured_from_rim_to_rim_and_from_rim_to_root() -> None:
    assert between_mm(bore(100.0, 35.0), bore(115.0, 35.0, 6.0)) == pytest.approx(7.0)
    assert between_mm(bore(100.0, 35.0), bore(106.0, 35.0)) == pytest.approx(-4.0)
    assert to_root_mm(DRUM, 0, bore(39.0, 35.0)) == pytest.approx(8.0)
    assert to_root_mm(DRUM, 1, bore(280.0, 35.0)) == pytest.approx(9.0)


def test_other_bores_are_kept_clear_of() -> None:
    drum = bored(bore(100.0, 35.0))
    room = room_on_board(drum, 10.0, bore_limits(drum).kept)
    clear = {112.5: True, 111.5: False, 100.0: False, 87.5: True}  # 100 +- (5 + 5 + 2)
    assert {x: bool(shapely.contains_xy(room, x, 35.0)) for x in clear} == clear
    anywhere = room_on_board(drum, 10.0, bore_limits(drum).refused)
    assert shapely.contains_xy(anywhere, 100.0, 35.0), "two bores that meet are asked about, not refused"


def test_a_bit_wider_than_its_tongue_has_room_nowhere() -> None:
    assert room_on_board(DRUM, 26.0, bore_limits(DRUM).kept).is_empty
