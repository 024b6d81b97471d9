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
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from kerftone.drum.design import Drum
from kerftone.drum.plan_lines import layout
from kerftone.drum.tongue_named import on_paper
from kerftone.modal.crew import on_one_thread
from kerftone.modal.detuned import detuned
from kerftone.modal.frame import Assembly
from kerftone.modal.notes import read_notes
from kerftone.tune.advice import (
    Action,
    Advice,
    Now,
    along,
    now_of,
    off_words,
    offered,
    unknown_pull,
    warned,
    why_barred,
    why_bored,
)
from kerftone.tune.belief import Belief
from kerftone.tune.history import Bored, Lengthened, Trimmed
from kerftone.tune.instrument import Instrument
from kerftone.tune.odd_steps import STRAY_CARRIED_SHARE, Jumps
from kerftone.tune.offer import offer, reach
from kerftone.tune.otherwise import OtherStep, other_step
from kerftone.tune.own_steps import Bands, by_turn, own_steps, pull
from kerftone.tune.tones import Tone, near_tones
from kerftone.tune.trial import Need, Trial, best_bore

LEAST_OFFER_CENTS = 1.0
"""All notes moved by less than this is no offer: nobody hears it. Own judgement."""
NEAR_SIDE = 0.2
"""Tongues are aimed this share of the tolerance short of their notes: past them nothing can be mended."""
TAPPED, TAP_TOO = 0.3, 0.4
"""How unsure a tongue need be at most, as a share of the tolerance: it can be tapped again, so no wood is taken for
want of a tap. And how unsure a step may leave a neighbour that is not tapped after it."""
DOUBT, TAPPED_ENOUGH_CENTS = 0.02, 0.75
"""A tongue is called done when the chance that it is outside is under the first, or it is as sure as the second: by
some four taps."""
EDGE, GAIN = 0.1, 3.0
"""A tongue in its band by many taps is bored only if the chance that it is outside is over the first all the same,
and the bore makes that so many times smaller."""
BY_THE_BOTTOM = 0.5
"""Where the bottom is not as in the finished drum, and more than this share of the variance of where a tongue will
lie is its pull's, a tap as it is tells little: one with the bottom clamped on tells more. Own judgement."""
MOST_WAY, SURE_WAY = 0.5, 2.0
"""A tongue of which mostly the bottom's pull is not known is bored only as far as is safe without knowing it, and
only if that is the first share of its way or more, and it is off by the second many times its ± or more: bores heard
with the bottom as it is do not make the pull surer, and one would follow another, up and down. Own judgement."""
BARRED = 0.25
"""The chance that a tone of the box keeps a tongue from its note at which no bore is advised, unless it is asked for
by its number. Where the box's tone lies is known to a semitone or so, so a sure no is rare."""


@on_one_thread
def advise(
    instrument: Instrument, state: Drum, belief: Belief, number: int, targets_hz: Sequence[float]
) -> Advice:
    """What to do next to this tongue, also to one that jumps or that a tone of the box may keep from its note.

    `state`: the drum as it is cut now.

    Parameters
    ----------
    instrument : Instrument
        The model of this drum.
    state : Drum
        The drum as it stands now.
    belief : Belief
        What is believed of its pitches.
    number : int
        Which tongue, counted from 0.
    targets_hz : Sequence[float]
        The pitch each tongue is to have, in Hz.
    """
    others = tuple(Jumps.NO if n == number else jumps for n, jumps in enumerate(belief.jumps))
    belief = replace(belief, jumps=others)
    need = _needs(instrument, state, belief, asked_for=number)[number]
    said = _advise(instrument, state, need, targets_hz)
    if said.action == "stop" and need.wanted:
        said = _otherwise(instrument, state, need, targets_hz) or said
    return _with_taps(state, belief, _with_offer(instrument, state, belief, said))


def _with_taps(state: Drum, belief: Belief, said: Advice) -> Advice:
    """The same with the other tongues of which it is not sure, after the step, where they stand."""
    most = TAP_TOO * state.tuning.tolerance_cents
    pulled = _unsure_by_the_bottom(belief)
    unsure = [
        number
        for number, by in said.others
        if belief.heard[number]
        and not pulled[number]
        and math.hypot(belief.plus_minus[number], STRAY_CARRIED_SHARE * by) > most
    ]
    return replace(said, tap_too=tuple(unsure))


