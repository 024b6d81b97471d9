"""The air of a virtual drum: with its bottom glued on and otherwise, while it is tuned and when it is finished.

What air does is the program's own reckoning for this drum's hidden wood, in air of another warmth, a tenth or so more
or less of it, and a cent or so otherwise for each tongue: all drawn by chance and not known to the adviser. Cents are
positive when sharp.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from kerftone.air.answer import Retuned, retuned
from kerftone.air.medium import air_at
from kerftone.air.place import BottomState
from kerftone.drum.design import Drum
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import Solution, solve
from kerftone.pitch import sharpened
from kerftone.tune.history import Bottom
from kerftone.tune.pull import finished, wood_of

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

    def moves(self, solution: Solution, bottom: Bottom, plate_mm: float) -> Moves:
        """How far it moves each tongue of this wood with the bottom so."""
        about = BottomState(bottom), air_at(self.celsius)
        return Moves(air=self, asked=retuned(solution, *about, plate_mm=plate_mm))


@dataclass(frozen=True, kw_only=True)
class Moves:
    """How far the air of a drum moves each tongue, by what its wood sounds: solved for each pitch, and kept."""

    air: Air
    asked: Retuned
    known: dict[bytes, Array] = field(default_factory=dict)

    def by(self, hz: Array) -> Array:
        """Where each tongue's wood sounds so many Hz, in cents (t,)."""
        key = hz.tobytes()
        if key not in self.known:
            moved = self.asked.shifts(1200.0 * np.log2(hz / self.asked.alone_hz))
            self.known[key] = self.air.share * moved + self.air.own
        return self.known[key]


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

    moves: how far air moves each tongue by the state of the bottom and by what its wood sounds, near the breathing
    and past it; found from a solve of the whole drum as first cut. Of the finished drum the air is solved once more
    (`last`), its wood is that which was tapped.
    """

    glued: Model
    without: Model
    air: Air
    moves: dict[Bottom, Moves]
    fineness: Fineness

    def hz(self) -> list[float]:
        return self.heard("glued")

    def heard(self, bottom: Bottom | None) -> list[float]:
        state = bottom or "glued"
        wood = (self.glued if state == "glued" else self.without).hz()
        by = self.moves[state].by(np.array(wood))
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
        wood = self.glued.hz()
        moved = self.air.moves(solve(drum, fineness=self.fineness), "glued", 0.0).by(np.array(wood))
        return [sharpened(hz, float(by)) for hz, by in zip(wood, moved, strict=True)]

    def swept(self, tongue: int, stiffer: Sequence[float]) -> list[float]:
        wood, found = np.array(self.glued.hz()), []
        for hz in self.glued.swept(tongue, stiffer):
            wood[tongue] = hz
            found.append(sharpened(hz, float(self.moves["glued"].by(wood)[tongue])))
        return found


def aired(drum: Drum, bottom: Bottom, glued: Model, without: Model, air: Air, fineness: Fineness) -> Aired:
    """A drum in air that is tuned with its bottom so."""
    if finished(drum) != "glued":
        raise ValueError(f"{drum.name} has no bottom that could be glued on")
    moves: dict[Bottom, Moves] = {}
    for state in dict.fromkeys(("glued", bottom)):
        plate = drum.bottom.thickness_mm if drum.bottom and state == "loose" else 0.0
        moves[state] = air.moves(solve(wood_of(drum, state), fineness=fineness), state, plate)
    return Aired(glued=glued, without=without, air=air, moves=moves, fineness=fineness)
