"""Walls drawn from plain numbers of a stand-in: areas by hand, places seen from inside."""

from dataclasses import dataclass

import pytest
from shapely.geometry import Polygon

from kerftone.draw.sheet import Line, Text, text_width_mm
from kerftone.draw.wall import face_outline, section_outline, wall_sheet


@dataclass(frozen=True)
class Step:
    edge: str
    width_mm: float
    depth_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True)
class Relief:
    shape: str
    rise_mm: float
    inset_mm: float


@dataclass(frozen=True)
class Wall:
    name: str = "front"
    length_mm: float = 400.0
    short_mm: float = 364.0
    thickness_mm: float = 18.0
    height_mm: float = 90.0
    ends: str = "mitre"
    end_depth_mm: float = 0.0
    fingers_mm: tuple[tuple[float, float], ...] = ()
    rabbets: tuple[Step, ...] = ()
    key_heights_mm: tuple[float, ...] = ()
    relief: Relief | None = None


STEPS = (Step("upper", 8.0, 16.0, 10.0, 390.0), Step("lower", 9.0, 9.0, 0.0, 400.0))


def test_a_section_is_the_wall_less_its_steps():
    section = Polygon(section_outline(Wall(rabbets=STEPS)))
    assert section.is_valid
    assert section.area == pytest.approx(18.0 * 90.0 - 8.0 * 16.0 - 9.0 * 9.0)
    assert Polygon(section_outline(Wall())).area == pytest.approx(18.0 * 90.0)


def test_fingers_of_two_walls_fill_the_corner():
    one = ((0.0, 18.0), (36.0, 54.0), (72.0, 90.0))
    other = ((18.0, 36.0), (54.0, 72.0))
    faces = [Polygon(face_outline(Wall(ends="fingers", fingers_mm=f))) for f in (one, other)]
    assert all(face.is_valid for face in faces)
    # At each end a strip 18 wide is shared out: what one has, the other lacks.
    assert sum(400.0 * 90.0 - face.area for face in faces) == pytest.approx(2 * 18.0 * 90.0)
    assert faces[0].area - faces[1].area == pytest.approx(2 * 18.0 * 18.0)


def test_a_relief_leaves_feet_at_both_ends():
    straight = Polygon(face_outline(Wall(relief=Relief("straight", 10.0, 40.0))))
    assert straight.area == pytest.approx(400.0 * 90.0 - 10.0 * 320.0)
    arched = Polygon(face_outline(Wall(relief=Relief("arch", 10.0, 40.0))))
    assert arched.is_valid
    # A flat arc takes about two thirds of its box (Archimedes, for a parabola).
    assert 400.0 * 90.0 - arched.area == pytest.approx(2.0 / 3.0 * 320.0 * 10.0, rel=0.01)


def test_steps_and_keys_are_where_they_are_seen_from_inside():
    lopsided = (Step("upper", 8.0, 16.0, 10.0, 300.0),)
    sheet = wall_sheet(
        Wall(ends="square", rabbets=lopsided, key_heights_mm=(30.0, 60.0)), drum_name="Brook", units="mm"
    )
    lines = [s.points for s in sheet.layer("joints").shapes if isinstance(s, Line)]
    assert ((100.0, 74.0), (390.0, 74.0)) in lines
    assert {p[1] for s in sheet.layer("keys").shapes for p in s.points} == {30.0, 60.0}


@pytest.mark.parametrize(
    "ends, words",
    [("mitre", "364 mm inside"), ("rabbet", "18 mm from each end, 9 mm deep"), ("fingers", "cut back 18 mm")],
)
def test_the_joint_is_said_in_words_and_all_words_lie_on_the_sheet(ends, words):
    wall = Wall(ends=ends, end_depth_mm=9.0, fingers_mm=((0.0, 45.0),), rabbets=STEPS, key_heights_mm=(45.0,))
    sheet = wall_sheet(
        wall, drum_name="A drum with a very long name indeed, longer than any wall", units="mm"
    )
    said = " ".join(t.words for t in sheet.layer("text").shapes if isinstance(t, Text))
    assert words in said and "8 mm into the thickness, 16 mm of the height" in said
    for text in sheet.layer("text").shapes:
        assert isinstance(text, Text) and text.height_mm >= 3.2
        assert text.at[0] + text_width_mm(text.words, text.height_mm) <= sheet.left_mm + sheet.width_mm + 12.0
        assert sheet.bottom_mm <= text.at[1] <= sheet.bottom_mm + sheet.height_mm - text.height_mm


def test_an_inch_maker_reads_fractions():
    sheet = wall_sheet(Wall(thickness_mm=19.05, short_mm=361.9, rabbets=()), drum_name="Pike", units="in")
    figures = {t.words for t in sheet.layer("figures").shapes}
    assert "3/4" in figures and "15 3/4" in figures


def test_what_no_rule_shows_carries_its_decimals_and_a_stopped_cut_says_where_it_stops():
    step = Step("upper", 6.85, 15.875, 12.7, 300.0)
    said = wall_sheet(Wall(ends="square", rabbets=(step,)), drum_name="Pike", units="in").description
    # 6.85 mm are 0.2697 in, between 1/4 and 9/32; 15.875 mm are 5/8 in.
    assert "9/32 in (0.270) into the thickness, 5/8 in of the height" in said
    assert "and 1/2 in from the ends" in said
