"""Where to hold a board and where to tap it, as a small drawing in true proportion.

Seen from above, grain along the page. Dashed lines stand still: hold there. The ring is where to tap.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

NODE = 0.224
"""A free bar's lowest bending tone stands still at this part of its length from either end (from memory:
Fletcher and Rossing, The Physics of Musical Instruments)."""
WIDE, MARGIN, INK = 420.0, 30.0, "#222222"


class Hold(NamedTuple):
    """Where a board is held, at parts of its length and of its width, and where it is tapped, as parts of both."""

    along: tuple[float, ...]
    across: tuple[float, ...]
    tap: tuple[float, float]


Motion = Literal["along", "twisting", "across", "unknown"]
_BENDING = Hold((NODE, 1.0 - NODE), (), (0.97, 0.5))
HOLDS: Mapping[Motion, Hold] = {
    "along": _BENDING,
    "unknown": _BENDING,
    "twisting": Hold((0.5,), (0.5,), (0.97, 0.06)),
    "across": Hold((), (NODE, 1.0 - NODE), (0.5, 0.06)),
}
"""By the motion that is wanted."""
WORDS: Mapping[Motion, str] = {
    "along": "Bending along: hold on the dashed lines, 0.224 of the length from either end",
    "unknown": "Bending along: hold on the dashed lines, 0.224 of the length from either end",
    "twisting": "Twisting: hold on the middle lines, tap a corner",
    "across": "Bending across: hold on the dashed lines, 0.224 of the width from either edge",
}


def hold_svg(
    length_mm: float,
    width_mm: float,
    motion: Motion,
) -> str:
    """The drawing as the text of an SVG file.

    Parameters
    ----------
    length_mm : float
        Of the board along its grain, in mm.
    width_mm : float
        Of the board, in mm.
    motion : Motion
        Which of its motions is wanted.
    """
    high = WIDE * width_mm / length_mm
    left, top = MARGIN, MARGIN
    hold = HOLDS[motion]
    upright = [left + part * WIDE for part in hold.along]
    level = [top + part * high for part in hold.across]
    tap = (left + hold.tap[0] * WIDE, top + hold.tap[1] * high)
    lines = [(x, top - 10, x, top + high + 10) for x in upright]
    lines += [(left - 10, y, left + WIDE + 10, y) for y in level]
    dashed = "".join(
        f'<line x1="{a:.1f}" y1="{b:.1f}" x2="{c:.1f}" y2="{d:.1f}" stroke="{INK}" stroke-dasharray="6 5"/>'
        for a, b, c, d in lines
    )
    height = high + 2 * MARGIN + 46
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE + 2 * MARGIN:.0f} {height:.0f}" '
        f'width="{WIDE + 2 * MARGIN:.0f}" height="{height:.0f}" font-family="sans-serif" font-size="12">'
        f'<rect width="100%" height="100%" fill="white"/>'
        f'<rect x="{left}" y="{top}" width="{WIDE}" height="{high:.1f}" fill="#f4ead8" stroke="{INK}"/>'
        f'{dashed}<circle cx="{tap[0]:.1f}" cy="{tap[1]:.1f}" r="7" fill="none" stroke="{INK}" stroke-width="2"/>'
        f'<text x="{left}" y="{top + high + 32:.1f}" fill="{INK}">{WORDS[motion]}</text>'
        f'<text x="{left}" y="{top + high + 50:.1f}" fill="{INK}">Tap at the ring. Grain runs from left to right.'
        "</text></svg>\n"
    )
