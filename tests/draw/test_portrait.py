"""The picture of the finished drum: in its woods' colours, every tongue in sight, all of it on its sheet."""

import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry import Polygon
from tests.draw.twenty import DRUMS, drum_named

from kerftone.draw.ink import POINTS_PER_MM, draw_layers
from kerftone.draw.portrait import TOP_LIGHT, portrait
from kerftone.draw.sheet import Line, Region
from kerftone.draw.wood_look import grain, look_of, mixed, shaded
from kerftone.drum.design import SoundHole
from kerftone.drum.outline import outline
from kerftone.shop.box import box_of
from kerftone.wood.species import species_table


def _picture(name):
    drum = drum_named(name)
    drawn = outline(drum)
    return drum, drawn, portrait(drum, drawn, box_of(drum))


def _seen(sheet, layer):
    return [Polygon(s.outer, s.holes) for s in sheet.layer(layer).shapes if isinstance(s, Region)]


@pytest.mark.parametrize("name", DRUMS)
def test_all_of_it_lies_on_its_sheet(name):
    _, _, sheet = _picture(name)
    for layer in sheet.layers:
        for shape in layer.shapes:
            points = (
                shape.outer if isinstance(shape, Region) else shape.points if isinstance(shape, Line) else ()
            )
            for x, y in points:
                assert sheet.left_mm <= x <= sheet.left_mm + sheet.width_mm, layer.name
                assert sheet.bottom_mm <= y <= sheet.bottom_mm + sheet.height_mm, layer.name


@pytest.mark.parametrize("name", DRUMS)
def test_the_top_is_one_piece_with_an_opening_for_each_cut_and_the_dark_lies_in_it(name):
    _, drawn, sheet = _picture(name)
    (top,) = _seen(sheet, "top")
    assert len(top.interiors) == len(getattr(drawn.top, "interiors", ()))
    for dark in _seen(sheet, "dark"):
        assert dark.intersection(top).area < 0.02 * dark.area


def test_straight_lines_stay_straight_and_the_near_end_looks_longer_than_the_far():
    _, _, sheet = _picture("Plain")
    (top,) = _seen(sheet, "top")
    points = np.array(top.convex_hull.exterior.coords[:-1])
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    corners = points[turn > 0.01 * np.hypot(*before.T) * np.hypot(*after.T)]
    assert len(corners) == 4
    sides = np.hypot(*(corners - np.roll(corners, -1, axis=0)).T)
    long, other = sorted(sides)[2:]
    assert long < other < 1.5 * long  # two long sides, the nearer a little longer: perspective


@pytest.mark.outside
def test_a_reader_sees_the_woods_colours():
    drum, _, sheet = _picture("Slanting")
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(sheet.width_mm * POINTS_PER_MM, sheet.height_mm * POINTS_PER_MM))
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    canvas.translate(-sheet.left_mm, -sheet.bottom_mm)
    draw_layers(canvas, sheet.layers)
    canvas.save()
    page = np.asarray(pypdfium2.PdfDocument(stream.getvalue())[0].render(scale=2.0).to_pil().convert("RGB"))
    colour = shaded(look_of(drum.top.wood).colour, TOP_LIGHT)
    wanted = np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)])
    near = np.abs(page.astype(int) - wanted).max(axis=2) < 12
    (top,) = _seen(sheet, "top")
    share = near.sum() / (top.area * (2.0 * POINTS_PER_MM) ** 2)
    assert 0.35 < share < 1.2  # the rest of the top is grain


def test_every_species_of_the_table_has_a_look_and_lines_darker_than_itself():
    for name in species_table():
        look = look_of(name)
        assert look is not look_of("no such wood"), name
        assert sum(int(look.lines[n : n + 2], 16) for n in (1, 3, 5)) < sum(
            int(look.colour[n : n + 2], 16) for n in (1, 3, 5)
        )


def test_grain_is_the_same_for_the_same_name_and_covers_the_board():
    one, again, other = (
        grain(400.0, 150.0, name="a"),
        grain(400.0, 150.0, name="a"),
        grain(400.0, 150.0, name="b"),
    )
    assert all(np.array_equal(a, b) for a, b in zip(one, again, strict=True))
    assert not all(len(a) == len(b) and np.allclose(a, b) for a, b in zip(one, other, strict=False))
    ys = np.concatenate([line[:, 1] for line in one])
    assert ys.min() < 5.0 and ys.max() > 145.0


def test_colours_mix_half_way():
    assert mixed("#000000", "#ffffff", 0.5) == "#808080"


def test_a_sound_hole_in_the_front_is_seen_as_a_dark_spot_in_that_wall():
    drum = drum_named(next(iter(DRUMS)))
    holed = replace(
        drum, sound_holes=(SoundHole(part="front", diameter_mm=20.0), SoundHole(part="back", diameter_mm=9.0))
    )
    drawn = outline(holed)
    sheet = portrait(holed, drawn, box_of(holed))
    (hole,) = _seen(sheet, "sound holes")
    fronts = [shape for layer in sheet.layers if layer.name == "front" for shape in layer.shapes]
    (wall,) = [one for one in (Polygon(s.outer, s.holes) for s in fronts) if one.contains(hole)]
    assert 0.002 < hole.area / wall.area < 0.03
