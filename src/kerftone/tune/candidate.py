"""One arrangement of a drum's notes, brought in tune on the model, and how good it is against others."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from kerftone.modal.result import Array

if TYPE_CHECKING:
    from kerftone.tune.newton import Tuned

CLEAR = 0.9
"""A note this clear sounds as one tone."""
SURE = 0.9
"""An arrangement that keeps off the breathing on this share of boards does so well enough for other things to decide;
own judgement."""
CLEAR_ON = 0.96
"""And one that is clear on this share of boards: a note that a tone of the box keeps away cannot be had by
any bore, so more is asked than for the breathing."""
STEP_DB = 3.0
"""Arrangements whose notes differ in loudness by less than this are as even: the levels they are ranked by are known
to some 2 dB against each other."""


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """An arrangement in tune on the model. clarity (t,): each note's share of all that a blow on its tongue sounds
    below its first overtone. sure: the share of the boards tried on which every note comes out clear. safe: on which
    no note that pushes air lies on the breathing. power_db (t,): how loud its notes are; empty where not asked.
    spoilt: the knots that spoil a tongue, by number; corner_mm: where the top must be cut from its board for it."""

    tuned: Tuned
    clarity: Array
    fits: bool
    sure: float = math.nan
    safe: float = 1.0
    power_db: Array = field(default_factory=lambda: np.zeros(0))
    spoilt: tuple[int, ...] = ()
    corner_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def usable(self) -> bool:
        """Whether it can be sawn: its rows are long enough, and no knot lies in a tongue."""
        return self.fits and not self.spoilt

    @property
    def least(self) -> float:
        """The clarity of the least clear note; 0 where the notes are not reached."""
        return float(self.clarity.min()) if self.tuned.settled else 0.0

    @property
    def uneven_db(self) -> float:
        """How much louder the loudest note is than the quietest; 0 where not asked."""
        return float(np.ptp(self.power_db)) if self.power_db.size else 0.0

    @property
    def merit(self) -> tuple[float, ...]:
        """What is to be large: that it fits, sounds, keeps off knots, is clear, and is so on most boards; keeps off
        the breathing on most; then that its notes are even in loudness."""
        sure = 0.0 if math.isnan(self.sure) else self.sure
        return (
            float(self.fits),
            float(self.tuned.settled),
            -float(len(self.spoilt)),
            min(self.least, CLEAR),
            min(sure, CLEAR_ON),
            min(self.safe, SURE),
            -round(self.uneven_db / STEP_DB),
            sure,
            self.least,
        )
