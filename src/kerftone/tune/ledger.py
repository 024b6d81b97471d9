"""What is not known of a drum at the bench, as a list of numbers, and what taps say of it.

Each has a prior: how far the wood shifts each tongue (all together by the species' scatter, each a little for
itself), how the bottom's coming off and an unglued top differ from the model, how much more or less than the model
says a bore does (in this drum, and in each tongue), what each single step did beyond that for being off in size or
place, and how far off the model is in saying what it did to each tongue. A tap is a sum of some of them plus the
model's pitch in that state, so all taps together give a Gaussian posterior in closed form. Cents throughout, positive
when sharp. Held by tests/tune/test_belief.py.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.linalg import block_diag, solve_triangular

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.pitch import cents, sharpened
from kerftone.tune import odd_steps
from kerftone.tune.boxes import BOX_DEVIATIONS, LIKELY, MIDDLE, apart
from kerftone.tune.history import Bottom, Event, Tap, after, is_tap_of
from kerftone.tune.instrument import OWN_CENTS, Instrument
from kerftone.tune.pull import BREATHING_CENTS, MOST_PER_CENT, PULL_CENTS, PULL_SHARE, STATES, finished
from kerftone.tune.step_doubts import slip, strays

BOTTOM_CENTS, BOTTOM_OWN_CENTS = 3.0, 1.5
"""How far the bottom's coming off may act otherwise than modelled, on all tongues together, and on each by itself,
beside what the box's wood does to it (`boxes.py`): see docs/bench.md. All numbers below are from the closed loop."""
ACTION, ACTION_OWN = 0.05, 0.03
"""How far bores in this drum may act otherwise than modelled, as a share, and each tongue's further; beside what the
box's wood does to it."""
ACTION_PER_CENT, TRUSTED_CENTS = 0.005, 25.0
"""And as much more for each cent beyond the second that a tongue's own wood was made stiffer or less stiff to sound
as heard: so large a correction is likely not its wood's alone, and then bores act otherwise too."""
HIGHER_ROUNDS, AIM_ROUNDS = 3, 8
"""How often it is asked anew by how much all taps are higher than the model, and what wood gives a note wanted: air
follows by half a cent a cent at most, so the first is then within an eighth of that, the second within 0.2 of 50."""
LEAST_WAY_CENTS = 10.0
"""How air follows a note is asked over so much of its way at the least; own judgement."""
LEAST_TAP_CENTS = 0.5
"""No tap is believed better than this; own judgement."""


