"""How far each note falls while the top is only clamped to the walls, for taps made before it is glued.

Both drums are solved whole, glued and clamped, once for each state of the bottom, and kept on the shelf. What is
tuned since moves the note as it would with the top glued: what it does to a fall of a semitone is little. Cents,
positive when the clamped top is sharper; in vacuo.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.seat import clamped
from kerftone.modal.joints import joint_slopes
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.modal.solve import solve
from kerftone.pitch import cents
from kerftone.tune.glue import SOFTER

CENTS, DOUBT = "cents", "doubt"


@dataclass(frozen=True, kw_only=True)
class ClampedTop:
    """How far each note lies above that with the top glued (t,), and how far off that may be, all together (t,)."""

    cents: Array
    doubt: Array


def clamped_top(drum: Drum, shelf: Shelf | None, progress: Callable[[str], None]) -> ClampedTop:
    """What a top that is only clamped does to each note of this drum.

    Parameters
    ----------
    drum : Drum
        As far as its wood moves together: without a bottom that is not glued on.
    shelf : Shelf, optional
        Where answers are kept.
    progress : Callable
        Told what is being done.
    """
    shelf = shelf or Shelf()
    name = name_of("clamped top", drum)
    kept = shelf.arrays(name) or {}
    if kept.keys() >= {CENTS, DOUBT} and kept[CENTS].shape == kept[DOUBT].shape == (len(drum.tongues),):
        return ClampedTop(cents=kept[CENTS], doubt=kept[DOUBT])
    progress("Solving the whole drum twice more, its top glued and only clamped.")
    held = clamped(drum)
    solution = solve(held)
    there, here = read_notes(held, solution.modes()), read_notes(drum, solve(drum).modes())
    found = ClampedTop(
        cents=np.array([cents(one.hz, other.hz) for one, other in zip(there, here, strict=True)]),
        doubt=joint_slopes(solution, [note.mode for note in there])["clamps"] * math.log(SOFTER),
    )
    shelf.keep_arrays(name, {CENTS: found.cents, DOUBT: found.doubt})
    return found
