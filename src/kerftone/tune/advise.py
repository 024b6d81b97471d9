"""Where to bore next, with which bit, how deep, what it will do, and how sure that is.

For one tongue: the belief says how far it is off and how sure that is (`belief.py`); the first-order map gives
all places, bits and depths a likely effect (`bores.py`); the most promising are solved again with the bore in the
solid; the best is the one that leaves the least to do while the chance of passing the far side of the tolerance
stays small. Wide and shallow, on the centre line and clear of other notes are preferred when little else parts two
bores. Wood does not grow back, so a step that would pass is shortened, and several small steps are the rule.

Cents are positive when sharp; lengths in mm, seen from above. Held by tests/tune/test_advise.py and, in a closed
loop with virtual drums, benchmarks/tuning_loop.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.special import ndtr

from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import layout
from kerftone.modal.notes import read_notes
from kerftone.pitch import note_name, note_number, sharpened
from kerftone.tune.belief import STRAY_CARRIED_SHARE, Belief
from kerftone.tune.history import Bored, Change, Lengthened, Trimmed
from kerftone.tune.instrument import Instrument
from kerftone.tune.offer import Offer, offer, reach
from kerftone.tune.order import by_turn, own_steps, pull
from kerftone.tune.otherwise import OtherStep, other_step
from kerftone.tune.trial import Need, Trial, best_bore

Action = Literal["bore", "lengthen slots", "trim", "weight", "leave", "stop"]

LEAST_OFFER_CENTS = 1.0
NEAR_SIDE = 0.2
"""Tongues are aimed this share of the tolerance short of their notes: a little short can be mended, past cannot."""

TAPPED, TAP_TOO = 0.3, 0.4
"""How unsure a tongue need be at most, as a share of the tolerance: it can be tapped again, so no wood is taken for
want of a tap. And how unsure a step may leave a neighbour that is not tapped after it."""

DOUBT, TAPPED_ENOUGH_CENTS = 0.02, 0.75
"""A tongue is called done when the chance that it lies outside its band is under the first; else it is tapped again,
until it is as sure as the second: by some four taps."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The next step for one tongue. Lengths, cents and Hz as in the module; None where the step has no such thing.

    change: the step as the log would have it. expected_cents ± spread_cents: what it does to this tongue. others: how
    far other tongues move along. tap_too: other tongues to be tapped after it; where no step is left, tongues to be
    tapped again before they are called done. offer: what else the drum could be tuned to, where no bore helps and no
    other step is enough.
    """

    tongue: int
    action: Action
    now_hz: float
    now_cents: float
    plus_minus_cents: float
    why: str
    change: Change | None = None
    from_root_mm: float | None = None
    from_edge_mm: float | None = None
    expected_cents: float | None = None
    spread_cents: float | None = None
    overshoot_chance: float | None = None
    left_under_mm: float | None = None
    clarity: float | None = None
    others: tuple[tuple[int, float], ...] = ()
    tap_too: tuple[int, ...] = ()
    offer: Offer | None = None

    @property
    def bore(self) -> Bore | None:
        """The bore to make, if the step is one."""
        return self.change.bore if isinstance(self.change, Bored) else None

    @property
    def by(self) -> float | None:
        """How many mm to trim or to saw further, or how many grams to fix; None for a bore or no step."""
        if self.change is None or isinstance(self.change, Bored):
            return None
        return self.change.by_mm if isinstance(self.change, Lengthened | Trimmed) else self.change.grams


def advise(
    instrument: Instrument, state: Drum, belief: Belief, number: int, targets_hz: Sequence[float]
) -> Advice:
    """What to do next to this tongue, also to one that hops. `state`: the drum as it is cut now."""
    belief = replace(belief, hops=tuple(hops and n != number for n, hops in enumerate(belief.hops)))
    need = _needs(instrument, state, belief)[number]
    said = _advise(instrument, state, need, targets_hz)
    if said.action == "stop" and need.wanted:
        said = _otherwise(instrument, state, need, targets_hz) or said
    return _with_taps(state, belief, _with_offer(instrument, state, belief, said))


def _with_taps(state: Drum, belief: Belief, said: Advice) -> Advice:
    """The same with the other tongues of which it is not sure, after the step, where they stand."""
    most = TAP_TOO * state.tuning.tolerance_cents
    unsure = [
        number
        for number, by in said.others
        if belief.heard[number] and math.hypot(belief.plus_minus[number], STRAY_CARRIED_SHARE * by) > most
    ]
    return replace(said, tap_too=tuple(unsure))


def _with_offer(instrument: Instrument, state: Drum, belief: Belief, said: Advice) -> Advice:
    """The same with what else the drum could be tuned to, where the note wanted is out of reach of bores."""
    left = abs(said.now_cents + (said.expected_cents or 0.0))
    short = said.by is not None and left > state.tuning.tolerance_cents
    if belief.hops[said.tongue] or (said.action != "stop" and not short):
        return said
    found = offer(said.tongue, belief, reach(instrument, state, belief))
    if found.together is not None and abs(found.together) < LEAST_OFFER_CENTS:
        return said  # bores can do it yet, once its neighbours have been seen to
    return replace(said, offer=found, why=f"{said.why} {_offered(found, said.tongue, state)}")


def _offered(found: Offer, number: int, state: Drum) -> str:
    """What else could be had, in words, and what to write in the drum file for it."""
    words = []
    if found.alone is not None:
        note = note_name(
            note_number(state.tongues[number].note) + found.alone, flats="b" in state.tongues[number].note
        )
        words.append(f"Tongue {number + 1} alone can still become {note}")
    if found.together is not None and round(found.together):
        hz = sharpened(state.tuning.reference_hz, found.together)
        way = "higher" if found.together > 0.0 else "lower"
        words.append(
            f"all tongues together can be in tune {abs(found.together):.0f} cents {way} "
            f"([tuning] reference_hz = {hz:.1f})"
        )
    if found.semitones is not None:
        count, way = abs(found.semitones), "higher" if found.semitones > 0 else "lower"
        words.append(f"or all of them {count} semitone{'s' * (count > 1)} {way}")
    if not words:
        return "By the map, no other note within an octave can be reached by all of them either."
    return f"By the map, with caution: {'; '.join(words)}. Write what you choose in the drum file, and ask again."


def _needs(instrument: Instrument, state: Drum, belief: Belief) -> list[Need]:
    """What each tongue has to be moved by bores of its own, its neighbours being seen to as well."""
    helped = np.array(belief.heard) & ~np.array(belief.hops)
    pulls = pull(instrument.assembly(state, bottom_on=state.bottom is not None))
    tolerance = state.tuning.tolerance_cents
    steps = own_steps(
        np.where(helped, belief.cents, 0.0),
        np.where(helped, np.minimum(belief.plus_minus, TAPPED * tolerance), 0.0),
        tolerance,
        pulls,
        aim=np.where(helped, -NEAR_SIDE * tolerance * belief.far, 0.0),
        far=np.where(helped, belief.far, 0.0),
        fixed=tuple(np.flatnonzero(~helped)),
    )
    carried = pulls @ steps - steps
    return [
        Need(
            number=number,
            wanted=float(step),
            carried=float(carried[number]),
            all_cents=belief.cents,
            all_plus_minus=belief.plus_minus,
            tolerance=tolerance,
            action=float(belief.action[number]),
            action_plus_minus=float(belief.action_plus_minus[number]),
            pulls=pulls[:, number],
            far=belief.far,
            hops=belief.hops[number],
        )
        for number, step in enumerate(steps)
    ]


def _advise(instrument: Instrument, state: Drum, need: Need, targets_hz: Sequence[float]) -> Advice:
    number = need.number
    now = _now(need, targets_hz)
    if need.hops and abs(need.cents) > need.tolerance:
        why = (
            f"It is {_off(need)}, and its bores have made it jump up and down by far more than they should. "
            "Two tones share this tongue and change places as the louder: something else in the drum sounds near "
            "its note. More bores would only take wood. Leave it, or give it another note and ask for this tongue "
            "by its number."
        )
        return now.says("stop", why)
    if not need.wanted:
        if abs(need.cents) <= need.tolerance:
            return now.says("leave", f"It is {_off(need)}, within {need.tolerance:g} cents: leave it.")
        if abs(need.cents + need.carried) <= need.tolerance:
            why = "and its neighbours' bores will carry it along"
            return now.says("leave", f"It is {_off(need)}, {why}: leave it.")
        why = (
            f"It is {_off(need)}, and bound to tongue {need.bound_to + 1}: what moves the one moves the other nearly "
            "as far, so bores hardly bring both nearer their notes. Leave them, or give one of them another note."
        )
        return now.says("stop", why)
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    best = best_bore(model, state, number, need)
    if best is not None:
        return _bore_advice(now, state, best, need)
    if abs(need.cents) <= need.tolerance:
        return now.says("leave", f"It is {_off(need)}, and no bore would make that surer: leave it.")
    way = "raise" if need.way > 0 else "lower"
    why = f"It is {_off(need)}, and nothing that the shop's limits allow would safely {way} it now"
    return now.says("stop", f"{why}. See to its neighbours first, tap again, or take another note.")


def _otherwise(instrument: Instrument, state: Drum, need: Need, targets_hz: Sequence[float]) -> Advice | None:
    """A step that is no bore, for a tongue that no bore can safely help; None if none does either."""
    other = other_step(instrument, state, need)
    return None if other is None else _other_advice(_now(need, targets_hz), other, need)


def _other_advice(now: _Now, other: OtherStep, need: Need) -> Advice:
    action: Action = "weight"
    what = "a weight under its tip"
    if isinstance(other.change, Trimmed):
        action, what = "trim", "trimming its tip"
    elif isinstance(other.change, Lengthened):
        action, what = "lengthen slots", "sawing its slots further"
    along = _along([float(by) for by in other.moved], now.tongue)
    return replace(
        now.says(action, f"It is {_off(need)}, and no bore would help it safely: {what} does{along}."),
        change=other.change,
        expected_cents=other.effect,
        spread_cents=other.spread,
        overshoot_chance=other.over,
        others=tuple((n, float(by)) for n, by in enumerate(other.moved) if n != now.tongue),
    )


@dataclass(frozen=True, kw_only=True)
class _Now:
    """Where a tongue stands: the part of every advice that is the same."""

    tongue: int
    now_hz: float
    now_cents: float
    plus_minus_cents: float

    def says(self, action: Action, why: str) -> Advice:
        return Advice(
            tongue=self.tongue,
            action=action,
            now_hz=self.now_hz,
            now_cents=self.now_cents,
            plus_minus_cents=self.plus_minus_cents,
            why=why,
        )


def _now(need: Need, targets_hz: Sequence[float]) -> _Now:
    return _Now(
        tongue=need.number,
        now_hz=targets_hz[need.number] * 2.0 ** (need.cents / 1200.0),
        now_cents=need.cents,
        plus_minus_cents=need.plus_minus,
    )


def _off(need: Need) -> str:
    return f"{abs(need.cents):.0f} cents {'flat' if need.cents < 0 else 'sharp'} (±{need.plus_minus:.0f})"


def _bore_advice(now: _Now, state: Drum, best: Trial, need: Need) -> Advice:
    assert best.solved is not None
    spot = best.spot
    from_root, from_edge = layout(state).place_mm(state.tongues[now.tongue], spot.x_mm, spot.y_mm)
    moved = [float(by) for by in best.moved]
    return replace(
        now.says("bore", _why(best, need, moved, now.tongue)),
        change=Bored(tongue=now.tongue, bore=spot.bore(best.depth_mm)),
        from_root_mm=from_root,
        from_edge_mm=from_edge,
        expected_cents=best.effect,
        spread_cents=best.spread,
        overshoot_chance=best.over,
        left_under_mm=state.top.thickness_mm - best.depth_mm,
        clarity=read_notes(state, best.solved.modes())[now.tongue].clarity,
        others=tuple((other, by) for other, by in enumerate(moved) if other != now.tongue),
    )


def _why(best: Trial, need: Need, moved: Sequence[float], number: int) -> str:
    left = need.cents + best.effect
    words = f"It is {_off(need)}. This bore is expected to leave it {abs(left):.0f} cents "
    words += "flat" if left < 0 else "sharp"
    if abs(best.effect) < 0.8 * abs(need.wanted):
        words += ", short of its note on purpose: what it really does is learnt before the next"
    elif abs(left) > need.tolerance:
        words += ", where its neighbours will carry it along"
    return words + _along(moved, number) + "."


def _along(moved: Sequence[float], number: int) -> str:
    """How far the other tongues move along with a step, in words."""
    told = [
        f"tongue {other + 1} moves {by:+.0f}"
        for other, by in enumerate(moved)
        if other != number and abs(by) >= 1.0
    ]
    return "; " + ", ".join(told) if told else ""


def next_step(instrument: Instrument, state: Drum, belief: Belief, targets_hz: Sequence[float]) -> Advice:
    """What to do next to the drum: to the tongue that is furthest off and can still be helped.

    See `order.py` for how that is chosen. What is no bore comes only when no tongue can be helped by one. When none
    can be helped at all, the answer is "stop" for the one furthest off, or "leave" when all are in their bands.
    Only tongues that have been tapped are looked at; one at least must have been.
    """
    assert any(belief.heard), "a drum nobody has tapped yet"
    needs = _needs(instrument, state, belief)
    said = []
    steps = np.array([need.wanted for need in needs])
    turns = by_turn(steps, belief.cents, belief.far, state.tuning.tolerance_cents)
    for number in turns:
        advice = _advise(instrument, state, needs[number], targets_hz)
        if advice.action not in ("leave", "stop"):
            return _with_taps(state, belief, advice)
        said.append(advice)
    left = [n for n in needs if not n.wanted and belief.heard[n.number] and abs(n.cents) > n.tolerance]
    left.sort(key=lambda need: -abs(need.cents))
    said += [_advise(instrument, state, need, targets_hz) for need in left]
    for advice in said:
        other = None
        if advice.action == "stop" and needs[advice.tongue].wanted:
            other = _otherwise(instrument, state, needs[advice.tongue], targets_hz)
        if other is not None:
            return _with_taps(state, belief, _with_offer(instrument, state, belief, other))
    if not said:
        furthest = max(
            (need for need in needs if belief.heard[need.number]), key=lambda need: abs(need.cents)
        )
        why = f"It is {_off(furthest)}, and no tongue is further off: leave them."
        said = [_now(furthest, targets_hz).says("leave", why)]
    last = next((advice for advice in said if advice.action == "stop"), said[0])
    return replace(_with_offer(instrument, state, belief, last), tap_too=_doubtful(state, belief))


def _doubtful(state: Drum, belief: Belief) -> tuple[int, ...]:
    """The tongues that are thought to be in tune and may well not be, as a tap more would tell."""
    tolerance = state.tuning.tolerance_cents
    inside = np.array(belief.heard) & ~np.array(belief.hops) & (abs(belief.cents) <= tolerance)
    outside = ndtr((abs(belief.cents) - tolerance) / belief.plus_minus)
    doubtful = inside & (outside > DOUBT) & (belief.plus_minus > TAPPED_ENOUGH_CENTS)
    return tuple(int(number) for number in np.flatnonzero(doubtful))
