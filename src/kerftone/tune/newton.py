"""Lengths at which tongues in given places sound given notes, by Newton's method on the search model.

The model says by how much each tongue's own pitch is off at the frequency it is to sound, and how that changes with
every length (`modal/search.py`), so no mode has to be recognised on the way. Lengths in mm, pitches in Hz, errors in
cents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerftone.modal.result import Array
from kerftone.modal.search import Place, SearchModel
from kerftone.modal.sensitivity import CENTS_PER_LN
from kerftone.stopping import check_stopped

ROUNDS = 12
"""Rounds at most; own judgement."""
GOOD_CENTS = 0.01
"""Far below what is heard or sawn; own judgement."""
LARGEST_STEP = 0.25
"""No tongue changes by more than this share of its length in one step of Newton's method."""
STIFFER = (8.0, 4.0, 2.8, 2.0, 1.6, 1.3, 1.1, 1.0)
"""The frame is thought so many times as stiff, one after the other, where Newton's method alone loses its way."""


@dataclass(frozen=True, kw_only=True)
class Tuned:
    """Tongues in tune on the model. off_cents (t,): what is left. pull (t, t): cents a note moves when another
    tongue's own note is moved by one."""

    places: tuple[Place, ...]
    lengths_mm: tuple[float, ...]
    off_cents: Array
    pull: Array

    @property
    def settled(self) -> bool:
        """Whether every note is reached."""
        return bool(np.isfinite(self.off_cents).all() and abs(self.off_cents).max() < 0.1)


def tuned(
    model: SearchModel,
    places: Sequence[Place],
    aims_hz: Sequence[float],
    start_mm: Sequence[float],
    *,
    patient: bool = True,
) -> Tuned:
    """Lengths at which the tongues in these places sound these notes, from a start.

    Where Newton's method loses its way, a patient search first thinks the frame stiffer, so that the tongues hardly
    feel each other, and then lets it down to what it is step by step.

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    places : Sequence[Place]
        Of the notes, in their order.
    aims_hz : Sequence[float]
        The pitch each note is to have, in Hz (t,).
    start_mm : Sequence[float]
        Lengths to begin from, in mm.
    patient : bool, optional
        Whether to take the slow way where the quick one fails.
    """
    check_stopped()
    found = _newton(model, places, aims_hz, start_mm)
    if found.settled or len(places) == 1 or not patient:
        return found
    near: Sequence[float] = start_mm
    for factor in STIFFER:
        found = _newton(model.with_stiffer_frame(factor), places, aims_hz, near)
        if not found.settled:
            return _newton(model, places, aims_hz, near)
        near = found.lengths_mm
    return found


def _newton(
    model: SearchModel, places: Sequence[Place], aims_hz: Sequence[float], start_mm: Sequence[float]
) -> Tuned:
    """Newton's method with steps that shorten the error."""
    low, high = np.log(np.array([model.reach_mm(place) for place in places]).T)
    at = np.clip(np.log(np.asarray(start_mm, dtype=float)), low, high)
    sounding = model.sounding(model.fitted(places, np.exp(at)), aims_hz)
    for _ in range(ROUNDS):
        if not np.isfinite(sounding.excess).all() or _cents(sounding.excess).max() < GOOD_CENTS:
            break
        step = -np.linalg.lstsq(sounding.slope, sounding.excess, rcond=None)[0]
        step *= min(1.0, LARGEST_STEP / max(abs(step).max(), 1e-12))
        for share in (1.0, 0.5, 0.25):
            moved = np.clip(at + share * step, low, high)
            trial = model.sounding(model.fitted(places, np.exp(moved)), aims_hz)
            if np.linalg.norm(trial.excess) < np.linalg.norm(sounding.excess):
                break
        at, sounding = moved, trial
    own = np.diag(sounding.slope)
    return Tuned(
        places=tuple(places),
        lengths_mm=tuple(float(mm) for mm in np.exp(at)),
        off_cents=0.5 * CENTS_PER_LN * sounding.excess,
        pull=sounding.slope / own[None, :] - np.eye(len(own)),
    )


def _cents(excess: Array) -> Array:
    return np.asarray(0.5 * CENTS_PER_LN * abs(excess))
