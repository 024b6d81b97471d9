"""A length as the maker sets it: tenths of a millimetre, or a fraction of an inch on the rule.

In inches the nearest fraction is given in the parts the rule has; where the true size is not on that mark, the
decimals stand beside it, so that nothing is rounded behind the maker's back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from kerftone.drum.design import Drum
from kerftone.units import HALF_MM, MM_PER_INCH, Units, format_length, inch_fraction, nearest_mark

ON_THE_MARK_IN = 0.002
"""Nearer than this to a mark of the rule is on it: a fifth of what a sharp pencil line is wide."""

ON_THE_MARK_MM = 0.05
"""The same in metric: the tenth that is told would be that of the mark."""


SOUNDS_LONGER = 1.5
"""How much longer than cut a tongue on stiff roots sounds, in thicknesses of the top: by the model, as in `tune`."""
WORTH_CENTS = 1.0
"""What sawing to the mark costs is told from here on: less no rule finds. Own judgement."""


@dataclass(frozen=True, kw_only=True)
class Measure:
    """How lengths are written for one maker."""

    units: Units = "mm"
    parts: int = 32

    def __call__(self, mm: float) -> str:
        """This length in words, with its unit.

        >>> Measure(units="in")(15.875), Measure(units="in", parts=16)(16.0), Measure()(18.04)
        ('5/8 in', '5/8 in (0.630)', '18 mm')
        """
        if self.units == "mm":
            return format_length(mm, "mm")
        mm = round(mm, 6)  # a length half-way between two marks is read one way wherever it stands
        inches = mm / MM_PER_INCH
        words = f"{inch_fraction(mm, parts=self.parts)} in"
        off = inches - float(Fraction(round(inches * self.parts), self.parts))
        return words if abs(off) <= ON_THE_MARK_IN else f"{words} ({inches:.3f})"

    def figure(self, mm: float) -> str:
        """This length as a figure on a drawing: no unit, and the nearest mark alone.

        >>> Measure(units="in")(3.3), Measure(units="in").figure(3.3), Measure().figure(3.3)
        ('1/8 in (0.130)', '1/8', '3.3')
        """
        if self.units == "mm":
            return format_length(mm, "mm").removesuffix(" mm")
        return inch_fraction(round(mm, 6), parts=self.parts)

    def sawn(self, mm: float) -> str:
        """A length that is marked out and sawn: as above, in millimetres to the half one, the tenths beside it.

        >>> Measure().sawn(244.35), Measure().sawn(207.45), Measure(units="in").sawn(208.2)
        ('244.5 mm (244.3)', '207.5 mm', '8 3/16 in (8.197)')
        """
        if self.units == "in":
            return self(mm)
        half = round(mm / HALF_MM) * HALF_MM
        words = format_length(half, "mm")
        return words if abs(mm - half) <= ON_THE_MARK_MM + 1e-6 else f"{words} ({mm:.1f})"

    def sawn_figure(self, mm: float) -> str:
        """The same as a figure on a drawing: no unit, and the nearest mark alone.

        >>> Measure().sawn_figure(244.35), Measure(units="in").sawn_figure(208.2)
        ('244.5', '8 3/16')
        """
        return self.figure(round(mm / HALF_MM) * HALF_MM if self.units == "mm" else mm)

    def size(self, *mm: float) -> str:
        """Several lengths as one size: "495 × 205 × 16 mm"."""
        bare = [self(one).replace(f" {self.units}", "") for one in mm]
        return f"{' × '.join(bare)} {self.units}"


def measure_of(drum: Drum) -> Measure:
    """How the maker of this drum reads lengths."""
    return Measure(units=drum.units, parts=drum.shop.fraction)


def mark_cents(drum: Drum) -> float:
    """How far off a note comes out at most, in cents, if each tongue is sawn to the nearest mark of the rule.

    By the bar's law, pitch as one over the sounding length squared. A full solve of six tongues moved by 4.0 cents
    on 32nds of an inch and by 4.5 on half millimetres, where this says 4.1 and 4.6. 0 for a drum without lengths.
    """
    longer = SOUNDS_LONGER * drum.top.thickness_mm
    lengths = [tongue.length_mm for tongue in drum.tongues if tongue.length_mm is not None]
    marks = [nearest_mark(mm, drum.units, parts=drum.shop.fraction) for mm in lengths]
    pairs = zip(lengths, marks, strict=True)
    return max((abs(2400.0 * math.log2((mm + longer) / (mark + longer))) for mm, mark in pairs), default=0.0)


def mark_words(drum: Drum) -> str:
    """What two lengths beside each other mean, and what sawing to the mark alone would cost; empty where that is
    nothing."""
    cents = mark_cents(drum)
    if cents < WORTH_CENTS:
        return ""
    return (
        "Length: the nearest mark of your rule, and in brackets the exact length. Sawn to the marks alone a note "
        f"comes out up to {cents:.0f} cents off this, which tuning takes up."
    )
