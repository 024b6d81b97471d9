"""The parts close: built as solids from their own tables, they fill the envelope and never overlap."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.drum.shop import FootRelief
from kerftone.errors import ShopError
from kerftone.modal.box_solids import box_solids
from kerftone.shop.box import box_of

from .conftest import reed

occ = pytest.importorskip("netgen.occ")

JOINTS = ("mitre", "mitre with keys", "butt", "finger", "rabbet")


def assembled(drum: Drum) -> tuple[Box, dict[str, Any]]:
    """The box's parts as the STEP file has them, and the top as a plain board of its own size."""
    box, top = box_of(drum), drum.top
    parts = box_solids(box)
    parts["top"] = occ.Box(occ.Pnt(0, 0, 0), occ.Pnt(top.length_mm, top.width_mm, top.thickness_mm))
    if drum.box.mount == "on a lip":  # 6 mm over the walls, 0.5 mm of air, 6 of the 14 mm hang
        lip = occ.Box(occ.Pnt(0, 0, 6.0), occ.Pnt(top.length_mm, top.width_mm, 14.0))
        parts["top"] = lip + occ.Box(
            occ.Pnt(6.5, 6.5, 0), occ.Pnt(top.length_mm - 6.5, top.width_mm - 6.5, 6.0)
        )
    return box, parts


def air(drum: Drum, box: Box) -> float:
    """The volume of the box that is not wood, from the drum file alone: cavity, clearances, recess, relief."""
    wall = drum.box.wall_mm
    inner = (box.length_mm - 2 * wall, box.width_mm - 2 * wall)
    cavity = inner[0] * inner[1] * drum.box.height_mm
    if drum.box.mount == "in ledge":
        c = drum.box.clearance_mm
        length, width = drum.top.length_mm, drum.top.width_mm
        cavity += ((length + 2 * c) * (width + 2 * c) - length * width) * drum.top.thickness_mm
    if drum.box.mount == "on a lip":
        outside = box.length_mm * box.width_mm
        cavity -= (
            (inner[0] - 1.0) * (inner[1] - 1.0) * 6.0
        )  # the body hangs 6 mm into it, 0.5 mm off the walls
        cavity += (
            outside - drum.top.length_mm * drum.top.width_mm
        ) * 8.0  # air beside the lip, over the walls
    if drum.bottom is not None and drum.bottom.fit == "on a lip":
        cavity -= (inner[0] - 1.0) * (inner[1] - 1.0) * 4.0  # 4 of its 8 mm stand up
        rabbet, lip = ((inner[0] + more) * (inner[1] + more) for more in (13.0, 12.0))
        cavity += (rabbet - lip) * 4.0 + rabbet * drum.bottom.recess_mm
    if drum.bottom is not None and drum.bottom.fit == "let in":
        length, width = inner[0] + wall, inner[1] + wall  # let in half a wall on either side
        c = drum.bottom.clearance_mm
        cavity += (length * width - (length - 2 * c) * (width - 2 * c)) * drum.bottom.thickness_mm
        cavity += length * width * drum.bottom.recess_mm
    return cavity


@pytest.mark.outside
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("mount", ["on walls", "in ledge", "on a lip"])
@pytest.mark.parametrize(
    "fit, recess",
    [(None, 0.0), ("under", 0.0), ("let in", 0.0), ("let in", 6.0), ("on a lip", 0.0), ("on a lip", 6.0)],
)
def test_the_parts_fill_the_envelope_and_never_overlap(
    joint: str, mount: str, fit: str | None, recess: float
) -> None:
    drum = reed(joint=joint, mount=mount, fit=fit, recess=recess)
    box, parts = assembled(drum)
    keys = 4 * drum.box.keys.count if joint == "mitre with keys" else 0
    assert len(parts) == 5 + (drum.bottom is not None) + keys
    assert overlap(parts) == pytest.approx(0.0, abs=1.0)
    envelope = box.length_mm * box.width_mm * box.whole_height_mm
    wood = sum(part.mass for part in parts.values())
    assert wood + air(drum, box) == pytest.approx(envelope, rel=1e-7)
    whole = occ.Glue(list(parts.values()))
    low, high = whole.bounding_box
    size = (high.x - low.x, high.y - low.y, high.z - low.z)
    assert size == pytest.approx((box.length_mm, box.width_mm, box.whole_height_mm), abs=1e-3)


def overlap(parts: dict[str, Any]) -> float:
    """How much wood two parts both claim, mm3."""
    return float(sum((a * b).mass for a, b in combinations(parts.values(), 2)))


@pytest.mark.outside
def test_a_wall_a_tenth_too_long_is_caught_by_the_overlap() -> None:
    box = box_of(reed(joint="butt"))
    left = box.wall("left")
    longer = replace(left, length_mm=left.length_mm + 0.1)
    spoiled = replace(box, walls=tuple(longer if wall is left else wall for wall in box.walls))
    assert overlap(box_solids(box)) == pytest.approx(0.0, abs=1.0)
    assert overlap(box_solids(spoiled)) > 100.0


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


def segment_mm2(chord: float, rise: float) -> float:
    """The area between an arc and its chord: the textbook's sector less its triangle."""
    radius = chord**2 / (8.0 * rise) + 0.5 * rise
    angle = 2.0 * math.asin(0.5 * chord / radius)
    return 0.5 * radius**2 * (angle - math.sin(angle))


@pytest.mark.outside
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("shape", ["arch", "straight"])
@pytest.mark.parametrize("fit, recess", [(None, 0.0), ("let in", 6.0)])
def test_a_foot_relief_takes_its_arch_out_of_each_wall_and_the_box_still_closes(
    joint: str, shape: str, fit: str | None, recess: float
) -> None:
    drum = reed(joint=joint, fit=fit, recess=recess)
    relief = FootRelief(shape=shape, rise_mm=5.0, inset_mm=50.0)  # type: ignore[arg-type]
    box, parts = assembled(replace(drum, box=replace(drum.box, foot_relief=relief)))
    # outside 400 x 180 and 50 mm from every corner, whatever the joint; where the bottom is let in, half of
    # the 16 mm is gone there already
    area = {
        "arch": 2.0 * (segment_mm2(300.0, 5.0) + segment_mm2(80.0, 5.0)),
        "straight": 2.0 * (300.0 + 80.0) * 5.0,
    }[shape]
    cut = area * (16.0 if fit is None else 8.0)
    envelope = box.length_mm * box.width_mm * box.whole_height_mm
    wood = sum(part.mass for part in parts.values())
    assert wood + air(drum, box) + cut == pytest.approx(envelope, rel=1e-7)
    assert overlap(parts) == pytest.approx(0.0, abs=1.0)
    # An arch drawn as a parabola, or of a wall's length more or less by the joint, would be seen: they differ by
    # more than what is allowed here.
    parabola = 2.0 / 3.0 * 2.0 * (300.0 + 80.0) * 5.0
    assert abs(area - parabola) * 8.0 > 10 * 1e-7 * envelope


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