def _with_offer(instrument: Instrument, state: Drum, belief: Belief, said: Advice) -> Advice:
    """The same with what else the drum could be tuned to, where the note wanted is out of reach of bores."""
    left = abs(said.now_cents + (said.expected_cents or 0.0))
    short = said.by is not None and left > state.tuning.tolerance_cents
    if belief.jumps[said.tongue] or (said.action != "stop" and not short):
        return said
    found = offer(said.tongue, belief, reach(instrument, state, belief))
    if found.together is not None and abs(found.together) < LEAST_OFFER_CENTS:
        return said  # bores can do it yet, once its neighbours have been seen to
    return replace(said, offer=found, why=f"{said.why} {offered(found, said.tongue, state)}")


def _needs(
    instrument: Instrument, state: Drum, belief: Belief, *, asked_for: int | None = None
) -> list[Need]:
    """What each tongue has to be moved by bores of its own, its neighbours being seen to as well."""
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    pulls, tolerance = pull(model), state.tuning.tolerance_cents
    tones = _tones(model, belief, tolerance)
    least = [Jumps.PERHAPS if n in tones else Jumps.SURELY for n in range(len(belief.jumps))]
    jumps = np.array(belief.jumps) >= np.array(least)
    barred = np.array(
        [n != asked_for and _is_barred(tones.get(n), c, tolerance) for n, c in enumerate(belief.cents)]
    )
    helped = np.array(belief.heard) & ~jumps & ~barred
    steps = own_steps(
        np.where(helped, belief.cents, 0.0),
        np.where(helped, np.minimum(belief.plus_minus, TAPPED * tolerance), 0.0),
        Bands(
            tolerance=tolerance,
            aim=np.where(helped, -NEAR_SIDE * tolerance * belief.far, 0.0),
            far=np.where(helped, belief.far, 0.0),
        ),
        pulls,
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
            jumps=bool(jumps[number]),
            tone=tones.get(number),
            barred=bool(barred[number]),
        )
        for number, step in enumerate(steps)
    ]


def _tones(model: Assembly, belief: Belief, tolerance: float) -> dict[int, Tone]:
    """The tone of the box near each tongue that is out of its band or jumps, where there is one."""
    asked = [
        number
        for number, cents in enumerate(belief.cents)
        if belief.heard[number] and (belief.jumps[number] or abs(cents) > tolerance)
    ]
    wanted = np.where(belief.heard, -belief.cents, 0.0)
    found = near_tones(detuned(model), asked, wanted, tolerance) if asked else {}
    breathing = {n: tone for n, tone in enumerate(belief.breathing) if tone is not None and n in asked}
    return breathing | {n: tone for n, tone in found.items() if tone.chance >= BARRED or n not in breathing}


def _is_barred(tone: Tone | None, cents: float, tolerance: float) -> bool:
    """Whether a tone of the box most likely keeps a tongue from its note that is so far off now."""
    return tone is not None and tone.chance >= BARRED and abs(cents) > tolerance


def _barred(need: Need, targets_hz: Sequence[float]) -> Advice | None:
    """That this tongue cannot be brought to its note, and why; None where it most likely can."""
    if not need.barred:
        return None
    return now_of(need, targets_hz).says("stop", f"It is {off_words(need)}, and {why_barred(need)}")


def _advise(instrument: Instrument, state: Drum, need: Need, targets_hz: Sequence[float]) -> Advice:
    number = need.number
    now = now_of(need, targets_hz)
    if need.jumps and abs(need.cents) > need.tolerance:
        why = (
            f"It is {off_words(need)}, and its bores have made it jump up and down by far more than they should. "
            "Two tones share this tongue and change places as the louder: something else in the drum sounds near "
            "its note. More bores would only take wood. Leave it, or give it another note and ask for this tongue "
            "by its number."
        )
        return now.says("stop", why)
    if not need.wanted:
        if abs(need.cents) <= need.tolerance:
            return now.says("leave", f"It is {off_words(need)}, within {need.tolerance:g} cents: leave it.")
        if abs(need.cents + need.carried) <= need.tolerance:
            why = "and its neighbours' bores will carry it along"
            return now.says("leave", f"It is {off_words(need)}, {why}: leave it.")
        why = (
            f"It is {off_words(need)}, and bound to {on_paper(state, need.bound_to + 1)}: what moves the one moves "
            "the other nearly as far, so bores hardly bring both nearer their notes. Leave them, or give one of them "
            "another note."
        )
        return now.says("stop", why)
    reason = _inside_reason(need) if abs(need.cents) <= need.tolerance else ""
    if reason is None:
        return now.says("leave", f"It is {off_words(need)}, within {need.tolerance:g} cents: leave it.")
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    best = best_bore(model, state, number, need)
    if best is not None and (not reason or _is_gain(need, best)):
        return _bore_advice(now, state, best, need, reason)
    if abs(need.cents) <= need.tolerance:
        return now.says("leave", f"It is {off_words(need)}, and no bore would make that surer: leave it.")
    way = "raise" if need.way > 0 else "lower"
    why = f"It is {off_words(need)}, and nothing that the shop's limits allow would safely {way} it now"
    return now.says("stop", f"{why}. See to its neighbours first, tap again, or take another note.")


