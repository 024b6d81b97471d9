from dataclasses import replace

import pytest

from kerftone.draw.box_sheets import box_sheets
from kerftone.draw.sheet import Circle, Text
from kerftone.draw.underside import FINE_MM, underside_sheet
from kerftone.drum.design import Bottom
from kerftone.drum.outline import outline
from kerftone.drum.shop import Pickup


def _told(sheet):
    return " ".join(s.words for layer in sheet.layers for s in layer.shapes if isinstance(s, Text))


def _with(drum, **pickup):
    bottom = Bottom(wood="ash, white", elastic=drum.box.elastic, thickness_mm=9.0)
    making = replace(drum.making, pickup=Pickup(**pickup)) if pickup else drum.making
    return replace(drum, bottom=bottom, making=making)


def test_four_walls_are_drawn_and_a_bottom_only_where_there_is_one(brook):
    walls = ["wall-front", "wall-back", "wall-left", "wall-right"]
    assert list(box_sheets(brook)) == walls
    assert list(box_sheets(_with(brook))) == [*walls, "bottom"]


def test_the_bottom_is_drawn_in_proportion_and_says_its_own_figures(brook):
    sheet = box_sheets(_with(brook))["bottom"]
    (board,) = sheet.layer("outline").shapes
    long, wide = max(x for x, _ in board.outer), max(y for _, y in board.outer)
    assert long / wide == pytest.approx(420.0 / 190.0)  # on walls: the board's own size
    assert {"420", "190"} <= {s.words for s in sheet.layer("figures").shapes}
    assert "Not to size" in _told(sheet) and "9 mm thick" in _told(sheet)


def test_a_bottom_of_an_inch_drum_speaks_in_inches(pike):
    # Let into a ledge of 1/4 in by walls of 3/4 in: 1/2 in more on every side than 16 1/2 by 7 1/2.
    figures = {s.words for s in box_sheets(_with(pike))["bottom"].layer("figures").shapes}
    assert figures == {"17 1/2", "8 1/2"}


def test_holes_for_the_pickup_are_in_its_wall_alone_mirrored_as_seen_from_inside(brook):
    sheets = box_sheets(_with(brook, wall="left"))
    holes = [s for s in sheets["wall-left"].layer("holes").shapes if isinstance(s, Circle)]
    assert len(holes) == 2
    assert sum(hole.centre[0] for hole in holes) == pytest.approx(190.0)
    assert all(hole.centre[1] == pytest.approx(47.5) for hole in holes)
    # 190 long and 95 high: quarters of the length, half of the height.
    told = _told(sheets["wall-left"])
    assert "47.5 mm and 142.5 mm from the left end of this drawing, 47.5 mm over the lower edge" in told
    assert "for the pickup" not in _told(sheets["wall-right"])


def test_the_disc_of_the_pickup_is_on_the_underside_where_the_drum_file_says(brook):
    drum = _with(brook, x_mm=40.0, y_mm=150.0, disc_mm=20.0)
    sheet = underside_sheet(drum, outline(drum, tolerance_mm=FINE_MM))
    (disc,) = sheet.layer("pickup disc").shapes
    # Turned over end for end: 40 from the left end is 40 from the right edge of the drawing.
    assert disc.centre == pytest.approx((420.0 - 40.0, 150.0)) and disc.radius_mm == 10.0
    assert "DISC: the pickup, 20 mm across" in _told(sheet)
    without = _told(underside_sheet(brook, outline(brook, tolerance_mm=FINE_MM)))
    assert "DISC" not in without
