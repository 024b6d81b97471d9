"""In which air, and with the bottom in which state, a drum's notes are asked for.

What is not asked is as in the drum file: the bottom glued on where it has one, else open below in free air.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Literal

from kerftone.drum.design import Drum
from kerftone.drum.seat import clamped
from kerftone.drum.shop import On
from kerftone.errors import KerftoneError
from kerftone.modal.shelf import Shelf, name_of
from kerftone.tune.history import Bottom

if TYPE_CHECKING:
    from kerftone.air.notes_in_air import InAir
    from kerftone.modal.solve import Solution

BOTTOM_WORDS: Mapping[Bottom, str] = {
    "glued": "the bottom glued on",
    "loose": "the bottom put in, not glued",
    "off": "the box open below",
    "table": "the box open below on a table",
}
"""How the bottom is, in words that follow "with"; see `bottom_listed`."""
ON_WORDS: Mapping[str, str] = {"feet": "on its feet on a table", "lap": "in the lap"}
"""What holds the wood, whatever the drum file says of it."""
TopState = Literal["glued", "clamped"]
COLDEST_C, WARMEST_C = -20.0, 60.0
"""Air colder or warmer than this is not asked about: own judgement, what a drum is played in and some more."""


def bottom_listed(state: Bottom) -> str:
    """How the bottom is, in words that stand among other facts: "bottom glued on"."""
    return BOTTOM_WORDS[state].removeprefix("the ")


class AirError(KerftoneError):
    """Air, or a bottom, that there is not."""


@dataclass(frozen=True, kw_only=True)
class AirAsked:
    """The state of the bottom (None: as in the file) and of the top, what the drum stands on, how warm the air is.

    on: "nothing", in the open as on a stand or in the hands; "feet", on its feet on a large hard table; "table", flat
    on it; "lap". On feet and in a lap the wood is held by those alone, however the file has it stand.
    """

    bottom: Bottom | None = None
    top: TopState = "glued"
    on: On = "nothing"
    temperature_c: float = 20.0

    def state(self, drum: Drum) -> Bottom:
        """The state of this drum's bottom. Raises AirError where it has none that could be glued or put in."""
        if not COLDEST_C <= self.temperature_c <= WARMEST_C:
            near = min(max(self.temperature_c, COLDEST_C), WARMEST_C)
            raise AirError(
                f"Air of {self.temperature_c:g} °C was asked for. A drum is played between {COLDEST_C:g} and "
                f"{WARMEST_C:g} °C: ask for {near:g}.",
                given=self.temperature_c,
                nearest=near,
            )
        if self.bottom in ("glued", "loose") and drum.bottom is None:
            raise AirError(
                f"The bottom is asked to be {self.bottom}. This drum's file has no [bottom] table: add one, or ask "
                'for "off" or "table".',
                given=self.bottom,
            )
        if self.on == "feet" and drum.box.feet.kind == "none":
            raise AirError(
                'The drum is asked to stand on its feet. This one has kind = "none" in [box.feet]: name '
                'what they are of, or ask for "table".',
                given=self.on,
                nearest="table",
            )
        asked = self.bottom or ("off" if drum.bottom is None else "glued")
        return "table" if asked == "off" and self.on == "table" else asked

    def left_out(self) -> None:
        """Nothing in place of this, for a drum that is asked for in vacuo. Raises AirError where more is asked of it.

        How warm no air is makes no difference.
        """
        asked = [(one.name, getattr(self, one.name)) for one in fields(self) if one.name != "temperature_c"]
        there = [f"{name} {state}" for name, state in asked if state != getattr(USUAL_AIR, name)]
        if there:
            raise AirError(
                f"Asked for are no air, and {', '.join(there)}. In vacuo a drum is solved as its file has it: leave "
                "out one of the two.",
                given=there,
            )

    def unfinished(self, drum: Drum) -> bool:
        """Whether bottom or top are not as in the finished drum."""
        return self.top == "clamped" or self.state(drum) != USUAL_AIR.state(drum)

    def finished(self) -> AirAsked:
        """The same air round the finished drum."""
        return replace(self, bottom=None, top="glued")

    def mirrored(self, drum: Drum) -> bool:
        """Whether a table throws the sound back up: half of space is left for it."""
        return self.on in ("feet", "table") or self.state(drum) == "table"

    def wood(self, drum: Drum) -> Drum:
        """The drum as far as its wood moves: without a bottom that is not glued on, its top as held; free
        on feet and in a lap."""
        wood = drum if self.state(drum) == "glued" else replace(drum, bottom=None)
        wood = replace(wood, box=replace(wood.box, stands="free")) if self.on in ("feet", "lap") else wood
        return clamped(wood) if self.top == "clamped" else wood

    def kept(self, drum: Drum, count: int, shelf: Shelf) -> InAir | None:
        """What was worked out before for this drum and air, if the shelf has it.

        Parameters
        ----------
        drum : Drum
            As its file has it.
        count : int
            How many modes were asked for.
        shelf : Shelf
            Where answers are kept.
        """
        from kerftone.air.notes_in_air import from_arrays

        arrays = shelf.arrays(self._name(drum, count))
        try:
            return None if arrays is None else from_arrays(arrays)
        except (KeyError, ValueError):
            return None

    def answer(self, drum: Drum, solution: Solution, count: int, shelf: Shelf) -> InAir:
        """Work it out from a solution of `wood(drum)`, and keep it.

        Parameters
        ----------
        drum : Drum
            As its file has it.
        solution : Solution
            Of `wood(drum)`.
        count : int
            How many modes were asked for.
        shelf : Shelf
            Where the answer is kept.
        """
        from kerftone.air.answer import in_air
        from kerftone.air.medium import air_at
        from kerftone.air.place import BottomState

        found = in_air(
            solution,
            BottomState(self.state(drum)),
            air_at(self.temperature_c),
            plate_mm=0.0 if drum.bottom is None else drum.bottom.thickness_mm,
            on=self.on,
        )
        self.keep(drum, count, shelf, found)
        return found

    def keep(self, drum: Drum, count: int, shelf: Shelf, found: InAir) -> None:
        """Keep what was worked out for this drum and air.

        Parameters
        ----------
        drum : Drum
            As its file has it.
        count : int
            How many modes were asked for.
        shelf : Shelf
            Where it is kept.
        found : InAir
            What was worked out.
        """
        shelf.keep_arrays(self._name(drum, count), found.arrays())

    def _name(self, drum: Drum, count: int) -> str:
        on: tuple[str, ...] = () if self.on == "nothing" else (self.on,)
        on += () if self.top == "glued" else (self.top,)
        return name_of("in air", drum, count, self.state(drum), self.temperature_c, *on)


USUAL_AIR = AirAsked()
"""The finished drum, as its file has it, in a room of 20 °C."""
