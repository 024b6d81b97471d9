"""The parts close: built as solids from their own tables, they fill the envelope and never overlap."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.shop import FootRelief
from kerftone.errors import ShopError
from kerftone.shop.box import Box, Wall, box_of

from .conftest import reed

occ = pytest.importorskip("netgen.occ")

JOINTS = ("mitre", "mitre with keys", "butt", "finger", "rabbet")


def brick(x: float, y: float, z: float, length: float, width: float, height: float) -> Any:
    return occ.Box(occ.Pnt(x, y, z), occ.Pnt(x + length, y + width, z + height))


def wedge(corners: list[tuple[float, float]], z: float, height: float) -> Any:
    """An upright prism over a polygon."""
    points = [occ.Pnt(px, py, z) for px, py in corners]
    edges = [occ.Segment(a, b) for a, b in zip(points, points[1:] + points[:1], strict=True)]
    return occ.Face(occ.Wire(edges)).Extrude(occ.Vec(0, 0, height))


def made(wall: Wall) -> Any:
    """One wall, cut from its blank by its own table: u along, v in from the outer face, s up."""
    long, thick, high = wall.length_mm, wall.thickness_mm, wall.height_mm
    solid = brick(0, 0, 0, long, thick, high)
    over = 1.0
    if wall.ends == "mitre":
        off = 0.5 * (wall.length_mm - wall.short_mm)
        reach = thick + over
        run = off * reach / thick
        for left in (True, False):
            triangle = [(0.0, 0.0), (run, reach), (-over, reach), (-over, 0.0)]
            corners = triangle if left else [(long - u, v) for u, v in reversed(triangle)]
            solid = solid - wedge(corners, -over, high + 2 * over)
    if wall.ends == "rabbet":
        off = 0.5 * (wall.length_mm - wall.short_mm)
        for start in (-over, long - off):
            solid = solid - brick(
                start, thick - wall.end_depth_mm, -over, off + over, wall.end_depth_mm + over, high + 2 * over
            )
    if wall.ends == "fingers":
        kept = [0.0, *(s for pair in wall.fingers_mm for s in pair), high]
        gaps = [(a, b) for a, b in zip(kept[::2], kept[1::2], strict=True) if b - a > 1e-9]
        for low, top in gaps:
            for start in (-over, long - thick):
                solid = solid - brick(start, -over, low, thick + over, thick + 2 * over, top - low)
    for rabbet in wall.rabbets:
        s = high - rabbet.depth_mm if rabbet.edge == "upper" else -over
        run = rabbet.to_mm - rabbet.from_mm
        solid = solid - brick(
            rabbet.from_mm, thick - rabbet.width_mm, s, run, rabbet.width_mm + over, rabbet.depth_mm + over
        )
    if wall.relief is not None and wall.relief.shape == "straight":
        run = wall.length_mm - 2 * wall.relief.inset_mm
        solid = solid - brick(
            wall.relief.inset_mm, -over, -over, run, thick + 2 * over, over + wall.relief.rise_mm
        )
    return solid


def placed(box: Box, wall: Wall, solid: Any) -> Any:
    """The wall where it stands in the box: outer faces on the outer rectangle."""
    back = 0.5 * ((box.length_mm if wall.name in ("front", "back") else box.width_mm) - wall.length_mm)
    about = occ.Axis(occ.Pnt(0, 0, 0), occ.Z)
    turn, move = {
        "front": (0, (back, 0.0)),
        "back": (180, (box.length_mm - back, box.width_mm)),
        "right": (90, (box.length_mm, back)),
        "left": (-90, (0.0, box.width_mm - back)),
    }[wall.name]
    turned = solid.Rotate(about, turn) if turn else solid
    return turned.Move(occ.Vec(*move, 0))


def assembled(drum: Drum) -> tuple[Box, dict[str, Any]]:
    """Every part where it belongs; z from the walls' lower edge."""
    box = box_of(drum)
    parts = {wall.name: placed(box, wall, made(wall)) for wall in box.walls}
    off = box.offset_mm
    flush = box.wall_height_mm - drum.top.thickness_mm if drum.box.mount == "in ledge" else box.wall_height_mm
    gap = box.top_clearance_mm
    # the board keeps its size; the pocket round it is larger by the clearance
    parts["top"] = brick(off, off, flush, drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm)
    assert gap >= 0.0
    if box.bottom_mm is not None and drum.bottom is not None:
        length, width, thick = box.bottom_mm
        x, y = 0.5 * (box.length_mm - length), 0.5 * (box.width_mm - width)
        z = drum.bottom.recess_mm if drum.bottom.fit == "let in" else -thick
        parts["bottom"] = brick(x, y, z, length, width, thick)
    return box, parts


def with_keys(drum: Drum, box: Box, parts: dict[str, Any]) -> dict[str, Any]:
    """The corners slotted and the keys put in, as the tables say."""
    leg = math.sqrt(2.0) * box.key_depth_mm
    thick = drum.box.keys.thickness_mm
    corners = {
        "front left": ((0.0, 0.0), 1, 1),
        "front right": ((box.length_mm, 0.0), -1, 1),
        "back left": ((0.0, box.width_mm), 1, -1),
        "back right": ((box.length_mm, box.width_mm), -1, -1),
    }
    for name, ((x, y), dx, dy) in corners.items():
        for at, middle in enumerate(box.walls[0].key_heights_mm):
            points = [(x, y), (x + dx * leg, y), (x, y + dy * leg)]
            key = wedge(points if dx * dy > 0 else points[::-1], middle - 0.5 * thick, thick)
            for wall in name.split():
                parts[wall] = parts[wall] - key
            parts[f"key {name} {at}"] = key
    return parts


