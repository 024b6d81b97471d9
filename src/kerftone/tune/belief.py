"""What the taps so far say of a drum: how sharp each tongue is now, how sure that is, and how bores act in it.

It is read off the ledger of all that is not known (`ledger.py`), for the finished drum: its bottom glued, if it has
one. Cents throughout, positive when sharp. Held by tests/tune/test_belief.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kerftone.modal.crew import on_one_thread
from kerftone.modal.result import Array
from kerftone.pitch import cents
from kerftone.tune import odd_steps
from kerftone.tune.history import Bottom, Event, Tap
from kerftone.tune.instrument import Instrument
from kerftone.tune.ledger import Ledger
from kerftone.tune.pull import Pulled
from kerftone.tune.tones import Tone, breathing_tones


@dataclass(frozen=True, kw_only=True)
class Belief:
    """Each tongue now, relative to its target, and how bores act there (1: just as modelled).

    far (t,): which side of the band is the far one: +1, the sharp side, for a tongue that was flat when first
    heard, and -1 for one that was sharp. cents, plus_minus (t,); action, action_plus_minus (t,); tapped (t,): how
    often since it was last cut; heard (t,): whether ever. jumps (t,): how surely its own bores have made it jump
    both ways, as a tongue does in which two tones change places as the louder. pulled: how far all sound from this
    as the bottom is just now; None where it is as in the finished drum. breathing: where that may keep each tongue
    from its note.
    """

    far: Array
    cents: Array
    plus_minus: Array
    action: Array
    action_plus_minus: Array
    tapped: tuple[int, ...]
    heard: tuple[bool, ...]
    jumps: tuple[odd_steps.Jumps, ...]
    pulled: Pulled | None = None
    breathing: tuple[Tone | None, ...] = ()


@on_one_thread
def believe(
    instrument: Instrument,
    events: Sequence[Event],
    targets_hz: Sequence[float],
    bottom: Bottom | None = None,
) -> Belief:
    """What a drum's history says of it now, once it is finished (with its bottom glued, if it has one).

    Parameters
    ----------
    instrument : Instrument
        The model of this drum.
    events : Sequence[Event]
        Taps and bores, in their order.
    targets_hz : Sequence[float]
        The pitch each tongue is to have, in Hz.
    bottom : Bottom, optional
        How the bottom is just now; as at the last tap if not said.
    """
    ledger = Ledger(instrument, events)
    taps = [(n, event) for n, event in enumerate(ledger.events) if isinstance(event, Tap)]
    mean, spread = ledger.posterior(taps)
    return _Reading(ledger=ledger, taps=taps, mean=mean, spread=spread).belief(targets_hz, bottom)


@on_one_thread
def corrected(instrument: Instrument, events: Sequence[Event]) -> Instrument:
    """The instrument with each tongue's wood as stiff, against the others', as its first tap says.

    What is common to all tongues is left to the belief: it changes no interval.
    """
    ledger = Ledger(instrument, events)
    first: dict[int, float] = {}
    for number, event in enumerate(events):
        if isinstance(event, Tap) and event.tongue not in first:
            first[event.tongue] = ledger.off(number, event)
    if len(first) < 2:
        return instrument
    common = float(np.median(list(first.values())))
    return instrument.corrected([first.get(n, common) - common for n in range(ledger.count)])


@dataclass(frozen=True, kw_only=True)
class _Reading:
    """A ledger, and what is believed of its unknowns: mean (n,) and covariance (n, n)."""

    ledger: Ledger
    taps: list[tuple[int, Tap]]
    mean: Array
    spread: Array

    def belief(self, targets_hz: Sequence[float], bottom: Bottom | None = None) -> Belief:
        """Each tongue of the finished drum against these notes, and the bottom as it is told or was at last."""
        ledger, tongues, now = self.ledger, range(self.ledger.count), len(self.ledger.events)
        own = np.array([ledger.row(tongue, now, bottom=ledger.finished) for tongue in tongues])
        modelled = [
            cents(ledger.model_hz(tongue, now, bottom=ledger.finished), target)
            for tongue, target in enumerate(targets_hz)
        ]
        first_heard = {tap.tongue: cents(tap.hz, targets_hz[tap.tongue]) for _, tap in reversed(self.taps)}
        off, heard = np.array(modelled) + own @ self.mean, tuple(n in first_heard for n in tongues)
        acts, (follows, doubt) = np.zeros((ledger.count, ledger.size)), ledger.follows(now, -off)
        acts[:, ledger.acts] = follows
        acts[tongues, ledger.acts_own + np.arange(ledger.count)] = follows
        return Belief(
            far=np.array([1.0 if first_heard.get(n, -1.0) < 0.0 else -1.0 for n in tongues]),
            cents=off,
            plus_minus=self._sizes(own),
            action=follows + acts @ self.mean,
            action_plus_minus=np.hypot(self._sizes(acts), doubt),
            tapped=tuple(ledger.tapped_since_cut(tongue) for tongue in tongues),
            heard=heard,
            jumps=tuple(self._jumps(tongue) for tongue in tongues),
            breathing=breathing_tones(
                ledger.instrument.air_moves(ledger.finished),
                ledger.wood_hz(now, ledger.finished),
                -off,
                ledger.instrument.design.tuning.tolerance_cents,
            ),
            pulled=self._pulled(bottom, np.where(heard, -off, 0.0)),
        )

    def _pulled(self, bottom: Bottom | None, wanted: Array) -> Pulled | None:
        """How far all sound from the finished drum with the bottom so, else as at the last tap, as the top is.

        Now, and once each is moved by `wanted` cents, to its note: it may have passed a tone of the box by then.
        """
        ledger, now = self.ledger, len(self.ledger.events)
        last = self.taps[-1][1] if self.taps else None
        bottom = bottom or (ledger.bottom_at(last) if last else ledger.finished)
        glued = last is None or last.top_glued
        if bottom == ledger.finished and glued:
            return None
        held = ((bottom, glued), (ledger.finished, True))
        rows, modelled = [], []
        for tongue in range(ledger.count):
            rows.append(np.subtract(*(ledger.row(tongue, now, bottom=b, glued=on) for b, on in held)))
            modelled.append(cents(*(ledger.model_hz(tongue, now, bottom=b, glued=on) for b, on in held)))
        by, pulled = np.array(rows), np.array(modelled)
        more, then = ledger.further(bottom, by, wanted)
        return Pulled(
            bottom=bottom,
            top_glued=glued,
            cents=pulled + by @ self.mean,
            plus_minus=self._sizes(by),
            aim_cents=pulled + more + then @ self.mean,
            aim_plus_minus=self._sizes(then),
        )

    def _sizes(self, rows: Array) -> Array:
        """One standard deviation of each of these sums of unknowns."""
        return np.asarray(np.sqrt(np.maximum(np.einsum("ti,ij,tj->t", rows, self.spread, rows), 0.0)))

    def _jumps(self, tongue: int) -> odd_steps.Jumps:
        """By what its own bores did beyond what they should."""
        events, cuts = self.ledger.events, self.ledger.cuts
        own = [index for index, number in enumerate(cuts) if events[number].tongue == tongue]
        return odd_steps.jumps([float(self.mean[self.ledger.stray(index, tongue)]) for index in own])
