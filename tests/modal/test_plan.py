"""The plan in triangles: all the wood, each piece once, every line where the maker drew it."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.modal.plan import (
    COLLAR_MM,
    FRAME,
    SNAP_MM,
    Fineness,
    Plan,
    bore_rims,
    bored,
    plan,
    root_line,
    sharp_corners,
    strip_mm,
    tongue_region,
)

FINENESS = Fineness()


def free(drum: Drum) -> Any:
    """What is cut into triangles: the free underside, less the strip beside an open gap."""
    return as_meshed(drum).box_inner.buffer(-strip_mm(drum), join_style="mitre")


def as_meshed(drum: Drum) -> Outline:
    """The outline with the model's chords for curves."""
    return outline(drum, tolerance_mm=FINENESS.curve_mm, same_area=True)


@pytest.fixture(scope="module")
def cut(drum: Drum) -> Plan:
    return planned(drum)


def planned(drum: Drum, fineness: Fineness = FINENESS) -> Plan:
    """The plan with points in one place made one, as the solid makes them."""
    found = plan(drum, fineness)
    places, number = np.unique(np.round(found.points_mm, 5), axis=0, return_inverse=True)
    number = number.reshape(-1)
    floors = np.full((2, len(places)), [[np.inf], [-np.inf]])
    np.minimum.at(floors[0], number, found.floor_mm)
    np.maximum.at(floors[1], number, found.floor_mm)
    assert np.array_equal(*floors), "two pieces of the plan disagree about a floor: the solid would crack"
    return replace(found, points_mm=places, triangles=number[found.triangles], floor_mm=floors[0])


def areas(cut: Plan) -> Any:
    """Of each triangle, mm²; negative where it runs clockwise."""
    a, b, c = cut.points_mm[cut.triangles].transpose(1, 0, 2)
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    return 0.5 * (ux * vy - uy * vx)


def area_of(cut: Plan, *names: str) -> float:
    numbers = [cut.regions.index(name) for name in names if name in cut.regions]
    return float(areas(cut)[np.isin(cut.region, numbers)].sum())


def test_the_triangles_have_the_area_of_the_wood_inside_the_walls(drum: Drum, cut: Plan) -> None:
    drawn = as_meshed(drum)
    assert areas(cut).sum() == pytest.approx(drawn.top.intersection(free(drum)).area, rel=3e-7)


def test_chords_for_curves_cost_next_to_no_wood(drum: Drum, cut: Plan) -> None:
    """Against the outline drawn ten times finer: 4 parts in ten thousand at most, and those at stop holes."""
    drawn = outline(drum, tolerance_mm=0.005)
    assert areas(cut).sum() == pytest.approx(drawn.top.intersection(free(drum)).area, rel=4e-4)


def test_no_triangle_is_turned_over_or_empty(cut: Plan) -> None:
    assert areas(cut).min() > 1e-3


def test_triangles_meet_side_to_side_and_their_rim_is_the_rim_of_the_wood(drum: Drum, cut: Plan) -> None:
    """A side in one triangle only is a side of the wood; together they are as long as its whole edge."""
    sides = Counter(
        frozenset((int(corners[k]), int(corners[k - 1]))) for corners in cut.triangles for k in range(3)
    )
    assert set(sides.values()) == {1, 2}
    rim = sum(math.dist(*cut.points_mm[list(side)]) for side, triangles in sides.items() if triangles == 1)
    drawn = as_meshed(drum)
    assert rim == pytest.approx(drawn.top.intersection(free(drum)).boundary.length, rel=1e-6)


def test_each_tongue_is_a_region_of_its_own_up_to_its_root_line(drum: Drum, cut: Plan) -> None:
    drawn = as_meshed(drum)
    for number, tongue in enumerate(drawn.tongues):
        name = tongue_region(number)
        wood = tongue.intersection(drawn.top)  # stop holes bite into it
        assert area_of(cut, name, bored(name)) == pytest.approx(wood.area, rel=1e-6)


def test_what_is_over_bores_has_their_area(drum: Drum, cut: Plan) -> None:
    over = [name for name in cut.regions if name.endswith(", bored")]
    rims = shapely.union_all(bore_rims(drum.bores, FINENESS.rim_sides))
    assert area_of(cut, *over) == pytest.approx(rims.area, rel=1e-5)


def test_a_bore_is_as_large_as_its_bit_and_in_its_place(known: Any) -> None:
    bores = known["W4"].drum.bores
    for bore, rim in zip(bores, bore_rims(bores, 12), strict=True):
        assert rim.area == pytest.approx(math.pi * bore.diameter_mm**2 / 4.0)
        assert (rim.centroid.x, rim.centroid.y) == pytest.approx((bore.x_mm, bore.y_mm))
        assert len(rim.exterior.coords) == 13


def test_a_bore_across_a_root_is_parted_between_tongue_and_frame(known: Any) -> None:
    drum = known["W1"].drum
    bore = replace(known["W4"].drum.bores[0], x_mm=36.0, y_mm=95.0, diameter_mm=18.0)
    found = planned(replace(drum, bores=(bore,)))
    tongue = bored(tongue_region(1))
    assert {tongue, bored(FRAME)} <= set(found.regions)
    assert area_of(found, tongue) > area_of(found, bored(FRAME)) > 0.0


