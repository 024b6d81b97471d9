"""The sawn top's edges as shapes of a drawing."""

import re
from dataclasses import replace

import pytest
import shapely
from shapely.geometry import Polygon, box

from kerftone.draw.curved import areas, edges
from kerftone.draw.layout import layout_sheet
from kerftone.draw.svg import svg_file
from kerftone.drum.outline import outline

FREE = ((-26.0, -21.5), (0.0, -6.0, "smooth"), (-6.0, 12.0, "smooth"), (-18.0, 21.5))


@pytest.mark.outside
def test_an_area_with_true_curves_is_that_of_the_finest_chords_as_shapely_measures_them(brook):
    drum = replace(brook, tongues=tuple(replace(t, end=FREE) for t in brook.tongues[:2]) + brook.tongues[2:])
    fine = outline(drum, tolerance_mm=1e-5)
    for coarse in (0.05, 0.005):
        drawn = outline(drum, tolerance_mm=coarse)
        for shape, exact in zip((*drawn.tongues, drawn.top), (*fine.tongues, fine.top), strict=True):
            (one,) = areas(shape, drawn)
            whole = one.path.area_mm2() - sum(hole.area_mm2() for hole in one.holes)
            assert whole == pytest.approx(exact.area, rel=1e-6)


def test_several_pieces_are_several_areas_and_holes_stay_open():
    ring = box(0.0, 0.0, 30.0, 20.0).difference(box(5.0, 5.0, 10.0, 10.0))
    both = shapely.MultiPolygon([ring, box(40.0, 0.0, 45.0, 5.0)])
    assert [len(one.holes) for one in areas(both, _drawn())] == [1, 0]
    assert len(edges(both)) == 3 and edges(Polygon()) == ()


def _drawn():
    from tests.drum.conftest import reference_toml

    from kerftone.drum import parse_drum

    return outline(parse_drum(reference_toml("W1")))


def test_a_free_curve_is_a_curve_command_in_the_picture(brook):
    drum = replace(brook, tongues=(replace(brook.tongues[0], end=FREE), *brook.tongues[1:]))
    text = svg_file(layout_sheet(drum, outline(drum)))
    tongues = re.search(r'<g id="sheet-tongues".*?</g>', text, re.S)
    assert tongues is not None
    assert [path.count("C") for path in re.findall(r' d="([^"]*)"', tongues[0])] == [3, 0, 0, 0]
    assert [path.count("A") for path in re.findall(r' d="([^"]*)"', tongues[0])] == [0, 1, 1, 1]
