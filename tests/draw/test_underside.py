import shutil
import subprocess

import numpy as np
import pytest

from kerftone.draw.cuts import FINE_MM, cuts_sheet, mirrored
from kerftone.draw.sheet import Circle, Outlined, Text, text_width_mm
from kerftone.draw.svg import svg_file
from kerftone.draw.underside import underside_sheet
from kerftone.drum.outline import outline


@pytest.fixture(scope="module")
def sheet(brook):
    return underside_sheet(brook, outline(brook, tolerance_mm=FINE_MM))


def test_a_bore_is_drawn_where_it_is_seen_from_below_with_its_depth(sheet, brook):
    (bore,) = sheet.layer("bores").shapes
    assert isinstance(bore, Circle)
    assert (bore.centre, bore.radius_mm) == ((420.0 - 330.0, 49.0), 10.0)
    (depth,) = sheet.layer("bore depths").shapes
    assert depth.words == "4 mm deep" and depth.at[0] == 90.0


def test_turning_over_twice_changes_nothing(brook_outline):
    twice = mirrored(mirrored(brook_outline.top, 420.0), 420.0)
    assert twice.symmetric_difference(brook_outline.top).area < 1e-6
    once = mirrored(brook_outline.top, 420.0)
    assert once.symmetric_difference(brook_outline.top).area > 100.0


def test_left_tongues_are_named_on_the_right(sheet):
    names = {t.words.split()[0]: t for t in sheet.layer("text").shapes if isinstance(t, Text)}
    assert set(names) == {"L1", "R1", "L2", "R3"}
    assert names["L1"].at[0] > 210.0 > names["R1"].at[0]


def test_words_say_how_the_board_lies(sheet):
    layers = (sheet.layer("words"), sheet.layer("edges"))
    said = " ".join(t.words for layer in layers for t in layer.shapes if isinstance(t, Text))
    for words in ("face down", "the left end is on the right", "FRONT EDGE", "LEFT END", "RIGHT END"):
        assert words in said


def test_an_inch_drum_says_depths_in_inches_and_shows_its_outer_box(pike, pike_outline):
    from dataclasses import replace

    from kerftone.drum.design import Bore

    bored = replace(pike, bores=(Bore(x_mm=100.0, y_mm=60.0, diameter_mm=19.05, depth_mm=4.7625),))
    sheet = underside_sheet(bored, pike_outline)
    (depth,) = sheet.layer("bore depths").shapes
    assert depth.words == "3/16 in deep"
    assert len(sheet.layer("box").shapes) == 2
    assert len(sheet.layer("stop holes").shapes) == 4


@pytest.mark.parametrize("which", ["brook", "pike"])
def test_everything_lies_on_its_sheet(which, request):
    drum = request.getfixturevalue(which)
    drawn = outline(drum, tolerance_mm=FINE_MM)
    for sheet in (
        underside_sheet(drum, drawn),
        cuts_sheet(drum, drawn),
        cuts_sheet(drum, drawn, from_below=True),
    ):
        right, top = sheet.left_mm + sheet.width_mm, sheet.bottom_mm + sheet.height_mm
        for layer in sheet.layers:
            for shape in layer.shapes:
                if isinstance(shape, Text) and not shape.angle_deg:
                    wide = text_width_mm(shape.words, shape.height_mm, bold=shape.bold)
                    start = shape.at[0] - {"start": 0.0, "middle": 0.5 * wide, "end": wide}[shape.anchor]
                    assert sheet.left_mm <= start and start + wide <= right, shape.words
                    assert sheet.bottom_mm <= shape.at[1] <= top - shape.height_mm, shape.words
                    assert shape.height_mm >= 3.2
                if isinstance(shape, Outlined):
                    for x, y in shape.path.points:
                        assert sheet.left_mm <= x <= right and sheet.bottom_mm <= y <= top


@pytest.mark.outside
@pytest.mark.needs("chromium")
def test_a_browser_draws_the_underside_at_its_size_with_its_arcs(sheet, tmp_path):
    from PIL import Image

    svg = tmp_path / "under.svg"
    svg.write_text(svg_file(sheet))
    picture = tmp_path / "under.png"
    wide, tall = (round(mm * 96.0 / 25.4) for mm in (sheet.width_mm, sheet.height_mm))
    command = [
        shutil.which("chromium"), "--headless", "--no-sandbox", "--disable-gpu", f"--screenshot={picture}",
        f"--window-size={wide},{tall}", "--hide-scrollbars", svg.as_uri(),
    ]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True, timeout=90, cwd=tmp_path)
    pixels = np.asarray(Image.open(picture).convert("RGB")).astype(int)
    per_mm = 96.0 / 25.4

    def colour(x_mm, y_mm):
        column = round((x_mm - sheet.left_mm) * per_mm)
        row = round((sheet.bottom_mm + sheet.height_mm - y_mm) * per_mm)
        return tuple(pixels[row, column])

    wood, cut = (0xF8, 0xF0, 0xE1), (255, 255, 255)
    # Row 1 seen from below: L1 ends at 420 - 182 = 238 and is round, 43 wide, centre line y = 49.
    assert colour(300.0, 60.0) == wood
    assert colour(240.0, 66.0) == cut  # beside the round end, where a square one would be wood
    assert colour(242.0, 49.0) == wood
    assert colour(232.0, 49.0) == cut


@pytest.mark.parametrize("y", [40.0, 49.0, 58.0])
def test_the_name_of_a_tongue_keeps_clear_of_the_disc_beside_its_root(brook, brook_outline, y):
    from dataclasses import replace

    from kerftone.drum.shop import Pickup

    drum = replace(brook, making=replace(brook.making, pickup=Pickup(x_mm=22.0, y_mm=y, disc_mm=18.0)))
    sheet = underside_sheet(drum, brook_outline)
    (ring,) = sheet.layer("pickup disc").shapes
    (named,) = [t for t in sheet.layer("text").shapes if t.words == "L1 D3"]
    low, high = named.at[1], named.at[1] + named.height_mm
    assert low > ring.centre[1] + ring.radius_mm or high < ring.centre[1] - ring.radius_mm
    assert low > 26.0 and high < 72.0  # still in its own row: 26 from the edge, 46 wide
    (disc,) = sheet.layer("pickup words").shapes
    assert disc.words == "DISC" and abs(disc.at[1] - ring.centre[1]) < ring.radius_mm
