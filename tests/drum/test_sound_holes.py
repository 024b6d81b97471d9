"""Sound holes are where the file puts them, or are refused with the nearest place that works."""

from __future__ import annotations

import math

import pytest

from kerftone.drum.file import parse_drum
from kerftone.drum.sound_holes import placed_holes
from kerftone.errors import DrumFileError

from ..drums import REED, WREN


def holed(keys: str, drum: str = REED) -> str:
    return f"{drum}[[sound_holes]]\n" + "\n".join(keys.split("; ")) + "\n"


@pytest.mark.parametrize(
    "part, at",
    [
        # Reed is 400 x 180 mm; its walls are 90 mm high, its bottom 8 mm thick
        ("front", (30.0, 0.0, -50.0)),
        ("back", (370.0, 180.0, -50.0)),
        ("left", (0.0, 150.0, -50.0)),
        ("right", (400.0, 30.0, -50.0)),
        ("bottom", (30.0, 40.0, -98.0)),
    ],
)
def test_a_place_is_counted_from_the_left_end_of_the_part_as_one_faces_it(
    part: str, at: tuple[float, float, float]
) -> None:
    (placed,) = placed_holes(parse_drum(holed(f'part = "{part}"; diameter = 8; along = 30; up = 40')))
    assert placed.at_mm == pytest.approx(at)


def test_a_hole_without_a_place_is_in_the_middle() -> None:
    (placed,) = placed_holes(parse_drum(holed('part = "front"; diameter = 20')))
    assert (placed.cut.u_mm, placed.cut.s_mm) == (200.0, 45.0)


def test_a_slot_has_round_ends() -> None:
    (placed,) = placed_holes(parse_drum(holed('part = "front"; diameter = 10; length = 60')))
    assert placed.cut.path.area_mm2() == pytest.approx(500.0 + 25.0 * math.pi)


@pytest.mark.refusal
@pytest.mark.parametrize(
    "keys, words",
    [
        (
            'part = "front"; diameter = 30; up = 10',
            "10 mm up the front wall.*write that as up|nearest.*20 mm",
        ),
        ('part = "front"; diameter = 90', "no room in the front wall: 80 mm are left"),
        ('part = "left"; diameter = 30; along = 20', "comes nearer than 5 mm to the corner.*36 mm"),
        ('part = "front"; diameter = 30; length = 20', "no shorter than wide: write length = 30 mm"),
        ('part = "top"; diameter = 30', "part of sound hole 1 is 'top'"),
        ('part = "front"; diameter = 30; [[sound_holes]]; part = "front"; diameter = 10', "25 mm apart"),
    ],
)
def test_a_hole_that_cannot_be_is_refused_with_what_works(keys: str, words: str) -> None:
    with pytest.raises(DrumFileError, match=words):
        parse_drum(holed(keys))


@pytest.mark.refusal
def test_a_hole_in_a_bottom_that_there_is_not_is_refused() -> None:
    with pytest.raises(DrumFileError, match="in the bottom, and this drum has none"):
        parse_drum(holed('part = "bottom"; diameter = 30', WREN))
