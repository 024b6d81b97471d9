"""The section through wall, top and bottom: as much wood as each has, nothing in anything else, gaps open."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from shapely.geometry import LineString, Polygon

from kerftone.draw.box_sheets import box_sheets
from kerftone.draw.section import SHOWN_MM
from kerftone.drum import parse_drum
from kerftone.drum.design import Drum

from ..drums import REED

LIPPED = (
    REED.replace("thickness = 14.0", "thickness = 14.0\nlip = 6.0\nlip_thickness = 8.0").replace(
        "height = 90.0", 'height = 90.0\nmount = "on a lip"\nclearance = 0.5'
    )
    + 'fit = "on a lip"\nlip = 5.0\nlip_thickness = 4.0\nclearance = 0.75\nrecess = 3.0\n'
)
LEDGED = REED.replace("height = 90.0", 'height = 90.0\nmount = "in ledge"\nledge = 7.0\nclearance = 0.8')


def parts(drum: Drum) -> tuple[list[Polygon], list[LineString]]:
    sheet = box_sheets(drum)["section"]
    glue: Any = sheet.layer("glue").shapes
    wood: Any = sheet.layer("outline").shapes
    return [Polygon(region.outer) for region in wood], [LineString(line.points) for line in glue]


def test_each_part_has_its_wood_and_none_is_in_another() -> None:
    (wall, top, bottom), _ = parts(parse_drum(LIPPED))
    # a wall 16 by 90, and beside a rabbet 5.75 wide 7 mm more
    assert wall.area == pytest.approx(16.0 * 90.0 + (16.0 - 5.75) * 7.0)
    assert top.area == pytest.approx((SHOWN_MM + 6.0) * 8.0 + (SHOWN_MM - 0.5) * 6.0)
    assert bottom.area == pytest.approx((SHOWN_MM + 5.0) * 4.0 + (SHOWN_MM - 0.75) * 4.0)
    for one, other in combinations((wall, top, bottom), 2):
        assert one.intersection(other).area == pytest.approx(0.0, abs=1e-9)


def test_glue_lies_where_two_parts_meet_and_gaps_are_as_wide_as_the_file_says() -> None:
    (wall, top, bottom), glue = parts(parse_drum(LIPPED))
    assert [line.length for line in glue] == pytest.approx([6.0, 5.0])
    for line, board in zip(glue, (top, bottom), strict=True):
        assert board.boundary.intersection(line).length == pytest.approx(line.length)
        assert wall.boundary.intersection(line).length == pytest.approx(line.length)
    assert top.boundary.intersection(wall.boundary).length == pytest.approx(6.0)


def test_a_gap_filled_with_glue_is_drawn_as_glue() -> None:
    drum = parse_drum(LEDGED)
    assert [line.length for line in parts(drum)[1]] == pytest.approx(
        [7.0, 16.0]
    )  # top's ledge, bottom under the wall
    filled = replace(drum, box=replace(drum.box, glued="ledge and edges"))
    assert [line.length for line in parts(filled)[1]] == pytest.approx([7.0, 14.0, 16.0])


@pytest.mark.parametrize("text", [LIPPED, LEDGED])
def test_on_paper_all_that_is_drawn_stays_and_its_words_come_once(text: str) -> None:
    sheet = box_sheets(parse_drum(text))["section"]
    assert sheet.to_size is not None
    west, south, east, north = sheet.to_size
    shapes: Any = [shape for name in ("outline", "dimensions") for shape in sheet.layer(name).shapes]
    places = [at for shape in shapes for at in getattr(shape, "outer", getattr(shape, "points", ()))]
    assert all(west <= x <= east and south <= y <= north for x, y in places)
    said: Any = sheet.layer("text").shapes
    assert all(not south <= words.at[1] <= north for words in said)  # the page sets title and notes itself


def test_a_plain_drum_needs_no_section() -> None:
    assert "section" not in box_sheets(parse_drum(REED))
