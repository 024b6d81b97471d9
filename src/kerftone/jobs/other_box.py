"""What would another height of the box, or another saw cut, do to how loud each note is? Tried on the model.

Each is solved with elements of order 2, wood and air together, all else as it is: the lengths too, which are to be
found anew once a change is made. Order 2 is some 50 cents sharp on the wood and a hundredth on the breathing, the
same for all that are compared. Levels in dB, the louder by the positive.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.errors import KerftoneError
from kerftone.jobs.progress import Progress
from kerftone.shop.measure import measure_of

HEIGHTS = (0.75, 1.25, 1.5)
"""A box is tried so many times as high: from 60 to 120 mm for one of 80."""
STEP_MM = {"mm": 5.0, "in": 6.35}
"""In which steps such a height is told: 5 mm, or a quarter of an inch."""
KERFS_MM = (2.0, 4.0)
"""Saw cuts that are tried where the drum's is another: a thin table-saw blade, and a wide one; common practice, no
source."""
SAME_KERF_MM = 0.4
"""A cut that differs by less is the same."""
LIFTED_DB = 2.0
"""A change that lifts the quietest note by less is not worth naming: levels are known to about this."""


@dataclass(frozen=True, kw_only=True)
class OtherBox:
    """The drum with one size changed: `words` says which. power_db (t,): its notes; on_breathing: which of them
    lie on its breathing (from 0)."""

    words: str
    drum: Drum
    breathing_hz: float
    power_db: tuple[float, ...]
    on_breathing: tuple[int, ...]

    @property
    def uneven_db(self) -> float:
        """How much louder the loudest note is than the quietest."""
        return max(self.power_db) - min(self.power_db)

    def told(self, now: OtherBox) -> tuple[str, ...]:
        """Its words, where it breathes, and each note against that of the drum as it is `now`.

        In Hz and dB; of the drum as it is, the levels themselves. A star marks notes on the breathing.
        """
        if self is now:
            levels = [f"{level:.0f}" for level in self.power_db]
        else:
            pairs = enumerate(zip(self.power_db, now.power_db, strict=True))
            levels = [f"{new - old:+.0f}{'*' * (n in self.on_breathing)}" for n, (new, old) in pairs]
        return (self.words, f"{self.breathing_hz:.0f}", *levels)

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "change": self.words,
            "height_mm": round(self.drum.box.height_mm, 4),
            "kerf_mm": round(self.drum.slots.kerf_mm, 4),
            "breathing_hz": round(self.breathing_hz, 2),
            "power_db": [round(level, 2) for level in self.power_db],
            "on_breathing": [self.drum.tongues[number].place for number in self.on_breathing],
        }


def changes(drum: Drum) -> list[tuple[str, Drum]]:
    """The drum as it is, then other heights of its box, other saw cuts, and without its sound holes, each named."""
    said, step, box = measure_of(drum), STEP_MM[drum.units], drum.box
    found = [("as it is", drum)]
    for share in HEIGHTS:
        high = step * max(1, round(share * box.height_mm / step))
        bar = min(box.root_bar_height_mm, high)
        found.append(
            (
                f"walls {said(high)} high",
                replace(drum, box=replace(box, height_mm=high, root_bar_height_mm=bar)),
            )
        )
    for kerf in KERFS_MM:
        if abs(kerf - drum.slots.kerf_mm) > SAME_KERF_MM:
            found.append((f"kerf {said(kerf)}", replace(drum, slots=replace(drum.slots, kerf_mm=kerf))))
    if drum.sound_holes:
        many = len(drum.sound_holes) > 1
        found.append((f"sound hole{'s' * many} plugged", replace(drum, sound_holes=())))
    return found


def other_boxes(drum: Drum, progress: Progress) -> tuple[OtherBox, ...]:
    """All that was tried, the drum as it is first. Raises KerftoneError for one without a bottom.

    Parameters
    ----------
    drum : Drum
        With places and lengths for all tongues.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.modal.crew import side_by_side

    if drum.bottom is None:
        raise KerftoneError(
            "Other boxes are to be tried for loudness. This drum's file has no [bottom] table, and an open box does "
            "not breathe: add a bottom, or leave this out.",
        )
    tried = changes(drum)
    progress(f"Trying {len(tried) - 1} other boxes on the model.")
    return tuple(one for one in side_by_side(tried_box, tried) if one is not None)


def tried_box(change: tuple[str, Drum]) -> OtherBox | None:
    """One change, roughly solved; None where such a drum cannot be made."""
    from kerftone.air.near_breathing import AFFECTED_Q, NEAR
    from kerftone.air.notes_in_air import tongues_in_air
    from kerftone.modal.plan import Fineness
    from kerftone.modal.solve import solve
    from kerftone.tune.fit import finished_air

    words, drum = change
    try:
        solution = solve(drum, fineness=Fineness(order=2))
    except KerftoneError:
        return None
    air = finished_air(solution)
    told = tongues_in_air(drum, solution.modes(), air)
    breathing = air.breathing_hz or 0.0
    return OtherBox(
        words=words,
        drum=drum,
        breathing_hz=breathing,
        power_db=tuple(one.power_db for one in told),
        on_breathing=tuple(
            number
            for number, one in enumerate(told)
            if abs(one.heard.hz / breathing - 1.0) < NEAR and one.radiation_q < AFFECTED_Q
        ),
    )


def louder_words(tried: Sequence[OtherBox]) -> str:
    """Which of these lifts the quietest note most without a note on its breathing that was not, in figures."""
    now, others = tried[0], tried[1:]
    levels = np.array(now.power_db)
    quiet = int(levels.argmin())

    def lift(one: OtherBox) -> float:
        return one.power_db[quiet] - now.power_db[quiet]

    new = {one.words: [n for n in one.on_breathing if n not in now.on_breathing] for one in others}
    good = [one for one in others if not new[one.words] and lift(one) >= LIFTED_DB]
    note = now.drum.tongues[quiet].note
    if good:
        best = max(good, key=lift)
        return (
            f"{best.words.capitalize()}: {note}, the quietest, is {lift(best):.0f} dB louder, and loudest and "
            f"quietest then differ by {best.uneven_db:.0f} dB instead of {now.uneven_db:.0f}. Find the lengths "
            "anew after it."
        )
    costly = max((one for one in others if lift(one) >= LIFTED_DB), key=lift, default=None)
    if costly is None:
        return f"None of these lifts {note}, the quietest, by as much as {LIFTED_DB:.0f} dB."
    names = ", ".join(now.drum.tongues[number].note for number in new[costly.words])
    return (
        f"{costly.words.capitalize()} would lift {note}, the quietest, by {lift(costly):.0f} dB, but put {names} on "
        "the breathing of the box."
    )
