"""Knots of the board that is to be the top: where they are, and how they are stated in a drum file.

    knots = [[120, 45, 8]]

Each is how far its middle lies from the left end and from the front edge of the top as cut, and its diameter. mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from kerftone.drum.values import Checked, Within, bad_value, shown
from kerftone.units import Units

KNOTS_ABOUT = "of the board, to be kept out of tongues: from the left end, from the front edge, diameter"
PLACE, DIAMETER = Within(0.0, 2000.0, "length"), Within(1.0, 100.0, "length")
"""Where a knot may be, and how large: as the top's own bounds, and no knot larger than a hand."""
MOST = 50
"""More are a slip of the pen, or no board for a drum: own judgement."""


class Knot(NamedTuple):
    """One knot, in mm from the left end and the front edge of the top."""

    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True)
class KnotsValue(Checked):
    """A list of knots, each of three lengths."""

    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> tuple[Knot, ...]:
        """The knots in mm."""
        if not isinstance(value, list) or len(value) > MOST:
            raise bad_value(f"is {shown(value)}. It is a list of up to {MOST} knots: write [[120, 45, 8]].")
        return tuple(self._knot(one, at, info) for at, one in enumerate(value, start=1))

    def _knot(self, one: object, at: int, info: ValidationInfo) -> Knot:
        if not isinstance(one, list) or len(one) != 3:
            raise bad_value(
                f"has {shown(one)} as knot {at}. Each is its place from the left end and the front edge, and its "
                "diameter: write [[120, 45, 8]]."
            )
        try:
            return Knot(PLACE.check(one[0], info), PLACE.check(one[1], info), DIAMETER.check(one[2], info))
        except PydanticCustomError as error:
            raise bad_value(f"has a number of knot {at} that {error.message()}") from error

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return f"a list of knots, each [from the left end, from the front edge, diameter {DIAMETER.bounds(units)}]"
