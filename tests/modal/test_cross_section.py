"""The walls' section in pieces: no gap, no overlap, and fine at its joints only."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
import shapely
from shapely.geometry import Polygon, box

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.cross_section import CrossSection, cross_section

from ..drums import REED

LEDGE = REED.replace("height = 90.0", 'height = 90.0\nmount = "in ledge"\nledge = 7.0\nclearance = 0.8')
LIP = REED.replace("thickness = 14.0", "thickness = 14.0\nlip = 6.0\nlip_thickness = 8.0").replace(
    "height = 90.0", 'height = 96.0\nmount = "on a lip"\nclearance = 0.5'
)
BOTTOM = 'fit = "on a lip"\nlip = 5.0\nlip_thickness = 4.0\nclearance = 0.75\nrecess = 3.0\n'
TEXTS = {
    "ledge": LEDGE,
    "lip": LIP,
    "bottom": REED + BOTTOM,
    "lips": LIP + BOTTOM,
    "ledge, bottom": LEDGE + BOTTOM,
}


@pytest.fixture(params=sorted(TEXTS))
def drum(request: Any) -> Drum:
    return parse_drum(TEXTS[request.param])


def shapes(section: CrossSection, part: str) -> list[Polygon]:
    return [Polygon(piece.corners) for piece in section.pieces if piece.part == part]


def drawn(drum: Drum) -> dict[str, Any]:
    """The same from the words of docs/model.md."""
    wall, t, high = drum.box.wall_mm, drum.top.thickness_mm, drum.box.height_mm
    lip, ledge = drum.box.mount == "on a lip", drum.box.mount == "in ledge"
    drop = t - drum.top.lip_thickness_mm if lip else 0.0
    over = drum.top.lip_mm if lip else drum.box.ledge_mm if ledge else wall
    walls = box(0.0, drop - high, wall, drop)
    if ledge:
        walls = walls.union(box(over + drum.box.clearance_mm, 0.0, wall, t))
    found = {"rim": box(0.0, drop, over, t)}
    bottom, floor = drum.bottom, drop - high
    assert bottom is not None
    if bottom.fit == "on a lip":
        low = floor - bottom.lip_thickness_mm
        found["bottom"] = box(0.0, low, bottom.lip_mm, floor)
        walls = walls.union(box(bottom.lip_mm + bottom.clearance_mm, low - bottom.recess_mm, wall, floor))
    else:
        found["bottom"] = box(0.0, floor - bottom.thickness_mm, wall, floor)
    return found | {"wall": walls}


@pytest.mark.parametrize("layered", [False, True])
def test_each_part_is_filled_with_pieces_that_do_not_overlap(drum: Drum, layered: bool) -> None:
    section = cross_section(drum, layered=layered)
    for part, shape in drawn(drum).items():
        pieces = shapes(section, part)
        assert sum(piece.area for piece in pieces) == pytest.approx(shape.area)
        assert shapely.union_all(pieces).symmetric_difference(shape).area < 1e-6


def test_pieces_meet_corner_to_corner(drum: Drum) -> None:
    """No corner of one lies within an edge of another: the mesh would be torn there."""
    section = cross_section(drum, layered=True)
    corners = {corner for piece in section.pieces for corner in piece.corners}
    for piece in section.pieces:
        for one, other in pairwise([*piece.corners, piece.corners[0]]):
            line = shapely.LineString([one, other])
            on = [at for at in corners if line.distance(shapely.Point(at)) < 1e-9]
            assert len(on) == 2, (piece, on)


def test_half_way_down_a_wall_is_one_piece_across(drum: Drum) -> None:
    middle = -0.5 * drum.box.height_mm
    across = [
        piece
        for piece in shapes(cross_section(drum, layered=False), "wall")
        if piece.covers(shapely.Point(3.3, middle))
    ]
    assert len(across) == 1
    assert across[0].bounds[0] == 0.0 and across[0].bounds[2] == drum.box.wall_mm


def test_every_piece_of_the_outer_face_and_of_what_the_drum_stands_on_is_named(drum: Drum) -> None:
    section = cross_section(drum, layered=True)
    long: Counter[str] = Counter()
    for edge in section.edges:
        long[edge.name] += shapely.LineString(edge.corners).length
    bottom, parts = drum.bottom, drawn(drum)
    assert bottom is not None
    _, low, _, high = shapely.union_all([parts["wall"], parts["rim"]]).bounds
    lip = drum.box.mount == "on a lip"
    drop = drum.top.thickness_mm - drum.top.lip_thickness_mm if lip else 0.0
    assert long["outer"] == pytest.approx((drop if lip else high) - low)
    if bottom.fit == "on a lip":
        assert long["below"] == pytest.approx(bottom.lip_mm)
        assert long["base"] == pytest.approx(drum.box.wall_mm - bottom.lip_mm - bottom.clearance_mm)
    else:
        assert long["base"] == pytest.approx(drum.box.wall_mm)


def test_root_bars_find_a_row_at_both_their_edges(drum: Drum) -> None:
    for hang in (12.0, 31.0, 55.0):
        barred = replace(drum, box=replace(drum.box, root_bar_mm=12.0, root_bar_height_mm=hang))
        levels = cross_section(barred, layered=False).levels_mm
        assert -hang in levels
        assert 0.0 in levels
