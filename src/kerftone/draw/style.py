"""The look of the drawings and of the report: colours, pens and the sizes of words.

Dark ink on the colour of pale wood; what the saw does in ink, what lies underneath dashed, measures in
sea green, roots and warnings in rust. All words are at least 3.2 mm high on paper, and every ink stands at
better than 4.5 to 1 on the woods it crosses (held by a test), so that it reads in sun and in grey print.
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.draw.sheet import Pen

INK = "#1c2733"
PAPER = "#ffffff"
WOOD = "#f8f0e1"
TONGUE = "#efdcb9"
RUST = "#97331a"
SEA = "#0b5563"
SLATE = "#475363"
PLUM = "#5b2a86"

SMALLEST_MM = 3.2
"""Height of capitals: smaller is not read at the bench; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """How tall words are on one drawing, by what they are for: height of capitals in mm."""

    body_mm: float

    @property
    def title_mm(self) -> float:
        """The name of the drum."""
        return 2.2 * self.body_mm

    @property
    def margin_mm(self) -> float:
        """White round the drawing."""
        return 3.0 * self.body_mm


def look_for(length_mm: float) -> Look:
    """How tall words should be on a board of this length, to read when the whole is on one screen."""
    return Look(body_mm=min(5.0, max(SMALLEST_MM, length_mm / 95.0)))


SAWN = Pen(stroke=INK, width_mm=0.5, fill=WOOD)
TONGUES = Pen(stroke=None, fill=TONGUE)
BEFORE = Pen(stroke=INK, width_mm=0.25, dash_mm=(1.0, 1.5))
UNDER = Pen(stroke=SLATE, width_mm=0.45, dash_mm=(4.0, 2.0))
BAR = Pen(stroke=SLATE, width_mm=0.45, dash_mm=(1.6, 1.2))
OUTSIDE = Pen(stroke=SLATE, width_mm=0.45, dash_mm=(9.0, 2.0, 1.5, 2.0))
ROOTS = Pen(stroke=RUST, width_mm=0.7, dash_mm=(7.0, 1.8, 1.6, 1.8))
STRIKE = Pen(stroke=RUST, width_mm=0.5)
BORES = Pen(stroke=PLUM, width_mm=0.5, dash_mm=(2.2, 1.4))
KNOTS = Pen(stroke=RUST, width_mm=0.5)
MEASURES = Pen(stroke=SEA, width_mm=0.3)
ARROWS = Pen(stroke=None, fill=SEA)
DEPTHS = Pen(stroke=None, fill=PLUM, halo=TONGUE)
LABELS = Pen(stroke=None, fill=INK, halo=TONGUE)
WORDS = Pen(stroke=None, fill=INK)
FIGURES = Pen(stroke=None, fill=SEA)
SOLID = Pen(stroke=INK, width_mm=0.35, fill=INK)
FRONT = Pen(stroke=INK, width_mm=1.6)
GRAIN = Pen(stroke=INK, width_mm=0.8)
