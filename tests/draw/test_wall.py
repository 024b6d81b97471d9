"""Walls drawn from plain numbers: areas by hand, places seen from inside."""

import pytest
from shapely.geometry import Polygon

from kerftone.draw.sheet import Line, Text, text_width_mm
from kerftone.draw.wall import section_outline, wall_sheet
from kerftone.drum import joinery
from kerftone.shop.measure import Measure


def a_wall(**more):
    given = {"name": "front", "length_mm": 400.0, "short_mm": 364.0, "thickness_mm": 18.0, "height_mm": 90.0}
    return joinery.Wall(**(given | {"ends": "mitre"} | more))


def a_step(edge, width, depth, start, end):
    return joinery.Rabbet(edge=edge, width_mm=width, depth_mm=depth, from_mm=start, to_mm=end, through=False)


STEPS = (a_step("upper", 8.0, 16.0, 10.0, 390.0), a_step("lower", 9.0, 9.0, 0.0, 400.0))


def test_a_section_is_the_wall_less_its_steps():
    section = Polygon(section_outline(a_wall(rabbets=STEPS)))
    assert section.is_valid
    assert section.area == pytest.approx(18.0 * 90.0 - 8.0 * 16.0 - 9.0 * 9.0)
    assert Polygon(section_outline(a_wall())).area == pytest.approx(18.0 * 90.0)


def test_steps_and_keys_are_where_they_are_seen_from_inside():
    lopsided = (a_step("upper", 8.0, 16.0, 10.0, 300.0),)
    sheet = wall_sheet(
        [a_wall(ends="square", rabbets=lopsided, key_heights_mm=(30.0, 60.0))],
        drum_name="Brook",
        say=Measure(),
    )
    lines = [s.points for s in sheet.layer("joints").shapes if isinstance(s, Line)]
    assert ((100.0, 74.0), (390.0, 74.0)) in lines
    assert {p[1] for s in sheet.layer("keys").shapes for p in s.points} == {30.0, 60.0}


@pytest.mark.parametrize(
    "ends, words",
    [("mitre", "364 mm inside"), ("rabbet", "18 mm from each end, 9 mm deep"), ("fingers", "cut back 18 mm")],
)
def test_the_joint_is_said_in_words_and_all_words_lie_on_the_sheet(ends, words):
    wall = a_wall(
        ends=ends, end_depth_mm=9.0, fingers_mm=((0.0, 45.0),), rabbets=STEPS, key_heights_mm=(45.0,)
    )
    sheet = wall_sheet(
        [wall], drum_name="A drum with a very long name indeed, longer than any wall", say=Measure()
    )
    said = " ".join(t.words for t in sheet.layer("text").shapes if isinstance(t, Text))
    assert words in said and "8 mm into the thickness, 16 mm of the height" in said
    for text in sheet.layer("text").shapes:
        assert isinstance(text, Text) and text.height_mm >= 3.2
        assert text.at[0] + text_width_mm(text.words, text.height_mm) <= sheet.left_mm + sheet.width_mm + 12.0
        assert sheet.bottom_mm <= text.at[1] <= sheet.bottom_mm + sheet.height_mm - text.height_mm


def test_an_inch_maker_reads_fractions():
    sheet = wall_sheet(
        [a_wall(thickness_mm=19.05, short_mm=361.9)], drum_name="Pike", say=Measure(units="in")
    )
    figures = {t.words for t in sheet.layer("figures").shapes}
    assert "3/4" in figures and "15 3/4" in figures


def test_what_no_rule_shows_carries_its_decimals_and_a_stopped_cut_says_where_it_stops():
    step = a_step("upper", 6.85, 15.875, 12.7, 300.0)
    said = wall_sheet(
        [a_wall(ends="square", rabbets=(step,))], drum_name="Pike", say=Measure(units="in")
    ).description
    # 6.85 mm are 0.2697 in, between 1/4 and 9/32; 15.875 mm are 5/8 in.
    assert "9/32 in (0.270) into the thickness, 5/8 in of the height" in said
    assert "and 1/2 in from the ends" in said
