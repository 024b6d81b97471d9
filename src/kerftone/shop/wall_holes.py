"""Where the walls are bored for the pickup's jack and volume control, and how deep for a short thread.

In the wall's own frame, mm: u along it from its left end as seen from outside, s up from its lower edge. A place
the drum file leaves open lies in the middle of the height that is free inside, a quarter of the length from an
end, or as near to that as the bodies allow. A place it gives is kept, or refused with the nearest that works.

How wide bodies, nuts and washers are is from memory: measure the parts in hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box, SoundCut, Wall, WallHole
from kerftone.drum.shop import Pickup, WallName
from kerftone.drum.sound_holes import RIM_MM
from kerftone.errors import ShopError
from kerftone.shop.measure import Measure, measure_of
from kerftone.units import MM_PER_INCH, Units

BUSHING_ROOM_MM = 0.4
"""A close fit for a threaded bushing: our own judgement."""
BODY_MM: dict[Units, float] = {"mm": 30.0, "in": 1.125 * MM_PER_INCH}
"""Room for a volume control behind the wall, and for a jack: the next Forstner bit over one inch (from memory)."""
NUT_RIM_MM = 4.0
"""How far nut and washer reach over the hole: from memory."""
NUT_AND_WASHER_MM = 3.5
"""Thread that must stand out of the wall for them: from memory."""
TENTH_MM = 0.1
"""As finely as a depth is set and told in millimetres."""
LEAST_AT_BUSHING_MM = 3.0
"""Wood that must stay under the nut."""
SHARE_ALONG = 0.25
"""How far from a corner a hole is put, as a share of the wall, where nothing is in its way: own judgement."""
_SLACK = 1e-6
"""Rounding, in mm: nothing a maker could measure."""


@dataclass(frozen=True, kw_only=True)
class _Room:
    """Where in one wall the middle of a hole may lie: from and to along, from and to up.

    Over `under_bars_mm` a body needs `bar_mm` more from either end, for the root bars of the walls there.
    """

    left_mm: float
    right_mm: float
    low_mm: float
    high_mm: float
    body_mm: float
    bar_mm: float = 0.0
    under_bars_mm: float = math.inf

    def margin_mm(self, up_mm: float) -> float:
        """How far from either end the middle of a hole at this height must be."""
        return self.left_mm + (self.bar_mm if up_mm > self.under_bars_mm + _SLACK else 0.0)


def with_holes(drum: Drum, box: Box) -> Box:
    """The same box with the wall of the pickup bored; a box without a pickup is left as it is.

    Raises ShopError when a hole meets a joint, a key, the top's ledge, a root bar, the bottom, the foot relief or
    the other hole. Held by tests/shop/test_wall_holes.py.
    """
    pickup = drum.making.pickup
    if pickup is None:
        return box
    wall = replace(box.wall(pickup.wall), holes=_holes(drum, box, pickup))
    return replace(box, walls=tuple(wall if one.name == wall.name else one for one in box.walls))


def thread_takes_mm(thread_mm: float) -> float:
    """How much wood a bushing with this much thread can pass, nut and washer allowed for."""
    return thread_mm - NUT_AND_WASHER_MM


def counterbore_mm(drum: Drum, thread_mm: float) -> float:
    """How deep the inner face is bored so that this thread reaches through what stays; 0 where that is no help.

    On the rule, rather deeper than not, as long as enough wood stays under the nut.
    """
    wall, takes = drum.box.wall_mm, thread_takes_mm(thread_mm)
    if takes >= wall or takes < LEAST_AT_BUSHING_MM:
        return 0.0
    step = TENTH_MM if drum.units == "mm" else MM_PER_INCH / drum.shop.fraction
    on_rule = step * math.ceil((wall - takes) / step - _SLACK)
    return on_rule if wall - on_rule >= LEAST_AT_BUSHING_MM else wall - takes


def _holes(drum: Drum, box: Box, pickup: Pickup) -> tuple[WallHole, WallHole]:
    wall, words = box.wall(pickup.wall), measure_of(drum)
    room = _room(box, wall, BODY_MM[drum.units])
    _check_room(wall, room, words)
    up = 0.5 * (room.low_mm + room.high_mm)
    along = max(room.margin_mm(up), SHARE_ALONG * wall.length_mm)
    across = pickup.bushing_mm + BUSHING_ROOM_MM
    jack = WallHole(
        what="jack",
        u_mm=along if pickup.jack_along_mm is None else pickup.jack_along_mm,
        s_mm=up if pickup.jack_up_mm is None else pickup.jack_up_mm,
        diameter_mm=across,
        **_counterbore(drum, pickup.jack_thread_mm),
    )
    pot = WallHole(
        what="volume control",
        u_mm=wall.length_mm - along if pickup.pot_along_mm is None else pickup.pot_along_mm,
        s_mm=up if pickup.pot_up_mm is None else pickup.pot_up_mm,
        diameter_mm=across,
        **_counterbore(drum, pickup.pot_thread_mm),
    )
    for hole in (jack, pot):
        _check_hole(box, wall, hole, room, words)
    _check_apart(jack, pot, room, words)
    return jack, pot


def _counterbore(drum: Drum, thread_mm: float) -> dict[str, float]:
    """What must be taken from the inner face for this thread to reach; nothing where it cannot be mended so."""
    deep = counterbore_mm(drum, thread_mm)
    return {"wide_mm": BODY_MM[drum.units], "deep_mm": deep} if deep else {}


def _room(box: Box, wall: Wall, body_mm: float) -> _Room:
    """The inner face as seen from inside the box: between the corners, over the bottom, under the top or its bar."""
    outside = box.length_mm if wall.name in ("front", "back") else box.width_mm
    corner = 0.5 * (wall.length_mm - outside) + box.wall_mm
    low = box.bottom_low_mm + box.bottom_mm[2] if box.bottom_mm is not None else 0.0
    half, bar = 0.5 * body_mm, box.root_bar
    beside = bar is not None and wall.root_bar is None
    return _Room(
        left_mm=corner + half,
        right_mm=wall.length_mm - corner - half,
        low_mm=max(low, 0.0) + half,
        high_mm=(box.flush_mm if wall.root_bar is None else wall.root_bar.low_mm) - half,
        body_mm=body_mm,
        bar_mm=bar.thick_mm if bar is not None and beside else 0.0,
        under_bars_mm=bar.low_mm - half if bar is not None and beside else math.inf,
    )


def _check_room(wall: Wall, room: _Room, words: Measure) -> None:
    """Refuse a wall that is too low or too short for two bodies wherever they sit."""
    free = max(0.0, room.high_mm - room.low_mm + room.body_mm)
    if free < room.body_mm - _SLACK:
        over = "top" if wall.root_bar is None else "root bar"
        other_wall = "" if wall.root_bar is None else ' write wall = "back" in [pickup],'
        raise ShopError(
            f"Inside the {wall.name} wall {words(free)} are free between {over} and bottom. A volume control is some "
            f"{words(room.body_mm)} wide:{other_wall} make the walls {words(room.body_mm - free)} higher, or leave "
            "[pickup] out.",
            given=free,
            limit=room.body_mm,
            nearest=wall.height_mm + room.body_mm - free,
        )
    taken = room.margin_mm(room.low_mm) - room.left_mm  # by root bars that leave no room below them
    long = max(0.0, room.right_mm - room.left_mm - 2.0 * taken + room.body_mm)
    if long < 2.0 * room.body_mm - _SLACK:
        other: WallName = "back" if wall.name in ("left", "right") else "left"
        raise ShopError(
            f"Inside the {wall.name} wall {words(long)} are free between the {'root bars' if taken else 'corners'}. "
            f"A jack and a volume control side by side need {words(2.0 * room.body_mm)}: write wall = "
            f'"{other}" in [pickup], or leave it out.',
            given=long,
            limit=2.0 * room.body_mm,
            nearest=other,
        )


def _check_hole(box: Box, wall: Wall, hole: WallHole, room: _Room, words: Measure) -> None:
    for key, given, least, most, what in _limits(box, wall, hole, room):
        if least - _SLACK <= given <= most + _SLACK:
            continue
        nearest = min(max(given, least), most)
        raise ShopError(
            f"The hole for the {hole.what} is {words(given)} {_FROM[key]} of the {wall.name} wall, where it meets "
            f"{what}. The nearest that works is {words(nearest)}: write that as {_KEYS[hole.what]}_{key} in "
            "[pickup].",
            given=given,
            limit=nearest,
            nearest=nearest,
        )


_FROM = {"along": "from the left end (seen from outside)", "up": "over the lower edge"}
_KEYS = {"jack": "jack", "volume control": "pot"}


def _limits(
    box: Box, wall: Wall, hole: WallHole, room: _Room
) -> Iterator[tuple[str, float, float, float, str]]:
    """Each limit: along or up, the given, least and most, and what lies beyond."""
    rim, length = 0.5 * hole.diameter_mm + NUT_RIM_MM, wall.length_mm
    low, left = room.low_mm, room.left_mm
    if any(abs(hole.s_mm - key) < 0.5 * box.key_thick_mm + rim for key in wall.key_heights_mm):
        left = max(left, box.key_leg_mm + rim)
        yield "along", hole.u_mm, left, length - left, "the slot of a key"
    yield "along", hole.u_mm, left, length - left, "the joint at the corner"
    clear = room.margin_mm(hole.s_mm)
    yield "along", hole.u_mm, clear, length - clear, "the root bar of the wall beside it"
    ledge = any(rabbet.edge == "upper" for rabbet in wall.rabbets)
    over = "the ledge of the top" if ledge else "the top"
    over = over if wall.root_bar is None else "the root bar"
    yield "up", hole.s_mm, -math.inf, room.high_mm, over
    relief = wall.relief
    if relief is not None and relief.inset_mm - rim < hole.u_mm < length - relief.inset_mm + rim:
        low = max(low, relief.rise_mm + rim)
        yield "up", hole.s_mm, low, math.inf, "the foot relief"
    yield "up", hole.s_mm, low, math.inf, "the bottom" if box.bottom_mm else "the lower edge"


def check_beside_sound_hole(wall: Wall, cut: SoundCut, words: Measure) -> None:
    """Refuse a sound hole that meets the jack or the volume control in the same wall. Raises ShopError.

    Parameters
    ----------
    wall : Wall
        With the pickup's holes.
    cut : SoundCut
        The sound hole.
    words : Measure
        Words for lengths in the drum's own units.
    """
    for hole in wall.holes:
        rim = 0.5 * max(hole.diameter_mm + 2.0 * NUT_RIM_MM, hole.wide_mm) + RIM_MM
        along, up = 0.5 * cut.long_mm + rim, 0.5 * cut.wide_mm + rim
        if abs(cut.u_mm - hole.u_mm) >= along - _SLACK or abs(cut.s_mm - hole.s_mm) >= up - _SLACK:
            continue
        left, right = hole.u_mm - along, hole.u_mm + along
        nearest = right if right < wall.length_mm - along else left
        raise ShopError(
            f"The sound hole in the {wall.name} wall meets the {hole.what}: their middles are "
            f"{words(math.hypot(cut.u_mm - hole.u_mm, cut.s_mm - hole.s_mm))} apart. The nearest that works along is "
            f"{words(nearest)}: write that as along in [[sound_holes]], or choose another wall.",
            given=cut.u_mm,
            limit=nearest,
            nearest=nearest,
        )


def _check_apart(jack: WallHole, pot: WallHole, room: _Room, words: Measure) -> None:
    apart = math.hypot(pot.u_mm - jack.u_mm, pot.s_mm - jack.s_mm)
    if apart >= room.body_mm - _SLACK:
        return
    body = room.body_mm
    least = room.margin_mm(pot.s_mm)
    most = room.right_mm - (least - room.left_mm)
    right = jack.u_mm + body <= most if pot.u_mm >= jack.u_mm else jack.u_mm - body < least
    nearest = jack.u_mm + (body if right else -body)
    raise ShopError(
        f"The holes for jack and volume control are {words(apart)} apart. Behind the wall each body is some "
        f"{words(room.body_mm)} wide: write {words(nearest)} as pot_along in [pickup].",
        given=apart,
        limit=room.body_mm,
        nearest=nearest,
    )
