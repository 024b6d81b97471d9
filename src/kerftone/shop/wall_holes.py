"""Where the walls are bored for the pickup's jack and volume control.

In the wall's own frame, mm: u along it from its left end as seen from outside, s up from its lower edge. Both lie
at half the height, a quarter of the length from the ends, so either may take either hole.
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.drum.design import Drum
from kerftone.drum.shop import WallName
from kerftone.shop.box import Box

BUSHING_ROOM_MM = 0.4
"""A close fit for a threaded bushing: our own judgement."""


@dataclass(frozen=True, kw_only=True)
class WallHole:
    """One hole through a wall."""

    wall: WallName
    u_mm: float
    s_mm: float
    diameter_mm: float


def pickup_holes(drum: Drum, box: Box) -> tuple[WallHole, ...]:
    """The holes for jack and volume control; none without a pickup. Held by tests/shop/test_wall_holes.py."""
    pickup = drum.making.pickup
    if pickup is None:
        return ()
    wall = box.wall(pickup.wall)
    return tuple(
        WallHole(
            wall=pickup.wall,
            u_mm=share * wall.length_mm,
            s_mm=0.5 * wall.height_mm,
            diameter_mm=pickup.bushing_mm + BUSHING_ROOM_MM,
        )
        for share in (0.25, 0.75)
    )
