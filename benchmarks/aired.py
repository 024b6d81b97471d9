"""The air of a virtual drum: with its bottom glued on and otherwise, while it is tuned and when it is finished.

What air does is the program's own reckoning for this drum's hidden wood, in air of another warmth, a tenth or so more
or less of it, and a cent or so otherwise for each tongue: all drawn by chance and not known to the adviser. Cents are
positive when sharp.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.answer import in_air
from kerftone.air.medium import air_at
from kerftone.air.notes_in_air import tongues_in_air
from kerftone.air.place import BottomState
from kerftone.drum.design import Drum
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import Solution, solve
from kerftone.pitch import cents, sharpened
from kerftone.tune.history import Bottom
from kerftone.tune.pull import RAISED_CENTS, finished, raised, wood_of

if TYPE_CHECKING:
    from natures import Model

Array = NDArray[np.floating[Any]]
AIR_SHARE, AIR_CENTS = 0.1, 1.0
"""How far what air does may be from the program's own reckoning: as a share, for all tongues of a drum together, and
for each by itself (one standard deviation; own judgement: leaks, a cloth, hands, the room's walls)."""
COLDEST_C, WARMEST_C = 14.0, 28.0
"""Between which temperatures the air of a drum is drawn; the adviser takes it to have 20 °C."""


@dataclass(frozen=True, kw_only=True)
class Air:
    """The air of one drum. share: how many times it does what the program reckons; own (t,): and cents besides."""

    celsius: float
    share: float
    own: Array

    def cents(self, solution: Solution, bottom: Bottom, plate_mm: float) -> Array:
        """How far it moves each tongue of this wood with the bottom so, in cents (t,)."""
        found = in_air(solution, BottomState(bottom), air_at(self.celsius), plate_mm=plate_mm)
        moved = [one.shift_cents for one in tongues_in_air(solution.drum, solution.modes(), found)]
        return np.asarray(self.share * np.array(moved) + self.own)

    def per_cent(self, solution: Solution, bottom: Bottom, plate_mm: float) -> Array:
        """How much further for each cent that a tongue is tuned higher (t,)."""
        now, then = (self.cents(one, bottom, plate_mm) for one in (solution, raised(solution)))
        return (then - now) / RAISED_CENTS


def air_of(drum: Drum, rng: np.random.Generator) -> Air:
    """The air of a drum, drawn by chance."""
    return Air(
        celsius=float(rng.uniform(COLDEST_C, WARMEST_C)),
        share=float(np.exp(rng.normal(0.0, AIR_SHARE))),
        own=rng.normal(0.0, AIR_CENTS, len(drum.tongues)),
    )


@dataclass(frozen=True, kw_only=True)
class Aired:
    """The same drum with its bottom glued on and without it, each in air.

    cents, per_cent: how far air moves each tongue by the state of the bottom, and how much further for each cent it
    was tuned since `first` (Hz); found from a solve of the whole drum as first cut, without its tongues' own grain.
    Of the finished drum the air is solved once more (`last`), its wood is that which was tapped.
    """

    glued: Model
    without: Model
    air: Air
    cents: dict[Bottom, Array]
    per_cent: dict[Bottom, Array]
    first: dict[Bottom, list[float]]
    fineness: Fineness

    def hz(self) -> list[float]:
        return self.heard("glued")

    def heard(self, bottom: Bottom | None) -> list[float]:
        state = bottom or "glued"
        wood = (self.glued if state == "glued" else self.without).hz()
        tuned = np.array([cents(hz, was) for hz, was in zip(wood, self.first[state], strict=True)])
        by = self.cents[state] + self.per_cent[state] * tuned
        return [sharpened(hz, float(further)) for hz, further in zip(wood, by, strict=True)]

    def become(self, drum: Drum, *, sawn: bool) -> Aired:
        open_below = replace(drum, bottom=None)
        return replace(
            self,
            glued=self.glued.become(drum, sawn=sawn),
            without=self.without.become(open_below, sawn=sawn),
        )

    def last(self, drum: Drum) -> list[float]:
        """What each tongue of the finished drum sounds: the wood as it was tapped, in air that is solved anew.

        Only the air is: a wood solved otherwise than that of the taps differs from it by about a cent, which a maker,
        who taps the drum that is finished, never meets.
        """
        moved = self.air.cents(solve(drum, fineness=self.fineness), "glued", 0.0)
        return [sharpened(hz, float(by)) for hz, by in zip(self.glued.hz(), moved, strict=True)]

    def swept(self, tongue: int, stiffer: Sequence[float]) -> list[float]:
        by = float(self.cents["glued"][tongue])
        return [sharpened(hz, by) for hz in self.glued.swept(tongue, stiffer)]


def aired(drum: Drum, bottom: Bottom, glued: Model, without: Model, air: Air, fineness: Fineness) -> Aired:
    """A drum in air that is tuned with its bottom so."""
    if finished(drum) != "glued":
        raise ValueError(f"{drum.name} has no bottom that could be glued on")
    moved: dict[Bottom, Array] = {}
    per_cent: dict[Bottom, Array] = {}
    for state in dict.fromkeys(("glued", bottom)):
        plate = drum.bottom.thickness_mm if drum.bottom and state == "loose" else 0.0
        solution = solve(wood_of(drum, state), fineness=fineness)
        moved[state] = air.cents(solution, state, plate)
        per_cent[state] = air.per_cent(solution, state, plate)
    first = {state: (glued if state == "glued" else without).hz() for state in moved}
    return Aired(
        glued=glued, without=without, air=air, cents=moved, per_cent=per_cent, first=first, fineness=fineness
    )