def air(drum: Drum, box: Box) -> float:
    """The volume of the box that is not wood, from the drum file alone: cavity, clearances, recess, relief."""
    wall = drum.box.wall_mm
    inner = (box.length_mm - 2 * wall, box.width_mm - 2 * wall)
    cavity = inner[0] * inner[1] * drum.box.height_mm
    if drum.box.mount == "in ledge":
        c = drum.box.clearance_mm
        length, width = drum.top.length_mm, drum.top.width_mm
        cavity += ((length + 2 * c) * (width + 2 * c) - length * width) * drum.top.thickness_mm
    if drum.bottom is not None and drum.bottom.fit == "let in":
        length, width = inner[0] + wall, inner[1] + wall  # let in half a wall on either side
        c = drum.bottom.clearance_mm
        cavity += (length * width - (length - 2 * c) * (width - 2 * c)) * drum.bottom.thickness_mm
        cavity += length * width * drum.bottom.recess_mm
    return cavity


@pytest.mark.outside
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("mount", ["on walls", "in ledge"])
@pytest.mark.parametrize("fit, recess", [(None, 0.0), ("under", 0.0), ("let in", 0.0), ("let in", 6.0)])
def test_the_parts_fill_the_envelope_and_never_overlap(
    joint: str, mount: str, fit: str | None, recess: float
) -> None:
    drum = reed(joint=joint, mount=mount, fit=fit, recess=recess)
    box, parts = assembled(drum)
    if joint == "mitre with keys":
        parts = with_keys(drum, box, parts)
    assert overlap(parts) == pytest.approx(0.0, abs=1.0)
    bottomed = drum.bottom is not None
    envelope = box.length_mm * box.width_mm * box.whole_height_mm
    wood = sum(part.mass for part in parts.values())
    assert wood + air(drum, box) == pytest.approx(envelope, rel=1e-7), (bottomed, wood)
    whole = occ.Glue(list(parts.values()))
    low, high = whole.bounding_box
    size = (high.x - low.x, high.y - low.y, high.z - low.z)
    assert size == pytest.approx((box.length_mm, box.width_mm, box.whole_height_mm), abs=1e-3)


def overlap(parts: dict[str, Any]) -> float:
    """How much wood two parts both claim, mm3."""
    return float(sum((a * b).mass for a, b in combinations(parts.values(), 2)))


@pytest.mark.outside
def test_a_wall_a_tenth_too_long_is_caught_by_the_overlap() -> None:
    drum = reed(joint="butt")
    box, parts = assembled(drum)
    left = box.wall("left")
    parts["left"] = placed(box, left, made(replace(left, length_mm=left.length_mm + 0.1)))
    assert overlap(parts) > 100.0


def test_the_outside_is_what_the_model_has_whatever_the_joint() -> None:
    for joint in JOINTS:
        box = box_of(reed(joint=joint, mount="in ledge"))
        # 400 x 180 and, all round, what stays of a 16 mm wall beside a 7 mm ledge
        assert (box.length_mm, box.width_mm, box.wall_height_mm) == (418.0, 198.0, 104.0)


def test_lengths_at_the_corners_are_what_a_tape_shows() -> None:
    keyed = box_of(reed(joint="mitre")).wall("front")
    assert (keyed.length_mm, keyed.short_mm) == (400.0, 368.0)
    assert box_of(reed(joint="butt")).wall("left").length_mm == 148.0
    rabbet = box_of(reed(joint="rabbet"))
    assert (rabbet.wall("left").length_mm, rabbet.wall("front").end_depth_mm) == (164.0, 8.0)


def test_a_straight_foot_relief_takes_its_rectangle_out_of_each_wall() -> None:
    drum = reed(joint="mitre", fit="let in", recess=6.0)
    cut = replace(
        drum, box=replace(drum.box, foot_relief=FootRelief(shape="straight", rise_mm=5.0, inset_mm=50.0))
    )
    plain, relieved = (sum(p.mass for p in assembled(d)[1].values()) for d in (drum, cut))
    # outside 400 x 180, walls 16 thick, cut half-way into their thickness where the bottom is let in
    assert plain - relieved == pytest.approx(2 * (300.0 + 80.0) * 5.0 * 8.0, rel=1e-6)


@pytest.mark.refusal
@pytest.mark.parametrize(
    "fit, recess, relief, words",
    [
        ("under", 0.0, FootRelief(rise_mm=5.0, inset_mm=50.0), "A relief needs a bottom let in above it"),
        ("let in", 2.0, FootRelief(rise_mm=5.0, inset_mm=50.0), "make the recess 5 mm or the rise 2 mm"),
        (None, 0.0, FootRelief(rise_mm=50.0, inset_mm=50.0), "make the rise 45 mm or less"),
        (None, 0.0, FootRelief(rise_mm=5.0, inset_mm=90.0), "make the inset 72 mm or less"),
        (None, 0.0, FootRelief(rise_mm=5.0, inset_mm=12.0), "make the inset 16 mm or more"),
    ],
)
def test_a_relief_that_opens_the_box_is_refused(
    fit: str | None, recess: float, relief: FootRelief, words: str
) -> None:
    drum = reed(fit=fit, recess=recess)
    with pytest.raises(ShopError, match=words):
        box_of(replace(drum, box=replace(drum.box, foot_relief=relief)))


@pytest.mark.refusal
def test_too_many_keys_are_refused_with_the_number_that_works() -> None:
    drum = reed(joint="mitre with keys")
    many = replace(drum, box=replace(drum.box, keys=replace(drum.box.keys, count=12, thickness_mm=6.0)))
    with pytest.raises(ShopError) as caught:
        box_of(many)
    assert caught.value.nearest == 6
    box_of(replace(many, box=replace(many.box, keys=replace(many.box.keys, count=6))))
