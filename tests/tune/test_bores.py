from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Point

from kerftone.drum.check import check_outline
from kerftone.drum.design import Bore
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import layout
from kerftone.tune.bores import Map, deepest_mm, grid_map, spots

W1_L1 = 0
LENGTH = 150.0


@pytest.fixture(scope="module")
def flat_map(reference_drums) -> Map:
    """A map that is 2 cents per cm³ everywhere."""
    return grid_map(reference_drums["W1"][0], W1_L1, lambda x, y: np.full(x.shape, 2.0))


def test_an_even_map_gives_the_volume_of_the_bore_times_the_map(reference_drums, flat_map) -> None:
    """A 20 mm bit takes 0.314 cm³ a millimetre."""
    found = [spot for spot in spots(reference_drums["W1"][0], W1_L1, flat_map) if spot.bit_mm == 20.0]
    assert found
    for spot in found:
        assert spot.per_mm == pytest.approx(2.0 * 0.31416, rel=1e-3) and spot.slope < 1e-6


def test_a_map_that_rises_along_the_tongue_is_read_at_the_middle_of_the_bit(reference_drums) -> None:
    drum = reference_drums["W1"][0]
    rising = grid_map(drum, W1_L1, lambda x, y: 0.01 * (x - 32.0))
    for spot in spots(drum, W1_L1, rising):
        mean = spot.per_mm / (np.pi * (0.05 * spot.bit_mm) ** 2 * 0.1)
        assert mean == pytest.approx(0.01 * (spot.x_mm - 32.0), abs=0.01)
        assert spot.slope == pytest.approx(1.0 / (spot.x_mm - 32.0), rel=0.05)


def test_every_spot_may_be_bored_to_its_full_depth(reference_drums, flat_map) -> None:
    drum = reference_drums["W1"][0]
    found = spots(drum, W1_L1, flat_map)
    assert {spot.bit_mm for spot in found} == set(drum.shop.bits_mm)
    for spot in found[:: len(found) // 25]:
        check_outline(replace(drum, bores=(spot.bore(spot.deepest_mm),)))
        disc = Point(spot.x_mm, spot.y_mm).buffer(spot.bit_mm / 2 + drum.shop.min_web_mm - 0.05)
        assert outline(drum).removed.distance(disc) >= 0.0 and not outline(drum).removed.intersects(disc)
        assert spot.x_mm - spot.bit_mm / 2 > layout(drum).root_left_mm


def test_no_spot_breaks_into_a_bore_but_the_bore_itself_may_be_deepened(reference_drums, flat_map) -> None:
    hole = Bore(x_mm=120.0, y_mm=49.0, diameter_mm=20.0, depth_mm=4.0)
    drum = replace(reference_drums["W1"][0], bores=(hole,))
    found = spots(drum, W1_L1, flat_map)
    again = [spot for spot in found if spot.now_mm > 0.0]
    assert [(spot.x_mm, spot.y_mm, spot.bit_mm, spot.now_mm) for spot in again] == [(120.0, 49.0, 20.0, 4.0)]
    for spot in found:
        if not spot.now_mm:
            apart = np.hypot(spot.x_mm - 120.0, spot.y_mm - 49.0)
            assert apart > 10.0 + spot.bit_mm / 2


def test_the_shop_decides_how_much_wood_stays(reference_drums) -> None:
    drum = reference_drums["W1"][0]
    assert deepest_mm(drum) == pytest.approx(16.0 - drum.shop.min_left_mm)
    careful = replace(drum, shop=replace(drum.shop, min_left_mm=9.0))
    assert deepest_mm(careful) == pytest.approx(7.0)
    bold = replace(drum, shop=replace(drum.shop, min_left_mm=0.0))
    assert deepest_mm(bold) == pytest.approx(12.0)


def test_between_slots_that_bow_every_spot_keeps_its_web_and_lies_half_way_or_beside(reference_drums) -> None:
    straight = reference_drums["W1"][0]
    drum = replace(straight, slots=replace(straight.slots, bow_mm=(6.0, -4.0, 3.0, 0.0)))
    even = grid_map(drum, W1_L1, lambda x, y: np.full(x.shape, 2.0))
    found, lines, drawn = spots(drum, W1_L1, even), layout(drum), outline(drum)
    assert {spot.bit_mm for spot in found} >= {15.0, 20.0}
    for spot in found:
        disc = Point(spot.x_mm, spot.y_mm).buffer(spot.bit_mm / 2 + drum.shop.min_web_mm - 0.05)
        assert not drawn.removed.intersects(disc)
        if not spot.aside:
            assert spot.y_mm == pytest.approx(lines.centre_at_mm(1, spot.x_mm), abs=0.006)
    furthest = max(found, key=lambda spot: spot.x_mm)
    assert furthest.y_mm == pytest.approx(49.0 + 0.5 * (6.0 - 4.0), abs=2.0)
