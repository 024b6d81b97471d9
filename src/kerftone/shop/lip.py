"""How top and bottom sit in the box, in the shop: whether a lip will hold, and what glue in a gap is worth.

mm. The limits are our own judgement; there is no source for a drum struck by hand.
"""

from __future__ import annotations

from collections.abc import Iterator

from kerftone.drum.design import Drum
from kerftone.drum.joinery import Box
from kerftone.shop.measure import Measure
from kerftone.shop.verdict import Check, Mend, Verdict, judged
from kerftone.units import least_length, least_mm

LIP_SHARE, LIP_GOOD_MM, LIP_MEND_MM = 0.35, 5.0, 3.0
"""A lip thinner than this share of its board, or than the first length, can split off along the grain when the top is
struck beside it; below the second length it will not stand the clamps."""
GLUE_GOOD_MM, GLUE_MEND_MM = 5.0, 3.0
"""The least band of glue that holds a struck top well, and at all."""
BOTTOM_SHARE = 0.6
"""A bottom is not struck: its lip may be thinner by this share."""


def lip_checks(drum: Drum, box: Box, words: Measure) -> Iterator[Check]:
    """Whether the lips of top and bottom are thick and wide enough. Held by tests/shop/test_lip.py.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    box : Box
        The box under its top.
    words : Measure
        Words for lengths in the drum's own units.
    """
    bottom = drum.bottom
    if box.top_step is not None:
        yield from _lip("top", drum.top.thickness_mm, drum.top.lip_mm, box.top_step.left_mm, 1.0, words)
    if box.bottom_step is not None and bottom is not None:
        yield from _lip(
            "bottom", bottom.thickness_mm, bottom.lip_mm, box.bottom_step.left_mm, BOTTOM_SHARE, words
        )


def _lip(
    name: str, board_mm: float, reach_mm: float, left_mm: float, share: float, words: Measure
) -> Iterator[Check]:
    good = share * max(LIP_GOOD_MM, LIP_SHARE * board_mm)
    yield judged(
        f"Lip of the {name}",
        _verdict(left_mm, good, share * LIP_MEND_MM),
        f"{words(left_mm)} thick, of {words(board_mm)}",
        "it can split off along the grain: make lip_thickness in "
        f"[{name}] {least_length(good, words.units)} or more.",
        Mend(at=(name, "lip_thickness"), mm=least_mm(good, words.units)),
    )
    yield judged(
        f"Glue under the lip of the {name}",
        _verdict(reach_mm, share * GLUE_GOOD_MM, share * GLUE_MEND_MM),
        f"{words(reach_mm)} wide",
        f"that is little to hold by: make lip in [{name}] {least_length(share * GLUE_GOOD_MM, words.units)} or more.",
        Mend(at=(name, "lip"), mm=least_mm(share * GLUE_GOOD_MM, words.units)),
    )


def _verdict(value: float, good: float, mend: float) -> Verdict:
    return "good" if value >= good - 1e-9 else "mind" if value >= mend - 1e-9 else "mend"


def glue_check(drum: Drum, shifts_cents: tuple[float, ...], told: str) -> Check:
    """What it is worth whether glue fills the gap round a top on a ledge.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    shifts_cents : tuple[float, ...]
        How far each note moves if the gap is glued otherwise, in cents.
    told : str
        Both ways in words.
    """
    most = max(abs(shift) for shift in shifts_cents)
    mend = (
        "keep the gap clean: a thin line of glue on the ledge alone, and spacers of card until it grabs."
        if drum.box.glued == "ledge"
        else "fill the gap from end to end: where it stays open the notes near it fall."
    )
    small = most <= drum.tuning.tolerance_cents
    numbers = f"{told[:1].upper()}{told[1:]}"
    return judged("Glue round the top", "good" if small else "mind", numbers, mend)
