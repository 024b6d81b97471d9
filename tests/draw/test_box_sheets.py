from dataclasses import replace

import pytest

from kerftone.draw.box_sheets import box_cuts, box_sheets, sections_of
from kerftone.draw.cuts import FINE_MM
from kerftone.draw.sheet import Circle, Text
from kerftone.draw.underside import underside_sheet
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
    walls = ["walls-front-back", "walls-left-right"]
    assert list(box_sheets(brook)) == list(box_cuts(brook)) == walls
    assert list(box_sheets(_with(brook))) == list(box_cuts(_with(brook))) == [*walls, "bottom"]


def test_walls_that_differ_in_their_holes_share_a_sheet_and_have_cuts_of_their_own(brook):
    drum = _with(brook, wall="back")
    sheets = box_sheets(drum)
    assert list(sheets) == ["walls-front-back", "walls-left-right", "bottom"]
    assert "Make 2, alike." in _told(sheets["walls-left-right"])
    said = _told(sheets["walls-front-back"]).replace("  ", " ")
    assert "Make 2, alike but for the holes." in said and "Back wall alone: hole for the jack" in said
    assert list(box_cuts(drum)) == ["wall-front", "wall-back", "walls-left-right", "bottom"]


def test_walls_of_one_size_all_round_share_one_sheet(brook):
    square = replace(brook, top=replace(brook.top, length_mm=420.0, width_mm=420.0))
    assert list(box_sheets(square)) == ["walls-front-back-left-right"]


def test_sections_stand_side_by_side_each_named(brook):
    sheet = sections_of(brook)
    boards = sheet.layer("outline").shapes
    assert [max(x for x, _ in b.outer) - min(x for x, _ in b.outer) for b in boards] == [12.0, 12.0]
    assert [text.words for text in sheet.layer("names").shapes] == ["front and back", "left and right"]


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
    sheets = box_sheets(_with(brook, wall="left", jack_along_mm=60.0, jack_up_mm=40.0))
    holes = [s for s in sheets["walls-left-right"].layer("holes").shapes if isinstance(s, Circle)]
    # 190 long: 60 from the left end seen from outside is 130 from the left end seen from inside
    assert [hole.centre for hole in holes] == [(130.0, 40.0), (pytest.approx(190.0 - 142.5), 47.5)]
    told = _told(sheets["walls-left-right"])
    assert (
        "Left wall alone: hole for the jack: 9.9 mm through, 130 mm from the left end of this drawing, 40 mm over"
        in told
    )
    # 9.5 mm of thread less 3.5 for nut and washer in a 12 mm wall
    assert "30 mm wide and 6 mm deep (dashed)" in told
    assert "hole for" not in _told(sheets["walls-front-back"])


def test_the_disc_of_the_pickup_is_on_the_underside_where_the_drum_file_says(brook):
    drum = _with(brook, x_mm=40.0, y_mm=150.0, disc_mm=20.0)
    sheet = underside_sheet(drum, outline(drum, tolerance_mm=FINE_MM))
    (disc,) = sheet.layer("pickup disc").shapes
    # Turned over end for end: 40 from the left end is 40 from the right edge of the drawing.
    assert disc.centre == pytest.approx((420.0 - 40.0, 150.0)) and disc.radius_mm == 10.0
    assert "DISC: the pickup, 20 mm across" in _told(sheet)
    without = _told(underside_sheet(brook, outline(brook, tolerance_mm=FINE_MM)))
    assert "DISC" not in without
