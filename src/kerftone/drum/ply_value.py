"""`plies` in a drum file: the layers of plywood or of a laminated board, from the upper face down.

    plies = [[1.5, "along"], [1.5, "across"], [1.5, "along", "maple, sugar"], [1.5, 45]]

Each is a thickness, which way its grain runs, and its wood where that is not the board's own. Which woods there are
is judged in `build_plies.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, NamedTuple

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from kerftone.drum.values import Checked, Within, bad_value, shown
from kerftone.units import Units

WAYS = {"along": 0.0, "across": 90.0}
"""Which way a ply's grain runs to the board's, by its name, in degrees."""
THICKNESS, TURN = Within(0.2, 40.0, "length"), Within(-90.0, 90.0, "degrees")
MOST = 60
"""More plies than this are a slip of the pen: own judgement."""
PLIES_ABOUT = "of plywood or a laminated board, from the upper face down"
_EXAMPLE = '[[1.5, "along"], [1.5, "across"], [1.5, "along"]]'


class PlyRead(NamedTuple):
    """One ply as the file states it: mm, degrees, and the name of its wood or None for the board's own."""

    thickness_mm: float
    turn_deg: float
    wood: str | None


@dataclass(frozen=True)
class PliesValue(Checked):
    """Two plies or more: each a thickness, a direction and perhaps a wood."""

    thickness: Within = THICKNESS
    turn: Within = TURN
    is_length: ClassVar[bool] = True

    def check(self, value: object, info: ValidationInfo) -> tuple[PlyRead, ...]:
        """The plies, mm and degrees."""
        if not isinstance(value, list) or not 2 <= len(value) <= MOST:
            raise bad_value(f"is {shown(value)}. It is a list of 2 to {MOST} plies: write {_EXAMPLE}.")
        return tuple(self._ply(one, at, info) for at, one in enumerate(value, start=1))

    def _ply(self, one: object, at: int, info: ValidationInfo) -> PlyRead:
        if not isinstance(one, list) or len(one) not in (2, 3):
            raise bad_value(
                f'has {shown(one)} as ply {at}. Each ply is its thickness, "along", "across" or degrees, and a wood '
                f"if it has its own: write {_EXAMPLE}."
            )
        try:
            thickness = self.thickness.check(one[0], info)
            turn = WAYS[one[1]] if one[1] in WAYS else self.turn.check(one[1], info)
        except (PydanticCustomError, TypeError) as error:
            words = error.message() if isinstance(error, PydanticCustomError) else "is no direction."
            raise bad_value(f"has a ply {at} that {words}") from error
        if len(one) == 3 and not (isinstance(one[2], str) and one[2].strip()):
            raise bad_value(
                f'has {shown(one[2])} as the wood of ply {at}. It is a name: write "birch, yellow".'
            )
        return PlyRead(thickness, turn, one[2] if len(one) == 3 else None)

    def bounds(self, units: Units) -> str:
        """What it may be, in words."""
        return (
            f'a list of plies, each [thickness, "along" or "across" or degrees], with a wood third where it is not '
            f"the board's own; each {self.thickness.bounds(units)} thick"
        )
