"""What rounding over the slots' edges is worth to each note, in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.edge_wood import USUAL_MM
from kerftone.jobs.prediction import NOTHING_KEPT
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.shop.measure import measure_of


def round_words(drum: Drum, rounded: Sequence[float]) -> str:
    """How far a round-over moves the notes, and when it must be made.

    Parameters
    ----------
    drum : Drum
        As its file has it: with a radius, its pitches have it in them.
    rounded : Sequence[float]
        How far it moves each note, in cents.
    """
    radius = drum.slots.round_over_mm
    each = ", ".join(
        f"{tongue.place} {tongue.note} {cents:+.1f}".replace("-", "\N{MINUS SIGN}")
        for tongue, cents in zip(drum.tongues, rounded, strict=True)
    )
    size = measure_of(drum)(radius or USUAL_MM)
    if radius:
        told = f"The slots' edges are rounded over to {size}, which is in these notes ({each} cents)"
        return f"{told}. Do it before tuning."
    return (
        f"Rounding over the slots' upper edges to {size} would move the notes ({each} cents). If you want it, write "
        "round_over in [slots] and do it before tuning."
    )


def rounded_of(once: SolvedOnce, shelf: Shelf = NOTHING_KEPT) -> tuple[float, ...]:
    """How far a round-over moves each note of this drum, in cents, from the shelf or by its solve.

    Parameters
    ----------
    once : SolvedOnce
        The drum, with places and lengths for all tongues.
    shelf : Shelf, optional
        Where it is kept.
    """
    name = name_of("rounded", once.drum)
    kept = shelf.arrays(name)
    if kept is None or "cents" not in kept:
        kept = {"cents": _solved(once)}
        shelf.keep_arrays(name, kept)
    return tuple(float(one) for one in kept["cents"])


def _solved(once: SolvedOnce) -> Array:
    from kerftone.modal.notes import weights
    from kerftone.modal.sensitivity import round_over_cents

    own = np.argmax(weights(once.solution().modes()), axis=1)
    return round_over_cents(once.solution(), [int(mode) for mode in own])
