"""How the box of a drum goes together: the outside, the four walls with their joints, the bottom.

What it is made of, and the frames, are in `kerftone.drum.joinery`. mm. The outside is what the vibration model
has: the joint only says which wall owns which part of a corner. What a clearance takes is air. Nothing here knows
prices, tools or paper.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, cast

from kerftone.drum.corners import CORNERS, Ends
from kerftone.drum.design import Box as DrumBox
from kerftone.drum.design import Drum
from kerftone.drum.file_keys import bounds
from kerftone.drum.joinery import Box, LipStep, Rabbet, RootBar, Wall
from kerftone.drum.seat import BITE_SHARE, below_mm, beside_mm, bite_mm, drop_mm, let_in, rise_mm
from kerftone.drum.shop import FootRelief, WallName
from kerftone.drum.sound_holes import placed_holes
from kerftone.errors import ShopError
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.wall_holes import check_beside_sound_hole, with_holes

Step = tuple[str, float, float]
"""A step along the inner edges of all walls: which edge, into the thickness, down the height."""
LEAST_LIP_MM = 2.0
"""Wood of the wall beside the top; thinner breaks off as it is cut. Own judgement."""


def box_of(drum: Drum) -> Box:
    """How the box of this drum goes together. Raises ShopError where its parts cannot.

    Held by tests/shop/test_box.py, which builds every joint and mount as solids and fills the envelope.
    """
    box, bottom = drum.box, drum.bottom
    _check(drum)
    offset, drop = beside_mm(drum), drop_mm(drum)
    length, width = drum.top.length_mm + 2.0 * offset, drum.top.width_mm + 2.0 * offset
    above = drum.top.thickness_mm if box.mount == "in ledge" else 0.0
    below = below_mm(drum)
    height = above + box.height_mm + below
    bite = bite_mm(drum)
    steps = [("upper", box.ledge_mm + box.clearance_mm, above)] if above else []
    steps += [("lower", bite, below)] if bite else []
    names: tuple[WallName, ...] = ("front", "back", "left", "right")
    whole_height = height + (0.0 if above else drum.top.thickness_mm - drop)
    whole_height += bottom.thickness_mm if bottom and not bite else 0.0
    keys = CORNERS[box.joint].key_depth_mm(box, drum.units)
    made = Box(
        length_mm=length,
        width_mm=width,
        wall_mm=box.wall_mm,
        wall_height_mm=height,
        whole_height_mm=whole_height,
        walls=tuple(
            _wall(drum, name, length if name in ("front", "back") else width, height, steps) for name in names
        ),
        joint=box.joint,
        offset_mm=offset,
        top_clearance_mm=box.clearance_mm if above or drop else 0.0,
        flush_mm=height - above - drop,
        bottom_mm=_bottom_size(drum, length, width, bite),
        bottom_low_mm=bottom.recess_mm if bottom and bite else -(bottom.thickness_mm if bottom else 0.0),
        let_in_mm=bite,
        key_depth_mm=keys,
        key_thick_mm=box.keys.thickness_mm if keys else 0.0,
        top_step=top_step(drum),
        bottom_step=_bottom_step(drum),
    )
    return with_sound_holes(drum, with_holes(drum, with_bars(drum, made)))


def with_sound_holes(drum: Drum, box: Box) -> Box:
    """The same box with its sound holes. Raises ShopError where one meets a hole of the pickup."""
    if not drum.sound_holes:
        return box
    placed, words = placed_holes(drum), measure_of(drum)
    walls = []
    for wall in box.walls:
        cuts = tuple(one.cut for one in placed if one.hole.part == wall.name)
        for cut in cuts:
            check_beside_sound_hole(wall, cut, words)
        walls.append(replace(wall, sound_holes=cuts))
    below = tuple(one.cut for one in placed if one.hole.part == "bottom")
    return replace(box, walls=tuple(walls), bottom_holes=below)


def top_step(drum: Drum) -> LipStep | None:
    """The rabbet round the underside of a top on a lip; None on other mounts."""
    if drum.box.mount != "on a lip":
        return None
    wide = drum.top.lip_mm + drum.box.clearance_mm
    return LipStep(width_mm=wide, depth_mm=drop_mm(drum), left_mm=drum.top.lip_thickness_mm)


def _bottom_step(drum: Drum) -> LipStep | None:
    """The rabbet round the upper face of a bottom on a lip; None for any other."""
    bottom = drum.bottom
    if bottom is None or bottom.fit != "on a lip":
        return None
    return LipStep(
        width_mm=bottom.lip_mm + bottom.clearance_mm, depth_mm=rise_mm(drum), left_mm=bottom.lip_thickness_mm
    )


def with_bars(drum: Drum, box: Box) -> Box:
    """The same box with a root bar on each end wall, as long as the inside is wide; as it is where there is none."""
    wide, high = drum.box.root_bar_mm, drum.box.root_bar_height_mm
    if wide <= 0.0:
        return box

    def barred(wall: Wall) -> Wall:
        start = drum.box.wall_mm - 0.5 * (box.width_mm - wall.length_mm)
        bar = RootBar(
            from_mm=start,
            to_mm=wall.length_mm - start,
            low_mm=box.flush_mm - high,
            high_mm=box.flush_mm,
            thick_mm=wide,
        )
        return replace(wall, root_bar=bar)

    return replace(box, walls=tuple(barred(w) if w.name in ("left", "right") else w for w in box.walls))


def _bottom_size(drum: Drum, length: float, width: float, bite: float) -> tuple[float, float, float] | None:
    bottom = drum.bottom
    if bottom is None:
        return None
    less = 2.0 * (drum.box.wall_mm - bite + bottom.clearance_mm) if bite else 0.0
    return length - less, width - less, bottom.thickness_mm


def _wall(drum: Drum, name: WallName, outside: float, height: float, steps: list[Step]) -> Wall:
    wall, corner = drum.box.wall_mm, CORNERS[drum.box.joint]
    ends = corner.ends(wall, height, long_one=name in ("front", "back"))
    length = outside - 2.0 * ends.back_mm
    taken = {edge: depth for edge, _, depth in steps}
    free = taken.get("lower", 0.0), height - taken.get("upper", 0.0)
    return Wall(
        name=name,
        length_mm=length,
        short_mm=length - 2.0 * ends.cut_mm,
        thickness_mm=wall,
        height_mm=height,
        ends=ends.kind,
        end_depth_mm=ends.depth_mm,
        fingers_mm=ends.fingers_mm,
        rabbets=tuple(_rabbet(step, outside, drum, ends) for step in steps),
        key_heights_mm=corner.key_heights_mm(drum.box, free, measure_of(drum)),
        relief=_relief(drum, ends.back_mm),
    )


def _relief(drum: Drum, back: float) -> FootRelief | None:
    """The cut-out in this wall's own frame: a wall between two others begins `back` inside the corner."""
    relief = drum.box.foot_relief
    return None if relief is None else replace(relief, inset_mm=relief.inset_mm - back)


