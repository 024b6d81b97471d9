"""A top that is not equally thick everywhere: its thickness at any place, from five measurements.

Measured at the four corners and in the middle. Between them it is bilinear, with one bulge (or hollow) that is
full in the middle and nothing at the edges. mm; x along the length, y across, from the left front corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from kerftone.drum.values import Checked, Within, bad_value, shown
from kerftone.units import Units

CORNERS_ABOUT = "measured: at its left front, right front, right back and left back corner, and in the middle"
ONE = Within(2.0, 80.0, "length")
"""One measured thickness: as wide as the top's own bounds, with some room."""


@dataclass(frozen=True)
class FiveLengths(Checked):
    """Five thicknesses."""

    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> tuple[float, ...]:
        """The five in mm."""
        if not isinstance(value, list) or len(value) != 5:
            raise bad_value(
                f"is {shown(value)}. It is five thicknesses, of the four corners and the middle: write "
                "[12.2, 12.0, 11.8, 12.0, 12.1]."
            )
        try:
            return tuple(ONE.check(one, info) for one in value)
        except PydanticCustomError as error:
            raise bad_value(f"has a thickness that {error.message()}") from error

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return f"five thicknesses, each {ONE.bounds(units)}"


def thickness_mm(five: tuple[float, ...], along: Any, across: Any) -> Any:
    """How thick a top is, in mm, at shares of its length from the left and of its width from the front.

    Parameters
    ----------
    five : tuple[float, ...]
        At the left front, right front, right back and left back corner, and in the middle.
    along : Any
        From 0 at the left end to 1: a number, an array or a function of place.
    across : Any
        From 0 at the front edge to 1.
    """
    lf, rf, rb, lb, middle = five
    flat = (
        lf * (1 - along) * (1 - across)
        + rf * along * (1 - across)
        + rb * along * across
        + lb * (1 - along) * across
    )
    bulge = middle - 0.25 * (lf + rf + rb + lb)
    return flat + 16.0 * bulge * along * (1 - along) * across * (1 - across)
