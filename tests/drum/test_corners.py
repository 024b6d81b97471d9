"""Each corner joint says all that is asked of one, and asks nothing of the rooms that draw and build it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from kerftone.drum.corners import CORNERS, end_of
from kerftone.drum.joinery import EndKind, Wall
from kerftone.drum.shop import Joint
from kerftone.shop.measure import Measure

SRC = Path(__file__).parents[2] / "src" / "kerftone"
OUTSIDE_MM, WALL_MM, HIGH_MM = 400.0, 20.0, 100.0


def walls(joint: Joint) -> tuple[Wall, Wall]:
    """The front and an end wall of a box 400 mm square outside, its walls 20 mm thick and 100 mm high."""
    found = []
    for long_one in (True, False):
        ends = CORNERS[joint].ends(WALL_MM, HIGH_MM, long_one=long_one)
        length = OUTSIDE_MM - 2.0 * ends.back_mm
        found.append(
            Wall(
                name="front" if long_one else "left",
                length_mm=length,
                short_mm=length - 2.0 * ends.cut_mm,
                thickness_mm=WALL_MM,
                height_mm=HIGH_MM,
                ends=ends.kind,
                end_depth_mm=ends.depth_mm,
                fingers_mm=ends.fingers_mm,
            )
        )
    return found[0], found[1]


def taken_mm3(wall: Wall) -> float:
    """What the corner takes from one end of a wall: the area between its old end and its new one, times height."""
    total = 0.0
    for cut in end_of(wall).cuts(wall):
        corners = [(0.0, 0.0), *cut.profile_mm, (0.0, wall.thickness_mm)]
        area = 0.5 * sum(
            a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
        )
        total += area * sum(high - low for low, high in cut.heights_mm)
    return total


def test_every_joint_that_a_file_may_name_has_a_module_and_every_kind_of_end_a_joint() -> None:
    assert set(CORNERS) == set(get_args(Joint))
    assert {corner.kind for corner in CORNERS.values()} == set(get_args(EndKind))


@pytest.mark.parametrize("joint", get_args(Joint))
def test_two_walls_share_the_wood_of_a_corner_without_a_gap_or_an_overlap(joint: Joint) -> None:
    """By hand: a corner holds 20 x 20 x 100 mm, and what the front leaves of it the end wall fills."""
    front, side = walls(joint)
    corner = WALL_MM * WALL_MM * HIGH_MM
    back = 0.5 * (OUTSIDE_MM - side.length_mm)
    left_by_front = corner - taken_mm3(front)
    filled_by_side = (WALL_MM - back) * WALL_MM * HIGH_MM - taken_mm3(side)
    assert left_by_front + filled_by_side == pytest.approx(corner)


@pytest.mark.parametrize("joint", get_args(Joint))
def test_each_says_how_it_is_set_and_drawn(joint: Joint) -> None:
    words = Measure()
    for wall in walls(joint):
        end = end_of(wall)
        cut, settings = end.setting(wall, words)
        assert cut and re.search(r"\d mm", settings)
        assert bool(end.cuts(wall)) == bool(end.said(wall, words)) == (wall.ends != "square")
        assert bool(end.depth_said(wall, words)) == bool(end.layer)


def test_a_spoiled_shape_would_be_found() -> None:
    front, _ = walls("mitre")
    assert taken_mm3(front) == pytest.approx(0.5 * WALL_MM * WALL_MM * HIGH_MM)
    front, _ = walls("rabbet")
    assert taken_mm3(front) == pytest.approx(WALL_MM * 0.5 * WALL_MM * HIGH_MM)


def test_no_other_module_asks_which_joint_it_is() -> None:
    named = re.compile(r"(\.ends|\bjoint)\s*(==|!=|in)\s*\(?[\"']")
    found = [
        f"{path.relative_to(SRC)}: {line.strip()}"
        for path in SRC.rglob("*.py")
        if path.parent.name != "corners"
        for line in path.read_text("utf-8").splitlines()
        if named.search(line)
    ]
    assert found == []