class Ledger:
    """The unknowns of one drum in one list, and each tap as a row of it."""

    def __init__(self, instrument: Instrument, events: Sequence[Event]) -> None:
        self.instrument, self.events = instrument, tuple(events)
        self.count = len(instrument.design.tongues)
        self.bottomed = instrument.design.bottom is not None
        self.finished = finished(instrument.design)
        self.cuts = [n for n, event in enumerate(self.events) if not isinstance(event, Tap)]
        self.known: dict[tuple[int, bool], Array] = {}
        self.boxed: dict[int, Array] = {}
        self.woods: dict[tuple[int, bool], Array] = {}
        # How the bottom was at some tap, or is: each state but the finished one pulls in a way of its own.
        pulls = len(STATES)
        sizes = [self.count, 1, self.count, 1, 1, self.count, len(self.cuts), len(self.cuts) * self.count]
        sizes += [pulls, pulls * self.count, len(self.cuts) * self.count, self.count * len(BOX_DEVIATIONS)]
        starts = np.cumsum([0, *sizes, self.count])
        (
            self.wood,
            self.unbottomed,
            self.unbottomed_own,
            self.loose,
            self.acts,
            self.acts_own,
            self.slips,
            self.strays,
            self.pulls,
            self.pulls_own,
            self.sways,
            self.boxes,
            self.breathing,
        ) = (int(start) for start in starts[:-1])
        self.size = int(starts[-1])
        self.higher = 0.0
        for _ in range(
            HIGHER_ROUNDS if instrument.air else 0
        ):  # air moves what is heard, by where the wood is
            self.higher = self._higher()

    def stray(self, index: int, tongue: int) -> int:
        """Which unknown says what this step, the index-th, did to a tongue otherwise than modelled."""
        return self.strays + index * self.count + tongue

    def box(self, tongue: int) -> slice:
        """Which unknowns say what box this tongue's pull tells of: no other's, for walls and bottom differ too."""
        start = self.boxes + tongue * len(BOX_DEVIATIONS)
        return slice(start, start + len(BOX_DEVIATIONS))

    def prior(self) -> Array:
        """The covariance of the unknowns before anything is heard."""
        t = self.count
        return np.asarray(
            block_diag(
                self.instrument.wood_cents2() + OWN_CENTS**2 * np.eye(t),
                BOTTOM_CENTS**2 * np.eye(1),
                BOTTOM_OWN_CENTS**2 * np.eye(t),
                np.eye(1),  # of a clamped top's doubt
                ACTION**2 * np.eye(1),
                np.diag(self._action_own() ** 2),
                _diagonal([slip(self.events[n], self.state(n)) for n in self.cuts]),
                _diagonal([stray for n in self.cuts for stray in strays(self.events[n], self._did(n))]),
                PULL_SHARE**2 * np.eye(len(STATES)),
                PULL_CENTS**2 * np.eye(len(STATES) * t),
                _diagonal([by for n in self.cuts for by in self._turned(n)]),
                np.eye(t * len(BOX_DEVIATIONS)),
                np.eye(t),  # of where the breathing is
            )
        )

    def _apart(self, upto: int) -> Array:
        """How far the bottom's coming off may pull each tongue otherwise, by the box's wood, after so many events."""
        return apart(self._pulls(upto))

    def _pulls(self, upto: int) -> Array:
        cuts = sum(number < upto for number in self.cuts)
        if cuts not in self.boxed:
            self.boxed[cuts] = self.instrument.bottom_pulls(self.state(upto), np.zeros(self.count))
        return self.boxed[cuts]

    def _turned(self, number: int) -> Array:
        """How far a step may have turned each tongue's pull otherwise: by as much as the model, box by box, turns it.
        Else what bores did with the bottom off would seem to tell which box it is."""
        if not self.bottomed or not any(isinstance(e, Tap) and e.state != "glued" for e in self.events):
            return np.zeros(self.count)
        return np.asarray(np.sqrt(LIKELY @ (self._pulls(number + 1) - self._pulls(number)) ** 2))

    def _action_own(self) -> Array:
        """How far bores may act otherwise in each tongue by itself, as shares."""
        corrected = np.maximum(abs(self.instrument.corrections_cents()) - TRUSTED_CENTS, 0.0)
        squares = ACTION_OWN**2 + self.instrument.bore_scatter() ** 2 + (ACTION_PER_CENT * corrected) ** 2
        return np.asarray(np.sqrt(squares))

    def posterior(self, taps: Sequence[tuple[int, Tap]]) -> tuple[Array, Array]:
        """Mean and covariance of the unknowns once these taps are heard, odd steps being let go or learnt from."""
        first, odds = self.prior(), dict[int, list[odd_steps.Odd]]()
        prior = first.copy()
        if not taps:
            return np.zeros(self.size), prior
        rows = np.array([self.row(t.tongue, n, bottom=self.bottom_at(t), glued=t.top_glued) for n, t in taps])
        off = np.array([self.off(n, tap) for n, tap in taps])
        noise = np.diag([max(t.plus_minus_cents, LEAST_TAP_CENTS) ** 2 for _, t in taps])
        last = [self._last_cut(n, tap.tongue) for n, tap in taps]
        while True:
            joint = rows @ prior @ rows.T + noise
            # What each tap says beyond all before it, in standard deviations: they were heard in this order.
            root = np.linalg.cholesky(joint)
            news = solve_triangular(root, off, lower=True)
            odd = [
                odd_steps.Odd(
                    cut=cut,
                    ratio=1.0 + float(new * sd) / cut.cents,
                    as_finished=self.bottom_at(t) == self.finished,
                )
                for (_, t), cut, new, sd in zip(taps, last, news, np.diag(root), strict=True)
                if cut is not None and cut.is_odd(float(new), float(sd), prior[cut.stray, cut.stray])
            ]
            if not odd:
                gain = np.linalg.solve(joint, rows @ prior).T
                return gain @ off, prior - gain @ rows @ prior
            self._let_go(odd[0], odds.setdefault(odd[0].tongue, []), prior, first)

    def _let_go(self, odd: odd_steps.Odd, before: list[odd_steps.Odd], prior: Array, first: Array) -> None:
        """Widen what this odd step may have done; or what all do in this tongue, when one before it says the same."""
        own = self.acts_own + odd.tongue
        alike = [other for other in before if odd_steps.agree(odd.ratio, other.ratio)]
        if alike and prior[own, own] < odd_steps.ODD_ACTION**2:
            prior[own, own] = odd_steps.ODD_ACTION**2
            for other in alike:
                prior[other.stray, other.stray] = first[other.stray, other.stray]
            return
        prior[odd.stray, odd.stray] = odd_steps.ODD_CENTS**2
        if (
            not odd.as_finished
        ):  # a tone of the box as it is now may have done it, and the finished drum has none there
            sway = odd.stray - self.strays + self.sways
            prior[sway, sway] = odd_steps.ODD_CENTS**2
        before.append(odd)

    def _last_cut(self, upto: int, tongue: int) -> odd_steps.Effect | None:
        """The step that did most to a tongue since its tap before this one; None if there is none.

        Its own step, if one was taken.
        """
        since = max((n for n in range(upto) if is_tap_of(self.events[n], tongue)), default=0)
        made = [(index, n) for index, n in enumerate(self.cuts) if since <= n < upto]
        if not made:
            return None
        index, number = max(
            made, key=lambda one: (self.events[one[1]].tongue == tongue, abs(self._did(one[1])[tongue]))
        )
        did = float(self._did(number)[tongue])
        return odd_steps.Effect(tongue=tongue, stray=self.stray(index, tongue), cents=did or 1e-6)

    def state(self, upto: int) -> Drum:
        """The drum after the first `upto` events, as it was to be cut."""
        return after(self.instrument.design, self.events[:upto])

    def _moved_by(self, number: int, *, bottom_on: bool) -> Array:
        """How far the model says one event has moved each tongue, in cents."""
        if isinstance(self.events[number], Tap):
            return np.zeros(self.count)
        if (number, bottom_on) not in self.known:
            done = self.instrument.moved(self.state(number), self.state(number + 1), bottom_on=bottom_on)
            self.known[number, bottom_on] = done
        return self.known[number, bottom_on]

    def _did(self, number: int) -> Array:
        """The same for the drum as its file says it stands, in air."""
        before, now = (self._moved(upto, self.finished) for upto in (number, number + 1))
        return now - before

    def wood_hz(self, upto: int, bottom: Bottom, raised: Array | float = 0.0) -> Array:
        """What each tongue's wood sounds by the model, and by what all taps are higher (t,): where the air is asked.

        Parameters
        ----------
        upto : int
            After so many events.
        bottom : Bottom
            How the bottom is.
        raised : Array | float, optional
            How much higher each is, in cents (t,).
        """
        key = (sum(number < upto for number in self.cuts), bottom == "glued")
        if key not in self.woods:
            first = self.instrument.notes(self.instrument.design, bottom_on=key[1])
            moved = [self._moved_by(number, bottom_on=key[1]) for number in self.cuts[: key[0]]]
            whole = np.sum([np.zeros(self.count), *moved], axis=0)
            self.woods[key] = np.array([note.hz for note in first]) * 2.0 ** (whole / 1200.0)
        return np.asarray(self.woods[key] * 2.0 ** ((self.higher + raised) / 1200.0))

    def _higher(self) -> float:
        """How much higher all tongues sound than the model says, by their first taps, in cents."""
        first = {
            tap.tongue: (n, tap) for n, tap in reversed([*enumerate(self.events)]) if isinstance(tap, Tap)
        }
        return float(np.median([self.off(n, tap) for n, tap in first.values()])) if first else 0.0

    def air(self, upto: int, bottom: Bottom, raised: Array | float = 0.0) -> Array:
        """How far air moves each tongue then, in cents (t,), were its wood so much higher.

        Parameters
        ----------
        upto : int
            After so many events.
        bottom : Bottom
            How the bottom is.
        raised : Array | float, optional
            How much higher each is, in cents (t,).
        """
        return self.instrument.air_moves(bottom).by(self.wood_hz(upto, bottom, raised))

    def _by_breathing(self, upto: int, bottom: Bottom, raised: Array | float = 0.0) -> Array:
        """How much further the bottom's state pulls each tongue if the breathing lies elsewhere, in cents (t,)."""
        steeper = [
            self.instrument.air_moves(state).per_cent(self.wood_hz(upto, state, raised))
            for state in (bottom, self.finished)
        ]
        return np.asarray(BREATHING_CENTS * np.subtract(*steeper))

    def follows(self, upto: int, wanted: Array) -> tuple[Array, Array]:
        """How far each note of the finished drum moves for each cent that its wood does, and how sure that is (t,).

        On the way from where it is to where it is wanted, in the mean; the breathing may lie to either side.

        Parameters
        ----------
        upto : int
            After so many events.
        wanted : Array
            How far each is to be moved, in cents (t,).
        """
        way = np.where(abs(wanted) < LEAST_WAY_CENTS, LEAST_WAY_CENTS, wanted)
        nearer, here, farther = (
            np.clip(
                (self.air(upto, self.finished, by + way) - self.air(upto, self.finished, by)) / way,
                -MOST_PER_CENT,
                MOST_PER_CENT,
            )
            for by in (-BREATHING_CENTS, 0.0, BREATHING_CENTS)
        )
        return 1.0 + here, np.sqrt(0.5 * ((nearer - here) ** 2 + (farther - here) ** 2))

    def _moved(self, upto: int, bottom: Bottom) -> Array:
        """How far the model says all changes so far have moved each tongue, in cents."""
        now, first = (self.wood_hz(n, bottom) for n in (upto, 0))
        return np.asarray(1200.0 * np.log2(now / first) + self.air(upto, bottom) - self.air(0, bottom))

    def bottom_at(self, tap: Tap) -> Bottom:
        """How the bottom was at this tap; off where the drum has none that could be on."""
        return tap.state if self.bottomed or tap.state == "table" else "off"

    def model_hz(self, tongue: int, upto: int, *, bottom: Bottom, glued: bool = True) -> float:
        """What it sounds by the model, in air.

        Parameters
        ----------
        tongue : int
            Which, counted from 0.
        upto : int
            After so many events.
        bottom : Bottom
            How the bottom is.
        glued : bool, optional
            Whether the top is glued to the walls, or only clamped.
        """
        on = bottom == "glued"
        first = self.instrument.notes(self.instrument.design, bottom_on=on)[tongue].hz
        moved = self._moved(upto, bottom) + self.air(0, bottom)
        if not glued:
            moved = moved + self.instrument.clamped(bottom).cents
        return sharpened(first, float(moved[tongue]))

    def row(self, tongue: int, upto: int, *, bottom: Bottom, glued: bool = True) -> Array:
        """Which unknowns a tongue's pitch is the sum of.

        Parameters
        ----------
        tongue : int
            Which, counted from 0.
        upto : int
            After so many events.
        bottom : Bottom
            How the bottom is.
        glued : bool, optional
            Whether the top is glued to the walls, or only clamped.
        """
        bottom_on = bottom == "glued"
        row = np.zeros(self.size)
        row[self.wood + tongue] = 1.0
        if bottom_on != self.bottomed:
            row[self.unbottomed] = row[self.unbottomed_own + tongue] = 1.0
            row[self.box(tongue)] = self._apart(upto)[:, tongue]
        if bottom != self.finished:
            state = STATES.index(bottom)
            row[self.pulls + state] = (self.air(upto, bottom) - self.air(upto, self.finished))[tongue]
            row[self.breathing + tongue] = self._by_breathing(upto, bottom)[tongue]
            row[self.pulls_own + state * self.count + tongue] = 1.0
        if not glued:
            row[self.loose] = self.instrument.clamped(bottom).doubt[tongue]
        row[self.acts] = row[self.acts_own + tongue] = self._moved(upto, bottom)[tongue]
        for index, number in enumerate(self.cuts):
            if number < upto:
                row[self.slips + index] = self._did(number)[tongue]
                row[self.stray(index, tongue)] = 1.0
                row[self.sways + index * self.count + tongue] = float(bottom != self.finished)
        return row

    def off(self, number: int, tap: Tap) -> float:
        """How much sharper a tap was than the model says, in cents."""
        return cents(
            tap.hz, self.model_hz(tap.tongue, number, bottom=self.bottom_at(tap), glued=tap.top_glued)
        )

    def further(self, bottom: Bottom, by: Array, wanted: Array) -> tuple[Array, Array]:
        """How much further each tongue is pulled once its finished note is moved so far, and by which unknowns.

        Parameters
        ----------
        bottom : Bottom
            How the bottom is.
        by : Array
            The unknowns of each tongue's pull where it is now (t, n).
        wanted : Array
            How far each is to be moved, in cents (t,).
        """
        now = len(self.events)
        raised, here = wanted.copy(), self.air(now, self.finished)
        for _ in range(AIM_ROUNDS):
            raised = wanted - (self.air(now, self.finished, raised) - here)
        opened, then = raised.copy(), by.copy()
        if self.bottomed and bottom != "glued":
            pulls, there = (
                self.instrument.bottom_pulls(self.state(now), to) for to in (0.0 * raised, raised)
            )
            opened += (there - pulls)[MIDDLE]
            for tongue in range(self.count):
                then[tongue, self.box(tongue)] = apart(there)[:, tongue]
        for tongue, off in enumerate(self._by_breathing(now, bottom, raised)):
            then[tongue, self.breathing + tongue] = off
        air = self.air(now, bottom, opened) - self.air(now, bottom)
        return opened + air - wanted, then

    def tapped_since_cut(self, tongue: int) -> int:
        """How often this tongue was tapped since it was cut last."""
        taps = 0
        for event in self.events:
            if event.tongue == tongue:
                taps = taps + 1 if isinstance(event, Tap) else 0
        return taps


def _diagonal(sizes: Sequence[float]) -> Array:
    """Independent unknowns of these sizes as a covariance, also when there are none."""
    return np.asarray(np.diag(np.square(np.array(sizes, dtype=float)))).reshape(len(sizes), len(sizes))
