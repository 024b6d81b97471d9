"""Which paper a drum's pages are printed on, and how large that is.

Every command that prints asks here, so that booklet, templates and the map for the borer come out of the same
tray. Sizes in mm, upright: A4 as ISO 216 has it, Letter as ANSI/ASME Y14.1 (8.5 × 11 in); both from memory.
"""

from __future__ import annotations

from kerftone.drum.design import Drum
from kerftone.drum.shop import Paper

PAPERS_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""ISO 216 and ANSI/ASME Y14.1, from memory."""
PAPER_NAMES: dict[Paper, str] = {"a4": "A4", "letter": "Letter"}


def paper_of(drum: Drum, asked: Paper | None = None) -> Paper:
    """The paper that this drum's pages are for.

    What was asked for on the command line comes first, then `[shop] paper`, then the usual paper where people
    measure as this drum does: Letter for inches, A4 for millimetres. Held by tests/drum/test_paper.py.
    """
    return asked or drum.shop.paper or ("letter" if drum.units == "in" else "a4")
