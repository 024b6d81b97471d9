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

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import layout
from kerftone.modal.notes import read_notes
from kerftone.tune.belief import Belief
from kerftone.tune.history import Trimmed
from kerftone.tune.instrument import Instrument
from kerftone.tune.order import by_turn, own_steps, pull
from kerftone.tune.otherwise import OtherStep, other_step
from kerftone.tune.trial import Need, Trial, best_bore

Action = Literal["bore", "trim", "weight", "leave", "stop"]

NEAR_SIDE_CENTS = 1.0
"""Tongues are aimed at this much short of their notes: a little short can be mended, past cannot."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The next step for one tongue. Lengths, cents and Hz as in the module; None where the step has no such thing.

    by: how many mm to trim, or how many grams to fix under the tip. expected_cents ± spread_cents: what the step does
    to this tongue. others: how far other tongues move along.
    """

    tongue: int
    action: Action
    now_hz: float
    now_cents: float
    plus_minus_cents: float
    why: str
    bore: Bore | None = None
    by: float | None = None
    from_root_mm: float | None = None
    from_edge_mm: float | None = None
    expected_cents: float | None = None
    spread_cents: float | None = None
    overshoot_chance: float | None = None
    left_under_mm: float | None = None
    clarity: float | None = None
    others: tuple[tuple[int, float], ...] = ()


def advise(
    instrument: Instrument, state: Drum, belief: Belief, number: int, targets_hz: Sequence[float]
) -> Advice:
    """What to do next to this tongue. `state`: the drum as it is cut now."""
    return _advise(instrument, state, _needs(instrument, state, belief)[number], targets_hz)


def _needs(instrument: Instrument, state: Drum, belief: Belief) -> list[Need]:
    """What each tongue has to be moved by bores of its own, its neighbours being seen to as well."""
    tapped = np.array(belief.heard)
    pulls = pull(instrument.assembly(state, bottom_on=state.bottom is not None))
    steps = own_steps(
        np.where(tapped, belief.cents + NEAR_SIDE_CENTS * belief.far, 0.0),
        np.where(tapped, belief.plus_minus, 0.0),
        state.tuning.tolerance_cents,
        pulls,
        fixed=tuple(np.flatnonzero(~tapped)),
    )
    return [
        Need(
            number=number,
            wanted=float(step),
            all_cents=belief.cents,
            all_plus_minus=belief.plus_minus,
            tolerance=state.tuning.tolerance_cents,
            action=float(belief.action[number]),
            action_plus_minus=float(belief.action_plus_minus[number]),
            pulls=pulls[:, number],
            far=belief.far,
        )
        for number, step in enumerate(steps)
    ]


def _advise(instrument: Instrument, state: Drum, need: Need, targets_hz: Sequence[float]) -> Advice:
    number = need.number
    now = _now(need, targets_hz)
    if not need.wanted:
        near = abs(need.cents) <= need.tolerance
        why = f"within {need.tolerance:g} cents" if near else "and its neighbours' bores will carry it along"
        return now.says("leave", f"It is {_off(need)}, {why}: leave it.")
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    best = best_bore(model, state, number, need)
    if best is not None:
        return _bore_advice(now, state, best, need)
    if abs(need.cents) <= need.tolerance:
        return now.says("leave", f"It is {_off(need)}, and no bore would make that surer: leave it.")
    other = other_step(model, state, need)
    if other is not None:
        return _other_advice(now, other, need)
    way = "raise" if need.way > 0 else "lower"
    why = f"It is {_off(need)}, and nothing that the shop's limits allow would safely {way} it now"
    return now.says("stop", f"{why}: see to its neighbours first, tap again, or take another note.")


def _other_advice(now: _Now, other: OtherStep, need: Need) -> Advice:
    trim = isinstance(other.change, Trimmed)
    what = "trimming its tip" if trim else "a weight under its tip"
    return replace(
        now.says(
            "trim" if trim else "weight",
            f"It is {_off(need)}, and no bore would help it safely: {what} does.",
        ),
        by=other.by,
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
    spot, tongue = best.spot, state.tongues[now.tongue]
    assert tongue.side is not None and tongue.row is not None and best.solved is not None
    lines = layout(state)
    front, _ = lines.edges_mm(tongue.row)
    moved = [float(by) for by in best.moved]
    return replace(
        now.says("bore", _why(best, need, moved, now.tongue)),
        bore=spot.bore(best.depth_mm),
        from_root_mm=abs(spot.x_mm - lines.root_mm(tongue.side)),
        from_edge_mm=spot.y_mm - front,
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
    along = [(other, by) for other, by in enumerate(moved) if other != number and abs(by) >= 1.0]
    if along:
        words += "; " + ", ".join(f"tongue {other + 1} moves {by:+.0f}" for other, by in along)
    return words + "."


def next_step(instrument: Instrument, state: Drum, belief: Belief, targets_hz: Sequence[float]) -> Advice:
    """What to do next to the drum: to the tongue that is furthest off and can still be helped.

    See `order.py` for how that is chosen. When no tongue can be helped, the answer is
    "stop" for the one furthest off, or "leave" when all are in their bands. Only tongues that have been tapped are
    looked at; one at least must have been.
    """
    assert any(belief.heard), "a drum nobody has tapped yet"
    needs = _needs(instrument, state, belief)
    said = []
    steps = np.array([need.wanted for need in needs])
    turns = by_turn(steps, belief.cents, belief.far, state.tuning.tolerance_cents)
    for number in turns:
        advice = _advise(instrument, state, needs[number], targets_hz)
        if advice.action not in ("leave", "stop"):
            return advice
        said.append(advice)
    if not said:
        furthest = max(
            (need for need in needs if belief.heard[need.number]), key=lambda need: abs(need.cents)
        )
        why = f"It is {_off(furthest)}, and no tongue is further off: leave them."
        said = [_now(furthest, targets_hz).says("leave", why)]
    return next((advice for advice in said if advice.action == "stop"), said[0])