def test_floors_are_those_of_the_deepest_bore_over_each_point(stepped: Drum) -> None:
    """Away from the slopes between two floors, a triangle lies flat on the deepest bore it is in."""
    found = planned(stepped)
    rims = bore_rims(stepped.bores, FINENESS.rim_sides)
    assert set(np.unique(found.floor_mm)) == {0.0, 4.0, 5.5, 7.0}
    flat = 0
    for corners in found.triangles:
        centre = Point(found.points_mm[corners].mean(axis=0))
        depths = [b.depth_mm for b, rim in zip(stepped.bores, rims, strict=True) if rim.contains(centre)]
        sloped = any(rim.exterior.distance(centre) < 2 * COLLAR_MM for rim in rims)
        if depths and not sloped:
            assert set(found.floor_mm[corners]) == {max(depths)}
            flat += 1
    assert flat > 10


@pytest.mark.parametrize("name", ["W1", "W2"])
def test_triangles_at_the_ends_of_the_slots_are_smaller_than_the_kerf(known: Any, name: str) -> None:
    drum = known[name].drum
    found, drawn = planned(drum), as_meshed(drum)
    corners = sharp_corners(drawn.top.intersection(free(drum)))
    sides = {frozenset(pair) for a, b, c in found.triangles for pair in ((a, b), (b, c), (c, a))}
    for corner in corners:
        place = int(np.argmin(np.hypot(*(found.points_mm - corner).T)))
        assert math.dist(found.points_mm[place], corner) < 2 * SNAP_MM
        shortest = sorted(math.dist(*found.points_mm[list(side)]) for side in sides if place in side)[:2]
        assert shortest[0] < 0.55 * drum.slots.kerf_mm
        assert shortest[1] < 0.8 * drum.slots.kerf_mm


def test_sharp_corners_are_the_ends_of_the_slots_only(known: Any) -> None:
    """Of four slots with two ends each, all on root lines; tips are convex. The walls' corners are too."""
    drum = known["W1"].drum
    drawn = as_meshed(drum)
    found = sharp_corners(drawn.top.intersection(free(drum)))
    roots = {drawn.layout.root_left_mm, drawn.layout.root_right_mm}
    assert {round(x, 6) for x, _ in found} == roots
    half = drum.slots.kerf_mm / 2.0
    ends = sorted({y + side for y in drawn.layout.slot_ys_mm for side in (-half, half)})
    assert sorted({round(y, 6) for _, y in found}) == pytest.approx(ends)


def test_a_notch_is_sharp_and_a_gentle_bend_is_not() -> None:
    notched = Polygon([(0, 0), (10, 0), (10, 10), (6, 10), (5, 5), (4, 10), (0, 10)])
    assert sharp_corners(notched) == {(5.0, 5.0)}
    bent = Polygon([(0, 0), (10, 0), (10, 10), (5, 9.5), (0, 10)])
    assert sharp_corners(bent) == set()


def test_no_side_on_the_inner_face_of_an_end_wall_is_too_long(drum: Drum, cut: Plan) -> None:
    x0, y0, x1, y1 = free(drum).bounds
    for x in (x0, x1):
        on = np.sort(cut.points_mm[abs(cut.points_mm[:, 0] - x) < SNAP_MM, 1])
        assert on[0] == pytest.approx(y0) and on[-1] == pytest.approx(y1)
        assert max(b - a for a, b in pairwise(on)) < FINENESS.wall_mm + SNAP_MM


def test_root_lines_are_lines_of_the_mesh(drum: Drum, cut: Plan) -> None:
    """So that a tongue can be taken out of the mesh along its root."""
    drawn = as_meshed(drum)
    sides = {frozenset(pair) for a, b, c in cut.triangles for pair in ((a, b), (b, c), (c, a))}
    lines = [LineString(cut.points_mm[list(side)]) for side in sides]
    for number in range(len(drawn.tongues)):
        root = root_line(drawn, number).intersection(drawn.top)
        near = root.buffer(10 * SNAP_MM)
        covered = sum(line.length for line in lines if near.contains(line))
        assert covered == pytest.approx(root.length, rel=1e-4)


def test_finer_is_finer(known: Any) -> None:
    drum = known["W2"].drum
    coarse, fine = planned(drum), planned(drum, Fineness(largest_mm=15.0, grading=0.4))
    assert len(fine.triangles) > 2 * len(coarse.triangles)


def test_a_tip_that_falls_between_two_steps_of_rounding_leaves_no_sliver(known: Any) -> None:
    """At such lengths the mesher once ran without end, on a face a ten-thousandth of a millimetre wide."""
    drum = known["W1"].drum
    for step in range(8):
        lengths = [170.53992 + 1e-5 * step, *(tongue.length_mm for tongue in drum.tongues[1:])]
        cut = plan(drum.with_lengths(tuple(lengths)), Fineness())
        corners = cut.points_mm[cut.triangles]
        sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
        assert sides.min() > 0.1
