"""Slots that bow in the drawings: true arcs, the areas of the wood, and words that say how far."""

import io
import re
from dataclasses import replace

import ezdxf
import pytest
from ezdxf import path as ezpath
from shapely.geometry import Polygon

from kerftone.draw.bow_words import bow_words
from kerftone.draw.curved import areas
from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.draw.layout import layout_sheet
from kerftone.draw.sheet import Text
from kerftone.draw.svg import svg_file
from kerftone.draw.underside import underside_sheet
from kerftone.drum.outline import outline


@pytest.fixture
def bowed(brook):
    rows = outline(brook).layout.rows
    bows = tuple((-1.0) ** slot * (4.0 + slot) for slot in range(rows + 1))
    return replace(brook, slots=replace(brook.slots, bow_mm=bows))


@pytest.mark.outside
@pytest.mark.parametrize("end", ["square", "round", "slant"])
def test_areas_with_true_arcs_are_those_of_the_finest_chords_as_shapely_measures_them(bowed, end):
    drum = replace(bowed, slots=replace(bowed.slots, tongue_end=end))
    fine = outline(drum, tolerance_mm=1e-5)
    drawn = outline(drum, tolerance_mm=FINE_MM)
    for shape, exact in zip((*drawn.tongues, drawn.top), (*fine.tongues, fine.top), strict=True):
        (one,) = areas(shape, drawn)
        whole = one.path.area_mm2() - sum(hole.area_mm2() for hole in one.holes)
        assert whole == pytest.approx(exact.area, rel=1e-6 if shape is not drawn.top else 5e-6)


@pytest.mark.outside
@pytest.mark.roundtrip
def test_the_dxf_read_back_has_arcs_of_two_radii_a_kerf_apart_and_the_area_of_the_slots(bowed):
    drawn = outline(bowed, tolerance_mm=FINE_MM)
    document = ezdxf.read(io.StringIO(dxf_file(cuts_sheet(bowed, drawn)).decode("utf-8")))
    assert not document.audit().errors
    sawn, radii, corners = 0.0, set(), 0
    for entity in document.modelspace().query('LWPOLYLINE[layer=="SLOTS"]'):
        assert entity.closed
        sawn += Polygon([(p.x, p.y) for p in ezpath.make_path(entity).flattening(0.0005)]).area
        rows = entity.get_points("xyb")
        corners += len(rows)
        for (x, y, bulge), (u, v, _) in zip(rows, [*rows[1:], rows[0]], strict=True):
            if bulge:
                chord = ((u - x) ** 2 + (v - y) ** 2) ** 0.5
                radii.add(round(chord * (1.0 + bulge**2) / (4.0 * abs(bulge)), 1))
    assert sawn == pytest.approx(outline(bowed, tolerance_mm=0.0005).removed.area, rel=1e-4)
    assert corners < 80  # not hundreds of chords
    lines = drawn.layout
    for slot in range(lines.rows + 1):
        rise, half = abs(lines.bows_mm[slot]), 0.5 * lines.span_mm
        radius = (half**2 + rise**2) / (2.0 * rise)
        for off in (-0.5, 0.5):
            assert any(abs(radius + off * bowed.slots.kerf_mm - found) < 0.11 for found in radii), (
                slot,
                radii,
            )


def test_the_picture_has_arc_commands_and_says_which_slots_bow(bowed):
    sheet = layout_sheet(bowed, outline(bowed, tolerance_mm=FINE_MM))
    text = svg_file(sheet)
    tongues = re.search(r'<g id="sheet-tongues".*?</g>', text, re.S)
    assert tongues is not None
    for path in re.findall(r' d="([^"]*)"', tongues[0]):
        assert path.count("A") >= 2 and path.count("L") < 10
    assert any("Slots that bow: slot 1 by 4 mm towards the back" in mark.words for mark in sheet.marks)


def test_words_on_tongues_stay_off_the_bowed_slots(bowed):
    drawn = outline(bowed, tolerance_mm=FINE_MM)
    for sheet in (layout_sheet(bowed, drawn), underside_sheet(bowed, drawn)):
        words = [shape for layer in sheet.layers for shape in layer.shapes if isinstance(shape, Text)]
        assert words
    sheet = layout_sheet(bowed, drawn)
    (layer,) = [layer for layer in sheet.layers if layer.name == "tongue words"]
    for word in layer.shapes:
        if isinstance(word, Text):
            middle = (word.at[0], word.at[1] + 0.5 * word.height_mm)
            assert not any(
                hole.contains(_point(middle)) for hole in getattr(drawn.removed, "geoms", [drawn.removed])
            )


def _point(at):
    from shapely.geometry import Point

    return Point(at)


def test_a_straight_slot_among_bowed_ones_is_not_named():
    assert bow_words((0.0, 2.0, 0.0), "{:g}".format).startswith("slot 2 by 2 towards the back, in")
