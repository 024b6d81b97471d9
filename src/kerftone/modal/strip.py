"""The strip of the top beside an open gap, which is meshed in bricks with the band round it."""

from __future__ import annotations

from kerftone.drum.check_bow import outward_mm
from kerftone.drum.design import Drum
from kerftone.drum.seat import end_seat_mm, gap_mm, seat_mm

EDGE_STRIP_MM, EDGE_SHARE = 2.5, 0.5
"""The strip beside an open gap is this wide, or this share of what is left free beside the slots."""


def strip_mm(drum: Drum) -> float:
    """How wide a strip inside the edge of the free underside is meshed in bricks with the band round it, in mm.

    At an open gap the wood turns about that edge, and stress is without bound there; 0 on other mounts.
    """
    if gap_mm(drum) == 0.0:
        return 0.0
    slots = drum.slots
    hole = max(slots.kerf_mm, slots.stop_hole_mm)
    further = max(tongue.lengthened_mm for tongue in drum.tongues)
    side = slots.side_margin_mm - 0.5 * hole - outward_mm(slots.bow_mm) - seat_mm(drum)
    end = slots.end_margin_mm - 0.5 * hole - further - end_seat_mm(drum)
    return min(EDGE_STRIP_MM, EDGE_SHARE * min(side, end))