def _inside_reason(need: Need) -> str | None:
    """Why a tongue that is in its band should be bored all the same; None if nothing says so."""
    if abs(need.cents + need.carried) > need.tolerance:
        return f" It is in its band, but what its neighbours need will carry it {need.carried:+.0f} cents."
    outside = _outside(need.cents, need.plus_minus, need.tolerance)
    if need.plus_minus <= TAPPED_ENOUGH_CENTS and outside > EDGE:
        return f" It is at the edge of its band: with {outside:.0%} of the chances it is outside."
    return None


def _is_gain(need: Need, best: Trial) -> bool:
    """Whether this bore makes it much less likely that a tongue in its band ends outside."""
    before = _outside(need.cents + need.carried, need.plus_minus, need.tolerance)
    unsure = math.hypot(need.plus_minus, best.spread)
    return GAIN * _outside(need.cents + need.carried + best.effect, unsure, need.tolerance) <= before


def _outside(cents: float, plus_minus: float, tolerance: float) -> float:
    """The chance that a tongue lies outside its band."""
    return float(ndtr((cents - tolerance) / plus_minus) + ndtr((-cents - tolerance) / plus_minus))


def _otherwise(instrument: Instrument, state: Drum, need: Need, targets_hz: Sequence[float]) -> Advice | None:
    """A step that is no bore, for a tongue that no bore can safely help; None if none does either."""
    other = other_step(instrument, state, need)
    return None if other is None else _other_advice(now_of(need, targets_hz), other, need, state)


def _other_advice(now: Now, other: OtherStep, need: Need, state: Drum) -> Advice:
    action: Action = "weight"
    what = "a weight under its tip"
    if isinstance(other.change, Trimmed):
        action, what = "trim", "trimming its tip"
    elif isinstance(other.change, Lengthened):
        action, what = "lengthen slots", "sawing its slots further"
    carried = along([float(by) for by in other.moved], now.tongue, state)
    return replace(
        now.says(action, f"It is {off_words(need)}, and no bore would help it safely: {what} does{carried}."),
        change=other.change,
        expected_cents=other.effect,
        spread_cents=other.spread,
        overshoot_chance=other.over,
        others=tuple((n, float(by)) for n, by in enumerate(other.moved) if n != now.tongue),
    )


