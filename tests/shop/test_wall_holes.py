from dataclasses import replace

import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.shop import FootRelief, Pickup
from kerftone.errors import ShopError
from kerftone.shop.box import box_of
from kerftone.shop.measure import measure_of
from kerftone.shop.wall_holes import counterbore_mm

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


def fitted_with(drum, **pickup):
    return replace(drum, making=replace(drum.making, pickup=Pickup(**pickup)))


def test_without_a_pickup_no_wall_is_bored():
    assert all(wall.holes == () for wall in box_of(parse_drum(INVENTED)).walls)


@pytest.mark.parametrize("wall", ["front", "back", "left", "right"])
def test_two_holes_a_little_over_the_bushing_lie_inside_the_chosen_wall_alone(wall):
    box = box_of(fitted_with(parse_drum(INVENTED), wall=wall, bushing_mm=9.525))
    assert [one.name for one in box.walls if one.holes] == [wall]
    jack, pot = box.wall(wall).holes
    length, height = box.wall(wall).length_mm, box.wall(wall).height_mm
    assert (jack.what, pot.what) == ("jack", "volume control")
    assert 9.525 < jack.diameter_mm < 10.1
    assert jack.u_mm + pot.u_mm == pytest.approx(length)  # the same from either end
    assert jack.u_mm > 12.0 + jack.diameter_mm  # clear of the corner's joint
    assert jack.s_mm == pytest.approx(height - jack.s_mm)


def test_places_that_the_file_gives_are_kept():
    drum = parse_drum(
        INVENTED + "[pickup]\njack_along = 60.0\njack_up = 40.0\npot_along = 100.0\npot_up = 52.0\n"
    )
    jack, pot = box_of(drum).wall("back").holes
    assert (jack.u_mm, jack.s_mm, pot.u_mm, pot.s_mm) == (60.0, 40.0, 100.0, 52.0)


def test_a_short_thread_gets_a_counterbore_that_leaves_what_it_can_pass():
    # 9.5 mm of thread, 3.5 of them for nut and washer: 6 of the 12 mm wall stay.
    jack, pot = (
        box_of(fitted_with(parse_drum(INVENTED), jack_thread_mm=9.5, pot_thread_mm=16.0)).wall("back").holes
    )
    assert (jack.deep_mm, jack.wide_mm) == (6.0, 30.0)
    assert pot.deep_mm == 0.0


@pytest.mark.parametrize(
    "fraction, wall, deep",
    # 9.5 mm of thread pass 6 mm of wood: of 3/4 in 0.514 go, of 1 1/4 in 1.014: the next mark is deeper.
    [(32, "3/4", 17 / 32), (16, "3/4", 9 / 16), (32, "1 1/4", 1 + 1 / 32), (64, "1 1/4", 1 + 1 / 64)],
)
def test_a_counterbore_in_inches_is_on_the_rule_and_deep_enough(fraction, wall, deep):
    drum = parse_drum(INVENTED)
    mm = {"3/4": 19.05, "1 1/4": 31.75}[wall]
    shop = replace(drum.shop, fraction=fraction)
    inch = replace(drum, units="in", box=replace(drum.box, wall_mm=mm), shop=shop)
    assert counterbore_mm(inch, 9.5) == pytest.approx(deep * 25.4)
    assert "(" not in measure_of(inch)(counterbore_mm(inch, 9.5))


def test_enough_wood_stays_under_a_nut_whatever_the_rule():
    drum = parse_drum(INVENTED)
    inch = replace(drum, units="in", box=replace(drum.box, wall_mm=19.05))
    assert counterbore_mm(inch, 6.6) == pytest.approx(19.05 - 3.1), "the next mark would leave 2.4 mm"


def mitred(**box):
    drum = parse_drum(INVENTED)
    return replace(drum, box=replace(drum.box, **box))


@pytest.mark.refusal
@pytest.mark.parametrize(
    "box, pickup, words",
    [
        # a body 30 mm wide beside a wall 12 mm thick: its middle 27 mm from the corner at least
        (
            {},
            {"jack_along_mm": 20.0},
            "joint at the corner. The nearest that works is 27 mm: write that as jack_along",
        ),
        ({}, {"pot_along_mm": 400.0}, "nearest that works is 393 mm: write that as pot_along"),
        ({}, {"jack_up_mm": 90.0}, "the top. The nearest that works is 80 mm"),
        ({}, {"jack_up_mm": 5.0}, "the lower edge. The nearest that works is 15 mm"),
        # the ledge takes the upper 16 mm of walls 111 high
        (
            {"mount": "in ledge", "ledge_mm": 6.0},
            {"pot_up_mm": 95.0},
            "the ledge of the top. The nearest that works is 80",
        ),
        # walls 40 thick: a key's slot goes 0.6 x 1.41 x 40 = 33.5 deep, 47.4 along, and 9 more for the nut
        (
            {"joint": "mitre with keys", "wall_mm": 40.0, "height_mm": 120.0},
            {"jack_along_mm": 50.0, "jack_up_mm": 30.0},
            "the slot of a key. The nearest that works is 56.3 mm",
        ),
        (
            {"foot_relief": FootRelief(rise_mm=12.0, inset_mm=60.0)},
            {"jack_along_mm": 200.0, "jack_up_mm": 15.0},
            "the foot relief. The nearest that works is 21 mm",
        ),
        ({}, {"jack_along_mm": 200.0, "pot_along_mm": 210.0}, "are 10 mm apart.* write 230 mm as pot_along"),
        ({}, {"jack_along_mm": 390.0, "pot_along_mm": 392.0}, "write 360 mm as pot_along"),
        ({"height_mm": 20.0}, {}, "20 mm are free between top and bottom.* make the walls 10 mm higher"),
        ({"wall_mm": 72.0}, {"wall": "left"}, 'need 60 mm: write wall = "back"'),
    ],
)
def test_a_hole_that_meets_something_is_refused_with_the_nearest_place(box, pickup, words):
    with pytest.raises(ShopError, match=words):
        box_of(fitted_with(mitred(**box), **pickup))


def test_the_place_that_a_refusal_names_works():
    drum = parse_drum(INVENTED)
    with pytest.raises(ShopError) as caught:
        box_of(fitted_with(drum, jack_along_mm=1.0))
    box_of(fitted_with(drum, jack_along_mm=caught.value.nearest))
    with pytest.raises(ShopError):
        box_of(fitted_with(drum, jack_along_mm=caught.value.nearest - 0.1))
