import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import box

from kerftone.draw.sheet import Sheet
from kerftone.draw.tiling import OVERLAP_MM, tiling


def _sheet(width, height):
    return Sheet(width_mm=width, height_mm=height, title="", description="", left_mm=-7.0, bottom_mm=11.0)


@given(st.floats(20.0, 1500.0), st.floats(20.0, 900.0), st.sampled_from(["a4", "letter"]))
def test_the_tiles_cover_any_drawing_and_overlap(width, height, paper):
    tiled = tiling(_sheet(width, height), paper)
    wide, tall = tiled.window_mm
    windows = [box(t.left_mm, t.bottom_mm, t.left_mm + wide, t.bottom_mm + tall) for t in tiled.tiles]
    assert union_all(windows).buffer(1e-6).covers(box(-7.0, 11.0, width - 7.0, height + 11.0))
    for tile in tiled.tiles:
        right = tiled.at(tile.row, tile.column + 1)
        below = tiled.at(tile.row + 1, tile.column)
        if right:
            assert tile.left_mm + wide - right.left_mm == pytest.approx(OVERLAP_MM)
        if below:
            assert below.bottom_mm + tall - tile.bottom_mm == pytest.approx(OVERLAP_MM)


def test_paper_is_turned_the_way_that_takes_fewer_pages():
    assert tiling(_sheet(260.0, 100.0), "a4").page_mm == (297.0, 210.0)
    assert tiling(_sheet(100.0, 230.0), "a4").page_mm == (210.0, 297.0)
    assert len(tiling(_sheet(260.0, 100.0), "a4").tiles) == 1


def test_tiles_are_named_from_the_upper_left():
    tiled = tiling(_sheet(450.0, 400.0), "a4")
    assert tiled.tiles[0].name == "A1" and tiled.tiles[0].left_mm <= -7.0
    assert tiled.tiles[-1].name == f"{'ABC'[tiled.rows - 1]}{tiled.columns}"
    assert tiled.tiles[0].bottom_mm > tiled.tiles[-1].bottom_mm
