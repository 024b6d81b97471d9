"""A top on a ledge with its gap open, and the same with the gap filled with glue: what is it worth?

Glue that is squeezed into the gap of a clearance holds the top at its edges too, which raises the notes by up to two
semitones. So both are told, whichever the drum file says. Cents, positive where the other is sharper.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from kerftone.drum.design import Drum, Glued
from kerftone.jobs.prediction import LISTED, NOTHING_KEPT, Prediction
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.shelf import Shelf, name_of
from kerftone.pitch import cents

if TYPE_CHECKING:
    from collections.abc import Sequence

SHIFTS = "other glue cents"
OTHER: dict[Glued, Glued] = {"ledge": "ledge and edges", "ledge and edges": "ledge"}


def other_glue(drum: Drum) -> Drum | None:
    """The same drum with its gap filled, or open; None where there is no ledge."""
    if drum.box.mount != "in ledge":
        return None
    return replace(drum, box=replace(drum.box, glued=OTHER[drum.box.glued]))


def glue_shifts_of(prediction: Prediction, shelf: Shelf = NOTHING_KEPT) -> tuple[float, ...]:
    """How far each note of this prediction moves if the glue is otherwise: of its wood, the bottom as asked there."""
    wood = prediction.drum if prediction.air is None else prediction.air.wood(prediction.drum)
    once = SolvedOnce(wood, LISTED)
    return glue_shifts_cents(once, shelf, [tongue.in_vacuo_hz for tongue in prediction.tongues])


def glue_shifts_cents(
    once: SolvedOnce, shelf: Shelf = NOTHING_KEPT, in_vacuo_hz: Sequence[float] | None = None
) -> tuple[float, ...]:
    """How far each note of a drum on a ledge moves if the glue is otherwise, in cents.

    Both in vacuo: the air, which lowers the deepest notes a little, is left out of the difference. Raises
    OutlineError where the drum cannot be solved.

    Parameters
    ----------
    once : SolvedOnce
        The drum, its top on a ledge.
    shelf : Shelf
        What was worked out before.
    in_vacuo_hz : Sequence[float] | None
        Its notes without air, where they are known.
    """
    name = name_of("other glue", once.drum)
    kept = shelf.arrays(name)
    if kept is not None and SHIFTS in kept:
        return tuple(float(shift) for shift in kept[SHIFTS])
    here = once.notes_hz() if in_vacuo_hz is None else in_vacuo_hz
    other = other_glue(once.drum)
    assert other is not None, "only a top on a ledge can be glued otherwise"
    there = SolvedOnce(other, LISTED).notes_hz()
    shifts = tuple(cents(moved, hz) for moved, hz in zip(there, here, strict=True))
    shelf.keep_arrays(name, {SHIFTS: np.array(shifts)})
    return shifts


def glue_words(drum: Drum, shifts: Sequence[float]) -> str:
    """Both pitches in a sentence: what the file says, and how far the notes move otherwise."""
    here, there = {
        "ledge": ("on its ledge alone", "with the gap filled with glue"),
        "ledge and edges": ("on its ledge and at its edges", "with the gap left open"),
    }[drum.box.glued]
    way = "higher" if sum(shifts) > 0.0 else "lower"
    each = ", ".join(
        f"{tongue.place} {tongue.note} {shift:+.0f}".replace("-", "\N{MINUS SIGN}")
        for tongue, shift in zip(drum.tongues, shifts, strict=True)
    )
    return f"glued {here}; {there} the notes are {way} ({each} cents)"