def _rabbet(step: Step, outside: float, drum: Drum, ends: Ends) -> Rabbet:
    """One step along this wall: it stops short where the corner's wood beyond it would show the cut."""
    edge, width, depth = step
    wall, lip = drum.box.wall_mm, drum.box.wall_mm - width
    start = max(0.0, lip - ends.back_mm)
    runs_out = start == 0.0 or CORNERS[drum.box.joint].runs_out(ends, wall, beside_mm=lip, step_mm=depth)
    whole = outside - 2.0 * ends.back_mm
    return Rabbet(
        edge=cast(Literal["upper", "lower"], edge),
        width_mm=width,
        depth_mm=depth,
        from_mm=start if not runs_out else 0.0,
        to_mm=whole - start if not runs_out else whole,
        through=runs_out,
    )


def _check(drum: Drum) -> None:
    """Refuse a box whose steps, relief and walls cannot all be had."""
    box, bottom, words = drum.box, drum.bottom, measure_of(drum)
    if box.mount == "in ledge" and box.wall_mm - box.ledge_mm - box.clearance_mm < LEAST_LIP_MM:
        most = max(0.0, box.wall_mm - box.ledge_mm - LEAST_LIP_MM)
        raise ShopError(
            f"The ledge of {words(box.ledge_mm)} and the clearance of {words(box.clearance_mm)} leave "
            f"{words(box.wall_mm - box.ledge_mm - box.clearance_mm)} of the {words(box.wall_mm)} wall "
            "beside the "
            f"top. At least {words(LEAST_LIP_MM)} must stay: make the clearance {words(most)} or less.",
            given=box.clearance_mm,
            limit=LEAST_LIP_MM,
            nearest=most,
        )
    if bottom is not None and bottom.fit == "let in" and bottom.clearance_mm > 0.5 * BITE_SHARE * box.wall_mm:
        most = 0.5 * BITE_SHARE * box.wall_mm
        raise ShopError(
            f"The bottom has {words(bottom.clearance_mm)} of clearance in a rabbet "
            f"{words(BITE_SHARE * box.wall_mm)} wide. Half of that must stay to glue to: make its "
            "clearance "
            f"{words(most)} or less.",
            given=bottom.clearance_mm,
            limit=most,
            nearest=most,
        )
    _check_relief(drum)