def _bore_advice(now: Now, state: Drum, best: Trial, need: Need, reason: str) -> Advice:
    assert best.solved is not None
    spot = best.spot
    from_root, from_edge = layout(state).place_mm(state.tongues[now.tongue], spot.x_mm, spot.y_mm)
    moved = [float(by) for by in best.moved]
    return replace(
        now.says("bore", why_bored(best, need, moved, now.tongue, state) + reason + warned(need)),
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


@on_one_thread
def next_step(instrument: Instrument, state: Drum, belief: Belief, targets_hz: Sequence[float]) -> Advice:
    """What to do next to the drum: to the tongue that is furthest off and can still be helped.

    See `own_steps.py` for how. What is no bore comes only when neither a bore nor a tap with the bottom clamped on
    helps. When nothing does, it is "stop" for the one furthest off, or "leave" when all are in their bands. Only
    tongues that have been tapped are looked at; one at least must have been.

    Parameters
    ----------
    instrument : Instrument
        The model of this drum.
    state : Drum
        The drum as it stands now.
    belief : Belief
        What is believed of its pitches.
    targets_hz : Sequence[float]
        The pitch each tongue is to have, in Hz.
    """
    assert any(belief.heard), "a drum nobody has tapped yet"
    needs = _needs(instrument, state, belief)
    cannot = tuple((need.number, why_barred(need)) for need in needs if need.barred)
    said: list[Advice] = []
    steps = np.array([need.wanted for need in needs])
    turns = by_turn(steps, belief.cents, belief.far, state.tuning.tolerance_cents)
    finished = to_tap_finished(state, belief)
    for number in turns:
        advice = _advise(instrument, state, needs[number], targets_hz)
        short = abs(advice.expected_cents or 0.0) < MOST_WAY * abs(steps[number])
        if number in finished and (short or abs(needs[number].cents) < SURE_WAY * needs[number].plus_minus):
            advice = now_of(needs[number], targets_hz).says("stop", unknown_pull(needs[number]))
        if advice.action not in ("leave", "stop"):
            return replace(_with_taps(state, belief, advice), cannot=cannot)
        said.append(advice)
    left = [n for n in needs if not n.wanted and belief.heard[n.number] and abs(n.cents) > n.tolerance]
    left.sort(key=lambda need: -abs(need.cents))
    said += [_barred(need, targets_hz) or _advise(instrument, state, need, targets_hz) for need in left]
    for advice in said:
        other = None
        if advice.action == "stop" and needs[advice.tongue].wanted and not finished:
            other = _otherwise(instrument, state, needs[advice.tongue], targets_hz)
        if other is not None:
            return replace(
                _with_taps(state, belief, _with_offer(instrument, state, belief, other)), cannot=cannot
            )
    if not said:
        furthest = max(
            (need for need in needs if belief.heard[need.number]), key=lambda need: abs(need.cents)
        )
        why = f"It is {off_words(furthest)}, and no tongue is further off: leave them."
        said = [now_of(furthest, targets_hz).says("leave", why)]
    last = next((advice for advice in said if advice.action == "stop"), said[0])
    if last.tongue not in finished:
        last = _with_offer(instrument, state, belief, last)
    elif last.action == "stop":
        last = replace(last, why=unknown_pull(needs[last.tongue]))
    return replace(last, tap_too=_doubtful(state, belief), tap_finished=finished, cannot=cannot)


def _doubtful(state: Drum, belief: Belief) -> tuple[int, ...]:
    """The tongues that are thought to be in tune and may well not be, as a tap more would tell."""
    tolerance = state.tuning.tolerance_cents
    inside = np.array(belief.heard) & (np.array(belief.jumps) == Jumps.NO) & (abs(belief.cents) <= tolerance)
    outside = ndtr((abs(belief.cents) - tolerance) / belief.plus_minus)
    doubtful = inside & (outside > DOUBT) & (belief.plus_minus > TAPPED_ENOUGH_CENTS)
    return tuple(int(number) for number in np.flatnonzero(doubtful & ~_unsure_by_the_bottom(belief)))


def _unsure_by_the_bottom(belief: Belief) -> NDArray[np.bool_]:
    """Of which tongues (t,) it is mostly the bottom's pull that is not known."""
    if belief.pulled is None:
        return np.zeros(len(belief.cents), dtype=bool)
    return np.asarray(belief.pulled.plus_minus**2 > BY_THE_BOTTOM * belief.plus_minus**2)


def to_tap_finished(state: Drum, belief: Belief) -> tuple[int, ...]:
    """The tongues to be tapped with the bottom clamped on: it is its pull that leaves open whether they are in tune.

    Out of its band no wood is taken, sawn or trimmed for want of a tap; in it none is called done that is less sure
    than one whose bottom is on.
    """
    tolerance = state.tuning.tolerance_cents
    enough = np.where(abs(belief.cents) <= tolerance, TAPPED_ENOUGH_CENTS, TAPPED * tolerance)
    inside = ndtr((tolerance - belief.cents) / belief.plus_minus) - ndtr(
        (-tolerance - belief.cents) / belief.plus_minus
    )
    open_yet = (
        np.array(belief.heard)
        & (np.array(belief.jumps) == Jumps.NO)
        & _unsure_by_the_bottom(belief)
        & (inside < 1.0 - DOUBT)
        & (belief.plus_minus > enough)
    )
    return tuple(int(number) for number in np.flatnonzero(open_yet))
