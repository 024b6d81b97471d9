"""What is written on the tongues, and how lengths are said.

Lengths are in the drum's own unit; inches as the nearest thirty-second, which is what a rule shows.
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.draw.sheet import Text, height_that_fits, text_width_mm
from kerftone.draw.style import SMALLEST_MM
from kerftone.drum.design import Drum, Tongue
from kerftone.shop.measure import measure_of
from kerftone.units import Units, format_length, inch_fraction

# Under this width there is no room for words above one another.
NARROW_MM = 20.0
RULE_PARTS = 32


def on_rule(mm: float, units: Units, *, with_unit: bool = True) -> str:
    """This length as a maker would find it on a rule: 150.3 mm, or 5 29/32 in."""
    if units == "in":
        fraction = inch_fraction(mm, parts=RULE_PARTS)
        return f"{fraction} in" if with_unit else fraction
    words = format_length(mm, "mm")
    return words if with_unit else words.removesuffix(" mm")


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Where a tongue lies, for its words: root and tip x, centre line y, width, and the strike point's x."""

    root_x: float
    tip_x: float
    y: float
    width_mm: float
    strike_x: float

    @property
    def words_from_to(self) -> tuple[float, float]:
        """The stretch free for words: from the root to the strike mark, with a little air."""
        air = 3.0
        low, high = sorted((self.root_x, self.strike_x))
        return low + air, high - air - 0.1 * self.width_mm


def tongue_words(drum: Drum, tongue: Tongue, spot: Spot) -> list[Text]:
    """The note, the place and the length of one tongue, as large as the tongue allows."""
    length = f"{measure_of(drum).figure(tongue.length_mm or 0.0)} {drum.units}"
    low, high = spot.words_from_to
    if spot.width_mm < NARROW_MM or high - low < 3.0 * NARROW_MM:
        return _one_line(f"{tongue.place} · {tongue.note} · {length}", spot, low, high)
    name_mm = max(SMALLEST_MM, 0.14 * spot.width_mm)
    name_wide = text_width_mm(tongue.place, name_mm, bold=True)
    beside = high - low - 2.0 * name_wide
    note_mm = height_that_fits(tongue.note, width_mm=beside, most_mm=0.27 * spot.width_mm, bold=True)
    rooted_left = spot.root_x < spot.tip_x
    name_x = low if rooted_left else high + 0.1 * spot.width_mm
    middle = 0.5 * (low + high)
    figure_mm = height_that_fits(length, width_mm=high - low, most_mm=max(SMALLEST_MM, 0.14 * spot.width_mm))
    return [
        Text(
            at=(name_x, spot.y + 0.19 * spot.width_mm),
            words=tongue.place,
            height_mm=name_mm,
            anchor="start" if rooted_left else "end",
        ),
        Text(
            at=(middle, spot.y + 0.06 * spot.width_mm),
            words=tongue.note,
            height_mm=note_mm,
            anchor="middle",
            bold=True,
        ),
        Text(at=(middle, spot.y - 0.22 * spot.width_mm), words=length, height_mm=figure_mm, anchor="middle"),
    ]


def _one_line(words: str, spot: Spot, low: float, high: float) -> list[Text]:
    """Everything on the centre line, for a narrow or short tongue; never under the smallest height."""
    most = max(SMALLEST_MM, 0.42 * spot.width_mm)
    height = max(SMALLEST_MM, height_that_fits(words, width_mm=high - low, most_mm=min(most, 8.0)))
    return [
        Text(at=(0.5 * (low + high), spot.y - 0.5 * height), words=words, height_mm=height, anchor="middle")
    ]
