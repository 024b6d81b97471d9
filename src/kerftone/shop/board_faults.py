"""What is wrong with the board that is to be the top: grain that runs out of its faces, and knots in its tongues."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kerftone.drum.design import Drum
from kerftone.drum.knot_places import CLEAR_MM, clear_shift_mm, tongue_at
from kerftone.shop.measure import Measure
from kerftone.shop.verdict import Check, Verdict, judged

GRAIN_GOOD_DEG, GRAIN_MIND_DEG = 3.0, 10.0
"""Of the grain against the tongues: wood splits and loses stiffness as it grows. Own judgement."""


def board_faults(drum: Drum, words: Measure) -> Iterator[Check]:
    """The checks of a board that has such faults; none for a clear one. Held by tests/shop/test_board_faults.py."""
    if drum.top.grain_dive_deg:
        yield _dive(drum, words)
    if drum.top.knots_mm:
        yield _knots(drum, words)


def _dive(drum: Drum, words: Measure) -> Check:
    """Grain that runs out of a tongue's faces: a hard stroke splits it off there."""
    angle = abs(drum.top.grain_dive_deg)
    verdict: Verdict = "good" if angle <= GRAIN_GOOD_DEG else "mind" if angle <= GRAIN_MIND_DEG else "mend"
    out = drum.top.thickness_mm / math.tan(math.radians(angle))
    return judged(
        "Grain in the thickness",
        verdict,
        f"the grain dives {angle:g} degrees: it runs out of the board after {words(out)}",
        "short grain breaks at the root of a tongue: take another board, or saw this one along its grain.",
    )


def _knots(drum: Drum, words: Measure) -> Check:
    """Knots in tongues, and how to lay the top on its board so that none is."""
    hit = [(number, knot, tongue_at(drum, knot)) for number, knot in enumerate(drum.top.knots_mm, start=1)]
    inside = [
        f"knot {number} ({words(knot.diameter_mm)}) in {drum.tongues[tongue].place} {drum.tongues[tongue].note}"
        for number, knot, tongue in hit
        if tongue is not None
    ]
    told = f"{', '.join(inside)}" if inside else f"none of {len(hit)} lies in a tongue"
    return judged("Knots", "mend" if inside else "good", told, _mend(drum, words))


def _mend(drum: Drum, words: Measure) -> str:
    moved = clear_shift_mm(drum)
    if moved is None:
        return "a knot deadens a tongue and breaks it: take another board, or change over two tongues."
    x, y = moved
    ways = [
        f"{words(abs(by))} further to the {name}"
        for by, name in ((-x, "left" if x > 0.0 else "right"), (-y, "front" if y > 0.0 else "back"))
        if abs(by) > CLEAR_MM
    ]
    way = " and ".join(ways)
    return f"a knot deadens a tongue and breaks it: cut the top {way} on its board, if that is so large."
