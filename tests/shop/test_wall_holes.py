from dataclasses import replace

import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.shop import Pickup
from kerftone.shop.box import box_of
from kerftone.shop.wall_holes import pickup_holes

INVENTED = """
name = "Invented"
[top]
wood = "cherry, black"
length = 420.0
width = 190.0
thickness = 16.0
[slots]
kerf = 3.0
end_margin = 32.0
side_margin = 26.0
[[tongues]]
note = "D3"
row = 1
side = "left"
length = 150.0
[box]
wood = "ash, white"
wall = 12.0
height = 95.0
"""


def test_without_a_pickup_no_wall_is_bored():
    drum = parse_drum(INVENTED)
    assert pickup_holes(drum, box_of(drum)) == ()


@pytest.mark.parametrize("wall", ["front", "back", "left", "right"])
def test_two_holes_a_little_over_the_bushing_lie_inside_the_chosen_wall(wall):
    drum = parse_drum(INVENTED)
    drum = replace(drum, making=replace(drum.making, pickup=Pickup(wall=wall, bushing_mm=9.525)))
    box = box_of(drum)
    one, other = pickup_holes(drum, box)
    length, height = box.wall(wall).length_mm, box.wall(wall).height_mm
    assert one.wall == other.wall == wall
    assert 9.525 < one.diameter_mm < 10.1
    assert one.u_mm + other.u_mm == pytest.approx(length)  # the same from either end
    assert one.u_mm > 12.0 + one.diameter_mm  # clear of the corner's joint
    assert one.s_mm == pytest.approx(height - one.s_mm)