def _check_relief_bar(drum: Drum, relief: FootRelief, words: Measure) -> None:
    """Refuse a cut-out in the end walls that bares their root bars; a bottom let in has it below them already."""
    box = drum.box
    room = box.height_mm - box.root_bar_height_mm
    if drum.bottom is not None or box.root_bar_mm <= 0.0 or relief.rise_mm <= room + 1e-9:
        return
    most = box.height_mm - relief.rise_mm
    mends = (
        [f"make root_bar_height {words(most)} or less"]
        if most >= bounds(DrumBox, "root_bar_height").low
        else []
    )
    mends.append(f"make the rise {words(room)}" if room > 0.0 else "leave [box.foot_relief] out")
    raise ShopError(
        f"The foot relief rises {words(relief.rise_mm)} and the root bars come down to {words(room)} over the lower "
        f"edge, so that the cut-out would show them. They must end above it: {', or '.join(mends)}.",
        given=relief.rise_mm,
        limit=room,
        nearest=most,
    )


def _check_relief(drum: Drum) -> None:
    relief, bottom, words = drum.box.foot_relief, drum.bottom, measure_of(drum)
    if relief is None:
        return
    if bottom is not None and not let_in(bottom):
        raise ShopError(
            "The walls have a foot relief and the bottom lies under them, so that the cut-out would "
            "open into the "
            'box. A relief needs a bottom let in above it: write fit = "let in" and a recess of '
            f"{words(relief.rise_mm)} in [bottom], or leave [box.foot_relief] out.",
            given=relief.rise_mm,
            nearest="let in",
        )
    if bottom is not None and relief.rise_mm > bottom.recess_mm + 1e-9:
        raise ShopError(
            f"The foot relief rises {words(relief.rise_mm)} and the bottom is recessed "
            f"{words(bottom.recess_mm)}. "
            "A relief higher than the recess bares the bottom's edge: make the recess "
            f"{words(relief.rise_mm)} "
            f"or the rise {words(bottom.recess_mm)}.",
            given=relief.rise_mm,
            limit=bottom.recess_mm,
            nearest=bottom.recess_mm,
        )
    if bottom is None and relief.rise_mm > 0.5 * drum.box.height_mm:
        raise ShopError(
            f"The foot relief rises {words(relief.rise_mm)} in walls {words(drum.box.height_mm)} "
            "high. Half of a "
            f"wall must stay: make the rise {words(0.5 * drum.box.height_mm)} or less.",
            given=relief.rise_mm,
            limit=0.5 * drum.box.height_mm,
            nearest=0.5 * drum.box.height_mm,
        )
    _check_relief_bar(drum, relief, words)
    _check_relief_inset(drum, relief, words)


def _check_relief_inset(drum: Drum, relief: FootRelief, words: Measure) -> None:
    """Refuse a cut-out that runs into the corner joints, or leaves nothing to cut out."""
    wall = drum.box.wall_mm
    if relief.inset_mm < wall:
        raise ShopError(
            f"The foot relief begins {words(relief.inset_mm)} from each corner, inside the {words(wall)} that "
            f"the corner joint needs: make the inset {words(wall)} or more.",
            given=relief.inset_mm,
            limit=wall,
            nearest=wall,
        )
    across = drum.top.width_mm + 2.0 * beside_mm(drum)
    if relief.inset_mm > 0.4 * across:
        raise ShopError(
            f"The foot relief begins {words(relief.inset_mm)} from each corner of a box "
            f"{words(across)} wide. "
            f"Nothing would be cut out: make the inset {words(0.4 * across)} or less.",
            given=relief.inset_mm,
            limit=0.4 * across,
            nearest=0.4 * across,
        )
