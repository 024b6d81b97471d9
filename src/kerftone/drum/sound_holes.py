"""Where sound holes lie: in the frame of the part they are cut in, and in that of the drum.

A wall's frame is its own (`joinery.py`): along from its left end as seen from outside, up from its lower edge. The
bottom's is seen from above: along from the left edge of its board, up from its front edge. A hole whose place is left
open lies in the middle of what is free inside. The frame of the drum: x along, y across, z up from the top's
underside. All in mm.
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.drum.build_shop import Refuse
from kerftone.drum.corners import CORNERS
from kerftone.drum.design import Drum, HolePart, SoundHole
from kerftone.drum.joinery import SoundCut
from kerftone.drum.seat import below_mm, beside_mm, bite_mm, depth_mm, drop_mm, inside_mm, rise_mm
from kerftone.units import format_length

RIM_MM = 5.0
"""Wood that stays between a sound hole and whatever its part meets inside, or the next hole. Own judgement."""
_SLACK = 1e-6
"""Rounding, in mm: nothing a maker could measure."""


@dataclass(frozen=True, kw_only=True)
class PlacedHole:
    """A sound hole with its place: `cut` in the frame of its part, `at_mm` (x, y, z) of its middle on the outer face
    in the frame of the drum."""

    hole: SoundHole
    cut: SoundCut
    at_mm: tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class _Free:
    """What of a part is free inside, in its own frame: from where to where along and up, and what bounds it there.

    Over `bars_up` root bars take `bar` from either end besides.
    """

    along: tuple[float, float]
    up: tuple[float, float]
    ends: str
    low: str
    high: str
    bars_up: float = float("inf")
    bar: float = 0.0


def placed_holes(drum: Drum) -> tuple[PlacedHole, ...]:
    """Every sound hole of this drum with its place. Held by tests/drum/test_sound_holes.py."""
    return tuple(_placed(drum, hole) for hole in drum.sound_holes)


def _placed(drum: Drum, hole: SoundHole) -> PlacedHole:
    free = _free(drum, hole.part)
    along = 0.5 * sum(free.along) if hole.along_mm is None else hole.along_mm
    up = 0.5 * sum(free.up) if hole.up_mm is None else hole.up_mm
    cut = SoundCut(u_mm=along, s_mm=up, wide_mm=hole.diameter_mm, long_mm=hole.long_mm)
    return PlacedHole(hole=hole, cut=cut, at_mm=_in_drum(drum, hole.part, along, up))


def _begins(drum: Drum, part: HolePart) -> float:
    """How far inside the outer corner of the box the part begins."""
    if part == "bottom":
        bottom, bite = drum.bottom, bite_mm(drum)
        return drum.box.wall_mm - bite + bottom.clearance_mm if bottom is not None and bite else 0.0
    height = drum.box.height_mm + below_mm(drum)
    return CORNERS[drum.box.joint].ends(drum.box.wall_mm, height, long_one=part in ("front", "back")).back_mm


def _outside(drum: Drum) -> tuple[float, float]:
    """Length and width of the box."""
    more = 2.0 * beside_mm(drum)
    return drum.top.length_mm + more, drum.top.width_mm + more


def _free(drum: Drum, part: HolePart) -> _Free:
    length, width = _outside(drum)
    back, wall, box = _begins(drum, part), drum.box.wall_mm, drum.box
    span = length if part in ("front", "back", "bottom") else width
    along = (wall - back, span - wall - back)
    if part == "bottom":
        return _Free(
            along=along, up=(wall - back, width - wall - back), ends="a wall", low="a wall", high="a wall"
        )
    floor = below_mm(drum) + rise_mm(drum)
    high = floor + inside_mm(drum)
    relief = box.foot_relief
    low = relief.rise_mm if drum.bottom is None and relief is not None else floor
    under = "the bottom" if drum.bottom is not None else "the lower edge"
    barred = high - box.root_bar_height_mm
    if box.root_bar_mm and part in ("left", "right"):
        return _Free(along=along, up=(low, barred), ends="the corner", low=under, high="the root bar")
    bars = {"bars_up": barred, "bar": box.root_bar_mm} if box.root_bar_mm else {}
    return _Free(along=along, up=(low, high), ends="the corner", low=under, high="the top", **bars)


def _in_drum(drum: Drum, part: HolePart, along: float, up: float) -> tuple[float, float, float]:
    """The frame of a part into that of the drum."""
    off, back = -beside_mm(drum), _begins(drum, part)
    length, width = _outside(drum)
    from_left = along + back
    if part == "bottom":
        return off + from_left, off + up + back, -depth_mm(drum)
    z = up - (drum.box.height_mm + below_mm(drum) - drop_mm(drum))
    x, y = {
        "front": (from_left, 0.0),
        "back": (length - from_left, width),
        "left": (0.0, width - from_left),
        "right": (length, from_left),
    }[part]
    return off + x, off + y, z


def check_sound_holes(drum: Drum, refuse: Refuse) -> Drum:
    """The same drum, if every hole lies in free wood.

    Parameters
    ----------
    drum : Drum
        As its file means it.
    refuse : Refuse
        Raises the refusal of the file at one of its keys.
    """
    for number, hole in enumerate(drum.sound_holes):
        _check_part(drum, hole, number, refuse)
        _check_place(drum, hole, number, refuse)
    _check_apart(drum, refuse)
    return drum


def _check_part(drum: Drum, hole: SoundHole, number: int, refuse: Refuse) -> None:
    if hole.part == "bottom" and drum.bottom is None:
        refuse(
            ("sound_holes", number, "part"),
            f"Sound hole {number + 1} is in the bottom, and this drum has none: write another part, or add a "
            "[bottom] table.",
        )
    if hole.length_mm is not None and hole.length_mm < hole.diameter_mm - _SLACK:
        units = drum.units
        refuse(
            ("sound_holes", number, "length"),
            f"Sound hole {number + 1} is {format_length(hole.length_mm, units)} long and "
            f"{format_length(hole.diameter_mm, units)} wide. A slot lies along its part and is no shorter than wide: "
            f"write length = {format_length(hole.diameter_mm, units)} or more, or leave it out for a round hole.",
        )


def _check_place(drum: Drum, hole: SoundHole, number: int, refuse: Refuse) -> None:
    """Refuse a hole that meets the corner, the bottom, the top or a root bar."""
    free, placed, units = _free(drum, hole.part), _placed(drum, hole), drum.units
    half = {"along": 0.5 * hole.long_mm + RIM_MM, "up": 0.5 * hole.diameter_mm + RIM_MM}
    over = placed.cut.s_mm + half["up"] > free.bars_up
    more = free.bar if over else 0.0
    spans = {"along": (free.along[0] + more, free.along[1] - more), "up": free.up}
    meets = {"along": ("the root bar" if over else free.ends,) * 2, "up": (free.low, free.high)}
    for key, given in (("along", placed.cut.u_mm), ("up", placed.cut.s_mm)):
        low, high = spans[key][0] + half[key], spans[key][1] - half[key]
        if low - _SLACK <= given <= high + _SLACK:
            continue
        at = ("sound_holes", number, key if getattr(hole, f"{key}_mm") is not None else "diameter")
        if high < low:
            most = max(high - low + 2.0 * half[key] - 2.0 * RIM_MM, 0.0)
            name = "length" if key == "along" and hole.length_mm is not None else "diameter"
            refuse(
                at,
                f"Sound hole {number + 1} has no room in the {_named(hole)}: {format_length(most, units)} are left "
                f"there between {' and '.join(dict.fromkeys(meets[key]))}, with {format_length(RIM_MM, units)} of "
                f"wood beside it. Write {format_length(most, units)} or less as its {name}, or choose another part.",
            )
        nearest = min(max(given, low), high)
        refuse(
            at,
            f"Sound hole {number + 1} is {format_length(given, units)} {key} the {_named(hole)}, where it comes "
            f"nearer than {format_length(RIM_MM, units)} to {meets[key][given > high]}. The nearest that works is "
            f"{format_length(nearest, units)}: write that as {key}.",
        )


def _named(hole: SoundHole) -> str:
    return "bottom" if hole.part == "bottom" else f"{hole.part} wall"


def _check_apart(drum: Drum, refuse: Refuse) -> None:
    """Refuse two holes with too little wood between them."""
    holes = placed_holes(drum)
    for number, one in enumerate(holes):
        for before, other in enumerate(holes[:number]):
            if one.hole.part != other.hole.part:
                continue
            along = abs(one.cut.u_mm - other.cut.u_mm) - 0.5 * (one.hole.long_mm + other.hole.long_mm)
            up = abs(one.cut.s_mm - other.cut.s_mm) - 0.5 * (one.hole.diameter_mm + other.hole.diameter_mm)
            if max(along, up) < RIM_MM - _SLACK:
                away = RIM_MM + 0.5 * (one.hole.long_mm + other.hole.long_mm)
                refuse(
                    ("sound_holes", number),
                    f"Sound holes {before + 1} and {number + 1} in the {_named(one.hole)} are nearer to each other "
                    f"than {format_length(RIM_MM, drum.units)}. Put their middles "
                    f"{format_length(away, drum.units)} apart along it, or make one of both.",
                )
