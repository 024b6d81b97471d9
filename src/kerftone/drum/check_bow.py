"""Do slots that bow leave enough wood: in the tongues between them, and beside the outer ones?

Part of `check.py`, whose limits these are. mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

import numpy as np
from shapely.geometry import LineString

from kerftone.drum.design import Drum
from kerftone.drum.plan_lines import Layout
from kerftone.drum.seat import seat_mm, seat_name
from kerftone.errors import OutlineError

MOST_BOW_SHARE = 0.125
"""A bow is at most this share of the slot's length: its ends then meet the root lines at 28 degrees from square, and
stop being what they are named for. Own judgement."""
STEPS = 400
"""Straight pieces of an edge whose distances are measured: they stray from the steepest arc by 1e-6 of its length."""
SLACK_MM = 1e-3
"""Of that measuring."""


class Words(Protocol):
    """Lengths in the drum's units, as they are and rounded to the side that works."""

    def __call__(self, mm: float) -> str:
        """As it is."""

    def least(self, mm: float) -> str:
        """Rounded up."""

    def most(self, mm: float) -> str:
        """Rounded down."""


def narrowest_mm(lines: Layout, row: int, cut_mm: float) -> float:
    """The narrowest place of a row between slots so wide, from root line to root line, in mm.

    Parameters
    ----------
    lines : Layout
        Of the drum.
    row : int
        From 1 at the front.
    cut_mm : float
        How wide the slots are, in mm.
    """
    if not lines.is_bowed(row):
        return lines.row_pitch_mm - cut_mm
    front, back = (_line(lines, slot) for slot in (row - 1, row))
    if front.intersects(back):
        return 0.0
    return float(front.distance(back)) - cut_mm


def _line(lines: Layout, slot: int) -> LineString:
    line = lines.slot(slot)
    xs = np.linspace(lines.root_left_mm, lines.root_right_mm, STEPS + 1)
    return LineString([(float(x), line.y_at(float(x))) for x in xs])


def outward_mm(bows_mm: Sequence[float]) -> float:
    """How far the outer of these slots bow towards the sides of the board at most, in mm; none: all are straight."""
    return max(0.0, -bows_mm[0], bows_mm[-1]) if bows_mm else 0.0


def check_bows(drum: Drum, lines: Layout, words: Words, *, width_mm: float, side_mm: float) -> None:
    """Refuse bows that leave a tongue or the wood beside an outer slot too narrow, or are no bows any more.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    lines : Layout
        Its lines.
    words : Words
        Lengths in its units.
    width_mm : float
        The least a tongue may be wide.
    side_mm : float
        The least that stays beside an outer slot.
    """
    if not lines.bows_mm:
        return
    cut = max(drum.slots.kerf_mm, drum.slots.stop_hole_mm)
    for number, bow in enumerate(lines.bows_mm, start=1):
        most = MOST_BOW_SHARE * lines.span_mm
        if abs(bow) > most:
            raise _refusal(
                f"Slot {number} bows by {words(abs(bow))} on a length of {words(lines.span_mm)}. It may bow by an "
                f"eighth of its length at most: make it {words.most(most)} or less.",
                (bow, most, most),
            )
    _check_sides(drum, lines, words, side_mm)
    for row in range(1, lines.rows + 1):
        narrow = narrowest_mm(lines, row, cut)
        if narrow >= width_mm - SLACK_MM:
            continue
        share = _share_that_fits(lines, row, cut + width_mm)
        fit = " and ".join(words.most(share * abs(bow)) for bow in lines.bows_mm[row - 1 : row + 1] if bow)
        raise _refusal(
            f"Slots {row} and {row + 1} bow, and leave tongues in row {row} {words(max(narrow, 0.0))} wide at the "
            f"narrowest. At least {words(width_mm)} must stay: bow them by {fit}, or less.",
            (narrow, width_mm, share),
        )


def _check_sides(drum: Drum, lines: Layout, words: Words, side_mm: float) -> None:
    kerf, seat = drum.slots.kerf_mm, seat_mm(drum)
    for number, out in ((1, -lines.bows_mm[0]), (lines.rows + 1, lines.bows_mm[-1])):
        left = drum.slots.side_margin_mm - out - 0.5 * kerf - seat
        if out <= 0.0 or left >= side_mm - SLACK_MM:
            continue
        most = out + left - side_mm
        raise _refusal(
            f"Slot {number} bows towards the {seat_name(drum)} by {words(out)}, which leaves {words(left)} of free "
            f"wood beside it. At least {words(side_mm)} must stay: bow it by {words.most(max(most, 0.0))} or less, "
            f"or make side_margin {words.least(drum.slots.side_margin_mm + side_mm - left)}.",
            (out, side_mm, most),
        )


def _share_that_fits(lines: Layout, row: int, apart_mm: float) -> float:
    """The largest share of the two bows of a row that keeps its slots so far apart, to a thousandth."""
    low, high = 0.0, 1.0
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        bows = tuple(middle * bow for bow in lines.bows_mm)
        fits = narrowest_mm(replace(lines, bows_mm=bows), row, 0.0) >= apart_mm
        low, high = (middle, high) if fits else (low, middle)
    return low


def _refusal(text: str, numbers: tuple[float, float, float]) -> OutlineError:
    given, limit, nearest = numbers
    return OutlineError(text, given=given, limit=limit, nearest=nearest, at=("slots", "bow"))
