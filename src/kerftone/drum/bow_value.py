"""How far the slots bow, as a drum file states it: a list of lengths, one for each slot from front to back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from kerftone.drum.values import Checked, Within, bad_value, shown
from kerftone.units import Units

BOW_ABOUT = (
    "of the slots from front to back: how far the middle of each lies off the straight line between its ends, "
    "towards the back, negative towards the front"
)
ONE = Within(-100.0, 100.0, "length")
"""One bow: more than any top has room for, so that a slip of the decimal point is caught."""
MOST_SLOTS = 50
"""More slots than any top has rows for. Own judgement."""


@dataclass(frozen=True)
class BowsValue(Checked):
    """The bow of every slot, told in mm."""

    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> tuple[float, ...]:
        """The bows in mm; none where all are 0."""
        if not isinstance(value, list) or len(value) > MOST_SLOTS:
            raise bad_value(
                f"is {shown(value)}. It is a list of lengths, one for each slot from front to back, 0 for a straight "
                "one: for two rows write [0.0, 4.0, 0.0], or leave the key out."
            )
        try:
            found = tuple(ONE.check(one, info) for one in value)
        except PydanticCustomError as error:
            numbers = {key: number for key, number in (error.context or {}).items() if key != "text"}
            raise bad_value(f"has a slot whose bow {error.message()}", **numbers) from error
        return found if any(found) else ()

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return f"a list of lengths, one for each slot, each {ONE.bounds(units)}"
