"""The face of a wall and what its relief takes, by areas worked out by hand."""

import math

import pytest

from kerftone.drum.joinery import Wall
from kerftone.drum.shop import FootRelief


def wall(**more):
    given = {"name": "front", "length_mm": 400.0, "short_mm": 364.0, "thickness_mm": 18.0, "height_mm": 90.0}
    return Wall(**(given | {"ends": "mitre"} | more))


def test_fingers_of_two_walls_fill_the_corner():
    one = ((0.0, 18.0), (36.0, 54.0), (72.0, 90.0))
    other = ((18.0, 36.0), (54.0, 72.0))
    first, second = (wall(ends="fingers", fingers_mm=f).face().area_mm2() for f in (one, other))
    # At each end a strip 18 wide is shared out: what one has, the other lacks.
    assert 2.0 * 400.0 * 90.0 - first - second == pytest.approx(2 * 18.0 * 90.0)
    assert first - second == pytest.approx(2 * 18.0 * 18.0)


def test_the_gaps_are_what_the_fingers_leave():
    assert list(wall(fingers_mm=((18.0, 36.0), (54.0, 72.0))).gaps_mm()) == [
        (0.0, 18.0),
        (36.0, 54.0),
        (72.0, 90.0),
    ]
    assert list(wall(fingers_mm=((0.0, 30.0), (60.0, 90.0))).gaps_mm()) == [(30.0, 60.0)]


@pytest.mark.parametrize("ends", [{"ends": "mitre"}, {"ends": "fingers", "fingers_mm": ((18.0, 72.0),)}])
def test_a_relief_leaves_feet_at_both_ends(ends):
    whole = wall(**ends).face().area_mm2()
    straight = wall(relief=FootRelief(shape="straight", rise_mm=10.0, inset_mm=40.0), **ends)
    assert whole - straight.face().area_mm2() == pytest.approx(10.0 * 320.0)
    assert straight.relief_radius_mm() is None
    arched = wall(relief=FootRelief(shape="arch", rise_mm=10.0, inset_mm=40.0), **ends)
    taken = whole - arched.face().area_mm2()
    # A flat arc takes about two thirds of its box (Archimedes, for a parabola), a circle's a little more.
    assert 1.0 < taken / (2.0 / 3.0 * 320.0 * 10.0) < 1.002
    assert taken == pytest.approx(arched.relief_path().area_mm2())


def test_the_arch_is_the_circle_through_its_feet_and_its_crown():
    arched = wall(relief=FootRelief(shape="arch", rise_mm=20.0, inset_mm=100.0))
    radius = arched.relief_radius_mm()
    # from the middle of that circle, under the crown, to either foot and to the crown
    assert math.hypot(100.0, radius - 20.0) == pytest.approx(radius)
    (foot, end), (bulge, _) = arched.relief_path().points, arched.relief_path().bulges
    assert (foot, end) == ((100.0, 0.0), (300.0, 0.0))
    # the angle of the whole arc is four times that whose tangent the bulge is: radius times it is its length
    angle = 4.0 * math.atan(abs(bulge))
    assert 2.0 * radius * math.sin(0.5 * angle) == pytest.approx(200.0)
    assert bulge < 0.0  # to the left of its way: up into the wood
