"""An end that is the other side of the facing tongue's: `end = "facing"`, one curve for the saw to follow.

Seen from the other side a nose is a notch: what the facing end has forward, this one has back. The two are one curve
moved along the tongues; how far it must be moved so that a kerf is left everywhere is for `facing.py`. The
word is read into points here, so that nothing else need know it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import cast

from kerftone.drum.build_shop import Refuse
from kerftone.drum.design import Drum, EndShape, Path, Tongue
from kerftone.drum.ends import CURVE_SHARE
from kerftone.drum.plan_lines import layout
from kerftone.drum.values import FACING


def with_shared_ends(drum: Drum, refuse: Refuse) -> Drum:
    """The same drum, every "facing" end as the points it means. Held by tests/drum/test_shared_end.py.

    Parameters
    ----------
    drum : Drum
        As read, in mm.
    refuse : Refuse
        Raises the refusal of the file at one of its keys.
    """
    if not any(_shares(tongue) for tongue in drum.tongues):
        return drum
    tongues = tuple(
        replace(tongue, end=_shared(drum, number, refuse)) if _shares(tongue) else tongue
        for number, tongue in enumerate(drum.tongues)
    )
    return replace(drum, tongues=tongues)


def _shares(tongue: Tongue) -> bool:
    return cast(object, tongue.end) == FACING


def _shared(drum: Drum, number: int, refuse: Refuse) -> EndShape | Path:
    mine = drum.tongues[number]
    named = f"The end of tongue {number + 1} ({mine.note})"
    across = next((one for one in drum.tongues if one.row == mine.row and one.side != mine.side), None)
    if across is None or _shares(across):
        why = (
            "no tongue faces it" if across is None else 'the end of the tongue that faces it is "facing" too'
        )
        refuse(
            ("tongues", number, "end"),
            f'{named} is "{FACING}", but {why}. One of two facing tongues has the curve drawn, and the other may '
            "follow it: write a shape or points here.",
        )
    assert across is not None
    shape = drum.end_of(across)
    if shape in ("square", "slant"):
        return shape
    if isinstance(shape, str):
        if any(tongue.row is None for tongue in drum.tongues):
            refuse(
                ("tongues", number, "end"),
                f'{named} is "{FACING}", and faces a "{shape}" one, whose curve depends on how many rows there are. '
                "Some tongues have no place yet: give the curve as points, or find the places first.",
            )
        half = 0.5 * layout(drum).tongue_width_mm
        rise = half if shape == "round" else 2.0 * CURVE_SHARE * half
        return ((rise, -half), (0.0, 0.0, "arc"), (rise, half))
    return cast(Path, tuple((-along, across_mm, *how) for along, across_mm, *how in shape))
