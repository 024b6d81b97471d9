import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from shapely.geometry import Point, Polygon

from kerftone.draw.mode_picture import DOWN, STEPS, UP, mode_picture, thinned
from kerftone.draw.sheet import Shade, Text
from kerftone.draw.svg import svg_inline


@pytest.fixture(scope="module")
def picture(top_mesh, invented_lift, brook_outline):
    points, triangles = top_mesh
    return mode_picture(
        points_mm=points, triangles=triangles, lift=invented_lift, drawn=brook_outline, title="D3", tongue=0
    )


def _shaded(picture, name):
    area = Polygon()
    for layer in picture.layers:
        if layer.name == name:
            for shape in layer.shapes:
                assert isinstance(shape, Shade)
                for ring in shape.rings:
                    area = area.symmetric_difference(Polygon(ring).buffer(0))
    return area


def test_the_picture_parses_and_is_small(picture):
    drawn = svg_inline(picture, key="m", decimals=1)
    ET.fromstring(drawn)
    assert len(drawn.encode()) < 60_000


def test_the_shade_reaches_as_far_as_the_motion_does(picture, brook_outline):
    # Up is (x / length)² on tongue 1: at or over 0.6 from the square root of 0.6 of its length on.
    west, _, east, _ = brook_outline.tongues[0].bounds
    start, _, end, _ = _shaded(picture, "up 0.6").bounds
    assert start == pytest.approx(west + np.sqrt(0.6) * (east - west), abs=1.0)
    assert end == pytest.approx(east, abs=0.5)


def test_the_facing_tongue_goes_down_half_as_far(picture, brook_outline):
    names = [layer.name for layer in picture.layers]
    assert "down 0.4" in names and "down 0.6" not in names
    assert brook_outline.tongues[1].buffer(1.0).contains(_shaded(picture, "down 0.2"))


def test_up_is_where_the_struck_tongue_goes_whatever_the_sign_of_the_mode(
    picture, top_mesh, invented_lift, brook_outline
):
    points, triangles = top_mesh
    given = {"points_mm": points, "triangles": triangles, "drawn": brook_outline, "title": "D3", "tongue": 0}
    turned = mode_picture(lift=-3.0 * invented_lift, **given)
    assert svg_inline(turned, key="m") == svg_inline(picture, key="m")
    other = mode_picture(lift=invented_lift, **(given | {"tongue": 1}))
    assert "up 0.4" in [layer.name for layer in other.layers]
    assert brook_outline.tongues[1].buffer(1.0).contains(_shaded(other, "up 0.4"))


def test_up_and_down_differ_without_colour_by_sign_and_by_dashes(picture, brook_outline):
    marks = [t for t in picture.layer("marks").shapes if isinstance(t, Text)]
    up = [t.at for t in marks if t.words == "+"]
    down = [t.at for t in marks if t.words == "\N{MINUS SIGN}"]
    assert len(up) == len(down) == 1
    assert brook_outline.tongues[0].contains(Point(up[0]))
    assert brook_outline.tongues[1].contains(Point(down[0]))
    assert picture.layer("up 0.2").pen.dash_mm == ()
    assert picture.layer("down 0.2").pen.dash_mm != ()


def _grey(colour):
    return sum(w * int(colour[i : i + 2], 16) for w, i in ((0.2126, 1), (0.7152, 3), (0.0722, 5)))


@pytest.mark.parametrize("colours", [UP, DOWN])
def test_further_is_darker_in_grey_print_too(colours):
    assert len(colours) == len(STEPS)
    assert np.all(np.diff([_grey(c) for c in colours]) < -15.0)


def test_a_twisting_tongue_rests_along_its_middle(top_mesh, brook_outline):
    points, triangles = top_mesh
    west, south, east, north = brook_outline.tongues[0].bounds
    middle = 0.5 * (south + north)
    on = (points[:, 0] >= west) & (points[:, 0] <= east) & (points[:, 1] >= south) & (points[:, 1] <= north)
    twist = np.where(on, (points[:, 0] - west) * (points[:, 1] - middle), 0.0)
    picture = mode_picture(
        points_mm=points, triangles=triangles, lift=twist, drawn=brook_outline, title="twist", tongue=0
    )
    lines = picture.layer("at rest").shapes
    assert lines
    along = np.vstack([line.points for line in lines])
    along = along[(along[:, 0] > west + 30.0) & (along[:, 0] < east - 5.0)]
    assert along[:, 1] == pytest.approx(np.full(len(along), middle), abs=1.0)


def test_the_words_for_those_who_cannot_see_it_count_the_moving_tongues(picture):
    assert "2 of 4 tongues move" in picture.description
    assert re.search(r"Furthest up 1\.00, furthest down 0\.5\d", picture.description)


def test_a_top_at_rest_is_drawn_bare(top_mesh, brook_outline):
    points, triangles = top_mesh
    bare = mode_picture(
        points_mm=points,
        triangles=triangles,
        lift=np.zeros(len(points)),
        drawn=brook_outline,
        title="still",
    )
    assert [layer.name for layer in bare.layers if layer.name.startswith(("up", "down"))] == []


def test_thinning_keeps_corners_and_drops_what_lies_on_the_way():
    path = [(0.0, 0.0), (5.0, 0.1), (10.0, 0.0), (10.0, 4.0), (10.1, 8.0), (0.0, 8.0), (0.0, 4.0)]
    assert thinned(path, closed=False) == ((0.0, 0.0), (10.0, 0.0), (10.1, 8.0), (0.0, 8.0), (0.0, 4.0))
    ring = thinned(path, closed=True)
    assert ring == ((0.0, 0.0), (10.0, 0.0), (10.1, 8.0), (0.0, 8.0))


def test_thinning_moves_no_edge_by_more_than_its_tolerance():
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    circle = [(30.0 * np.cos(t), 30.0 * np.sin(t)) for t in turn]
    thin = thinned(circle, closed=True)
    assert len(thin) < 60
    assert Polygon(thin).hausdorff_distance(Polygon(circle)) < 0.36
