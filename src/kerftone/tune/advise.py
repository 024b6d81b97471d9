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
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from scipy.stats import norm

from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import layout
from kerftone.modal.frame import Assembly
from kerftone.modal.notes import read_notes
from kerftone.modal.result import Array, Modes
from kerftone.pitch import cents
from kerftone.tune.belief import Belief
from kerftone.tune.bores import Spot, grid_map, spots
from kerftone.tune.history import Bored, after
from kerftone.tune.instrument import Instrument
from kerftone.tune.order import by_turn, own_steps, pull

Action = Literal["bore", "lengthen slots", "trim", "weight", "leave", "stop"]

OVERSHOOT = 0.01
"""The largest chance of passing the tolerance on the far side that one step may take. A drum needs a dozen steps,
so a twentieth a step would spoil one drum in two."""
RESOLVED = 5
"""How many places are solved again with the bore in the solid, each once or twice."""
APART_MM = 10.0
ASIDE_CENTS, DEEP_CENTS, VOLUME_CENTS, CLARITY_CENTS = 0.5, 1.0, 0.15, 30.0
"""What counts against a bore, in cents of remaining error: off the centre line; as deep as it may be; a cubic
centimetre of wood; all of the clarity. Our own judgement; small, so that it only decides between like bores."""
CARRIED_SHARE = 0.15
"""How far a neighbour may be carried otherwise than modelled, as a share."""
NEAR_SIDE_CENTS = 1.0
"""Tongues are aimed at this much short of their notes: a little short can be mended, past cannot."""
LEAST_SHARE = 0.2
"""A step that does less than this share of what is wanted, for want of safety, waits for the other tongues."""
WORTH_CENTS = 0.5
"""A step that does less than this is not worth a hole."""


@dataclass(frozen=True, kw_only=True)
class Advice:
    """The next step for one tongue. Lengths, cents and Hz as in the module; None where the step has no such thing.

    expected_cents ± spread_cents: what the step does to this tongue. others: how far other tongues move along.
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


@dataclass(frozen=True, kw_only=True)
class _Need:
    """What a step must do to a tongue that is `cents` ± `plus_minus` off: move it by `wanted` cents, no further.

    `all_cents`, `all_plus_minus`: the same of every tongue, and `pulls` how far each moves when this one is moved by
    a cent: a step carries others along.
    """

    number: int
    wanted: float
    tolerance: float
    action: float
    action_plus_minus: float
    all_cents: Array
    all_plus_minus: Array
    pulls: Array
    far: Array

    @property
    def cents(self) -> float:
        return float(self.all_cents[self.number])

    @property
    def plus_minus(self) -> float:
        return float(self.all_plus_minus[self.number])

    @property
    def way(self) -> float:
        """+1 to raise, -1 to lower."""
        return 1.0 if self.wanted > 0.0 else -1.0

    def after(self, effect: Array, spread: Array) -> tuple[Array, Array, Array]:
        """What is left of the wanted step, how unsure that is, and the chance of passing the band's far side."""
        unsure = np.hypot(self.plus_minus, spread)
        far = self.far[self.number]
        over = (
            norm.sf(self.tolerance, far * (self.cents + effect), unsure) if self.way == far else 0.0 * effect
        )
        return self.wanted - effect, unsure, np.asarray(over)

    def carried_over(self, moved: Array) -> float:
        """The largest chance that another tongue is carried past the far side of its band by moving so far."""
        unsure = np.hypot(self.all_plus_minus, CARRIED_SHARE * moved)
        after_it = norm.sf(self.tolerance, self.far * (self.all_cents + moved), unsure)
        before = norm.sf(self.tolerance, self.far * self.all_cents, self.all_plus_minus)
        more = np.maximum(after_it - before, 0.0)
        more[self.number] = 0.0
        return float(more.max())


@dataclass(frozen=True, kw_only=True)
class _Trial:
    """A spot with the ratio of solved to first-order effect there, and the best depth for it."""

    spot: Spot
    ratio: float
    depth_mm: float
    effect: float
    spread: float
    over: float
    cost: float
    carried: float = 0.0
    solved: Assembly | None = field(default=None, repr=False)
    moved: Array = field(default_factory=lambda: np.zeros(0), repr=False)


def in_band(cents_off: float, plus_minus: float, tolerance: float) -> float:
    """The chance that a tongue is within its tolerance."""
    return float(norm.cdf(tolerance, cents_off, plus_minus) - norm.cdf(-tolerance, cents_off, plus_minus))


def advise(
    instrument: Instrument, state: Drum, belief: Belief, number: int, targets_hz: Sequence[float]
) -> Advice:
    """What to do next to this tongue. `state`: the drum as it is cut now."""
    return _advise(instrument, state, _needs(instrument, state, belief)[number], targets_hz)


def _needs(instrument: Instrument, state: Drum, belief: Belief) -> list[_Need]:
    """What each tongue has to be moved by bores of its own, its neighbours being seen to as well."""
    tapped = np.array(belief.heard)
    pulls = pull(instrument.assembly(state, bottom_on=state.bottom is not None), state)
    steps = own_steps(
        np.where(tapped, belief.cents + NEAR_SIDE_CENTS * belief.far, 0.0),
        np.where(tapped, belief.plus_minus, 0.0),
        state.tuning.tolerance_cents,
        pulls,
        fixed=tuple(np.flatnonzero(~tapped)),
    )
    return [
        _Need(
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


def _advise(instrument: Instrument, state: Drum, need: _Need, targets_hz: Sequence[float]) -> Advice:
    number = need.number
    now = _now(need, targets_hz)
    if not need.wanted:
        near = abs(need.cents) <= need.tolerance
        why = f"within {need.tolerance:g} cents" if near else "and its neighbours' bores will carry it along"
        return now.says("leave", f"It is {_off(need)}, {why}: leave it.")
    model = instrument.assembly(state, bottom_on=state.bottom is not None)
    best = _best_bore(model, state, number, need)
    if best is not None:
        return _bore_advice(now, state, best, need)
    if abs(need.cents) <= need.tolerance:
        return now.says("leave", f"It is {_off(need)}, and no bore would make that surer: leave it.")
    way = "raise" if need.way > 0 else "lower"
    return now.says(
        "stop", f"It is {_off(need)}, and no bore that the shop's limits allow would safely {way} it."
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


def _now(need: _Need, targets_hz: Sequence[float]) -> _Now:
    return _Now(
        tongue=need.number,
        now_hz=targets_hz[need.number] * 2.0 ** (need.cents / 1200.0),
        now_cents=need.cents,
        plus_minus_cents=need.plus_minus,
    )


def _off(need: _Need) -> str:
    return f"{abs(need.cents):.0f} cents {'flat' if need.cents < 0 else 'sharp'} (±{need.plus_minus:.0f})"


def _best_bore(model: Assembly, state: Drum, number: int, need: _Need) -> _Trial | None:
    """The bore that leaves the least to do, solved with its wood taken away; None if none helps safely."""
    note = read_notes(state, model.modes())[number]
    found = [
        trial
        for spot in spots(state, number, grid_map(state, number, model.bore_map(number, note.mode)))
        if spot.per_mm * need.way > 0.0
        and (trial := _deepened(spot, state, need, ratio=1.0, moved=need.pulls)) is not None
    ]
    solved: list[_Trial] = []
    for trial in _spread_out(sorted(found, key=lambda one: one.cost), RESOLVED):
        if solved:  # what the others were out by is the best guess for this one
            trial = _deepened(trial.spot, state, need, ratio=solved[-1].ratio, moved=need.pulls) or trial
        first = _solved(model, state, number, trial)
        again = _deepened(trial.spot, state, need, ratio=first.ratio, moved=first.moved)
        if again is None:
            continue
        if again.depth_mm != trial.depth_mm:
            first = _solved(model, state, number, again)
            again = _at(trial.spot, state, need, first.ratio, again.depth_mm)
        lost = max(0.0, note.clarity - read_notes(state, _modes(first))[number].clarity)
        cost = again.cost + CLARITY_CENTS * lost
        carried = need.carried_over(first.moved)
        solved.append(replace(again, solved=first.solved, moved=first.moved, cost=cost, carried=carried))
    safe = [
        trial
        for trial in solved
        if trial.over <= OVERSHOOT and trial.carried <= OVERSHOOT and abs(trial.effect) >= WORTH_CENTS
    ]
    best = min(safe, key=lambda one: one.cost, default=None)
    nothing_done = _mean_size(np.array([need.wanted]), np.array([need.plus_minus]))[0]
    if best is None or best.cost > nothing_done or abs(best.effect) < LEAST_SHARE * abs(need.wanted):
        return None
    return best


def _modes(trial: _Trial) -> Modes:
    assert trial.solved is not None
    return trial.solved.modes()


def _depths(spot: Spot, state: Drum) -> Array:
    """The depths a bore here may have, in the shop's steps."""
    step = state.shop.depth_step_mm
    first = math.floor(spot.now_mm / step + 1e-9) + 1
    last = math.floor(spot.deepest_mm / step + 1e-9)
    return step * np.arange(first, last + 1)


def _deepened(spot: Spot, state: Drum, need: _Need, *, ratio: float, moved: Array) -> _Trial | None:
    """The best safe depth for this spot; None if there is none.

    `moved`: how far each tongue moves in a trial; the others move in proportion to this one.
    """
    depths = _depths(spot, state)
    if not len(depths):
        return None
    effect, _, over, cost = _weighed(spot, state, need, ratio, depths)
    carried = np.array([need.carried_over(moved * by / moved[need.number]) for by in effect])
    cost = np.where((over <= OVERSHOOT) & (carried <= OVERSHOOT), cost, np.inf)
    best = int(np.argmin(cost))
    if not np.isfinite(cost[best]):
        return None
    return _at(spot, state, need, ratio, float(depths[best]))


def _at(spot: Spot, state: Drum, need: _Need, ratio: float, depth_mm: float) -> _Trial:
    numbers = _weighed(spot, state, need, ratio, np.array([depth_mm]))
    effect, spread, over, cost = (float(number[0]) for number in numbers)
    return _Trial(
        spot=spot, ratio=ratio, depth_mm=depth_mm, effect=effect, spread=spread, over=over, cost=cost
    )


def _weighed(
    spot: Spot, state: Drum, need: _Need, ratio: float, depths: Array
) -> tuple[Array, Array, Array, Array]:
    """Effect, spread, chance of overshoot and cost in cents of bores of these depths."""
    shop, deeper = state.shop, depths - spot.now_mm
    effect = need.action * ratio * spot.per_mm * deeper
    errors = np.sqrt(
        (need.action_plus_minus / need.action) ** 2
        + (shop.depth_error_mm / deeper) ** 2
        + (spot.slope * shop.place_error_mm) ** 2
    )
    spread = abs(effect) * errors
    left, unsure, over = need.after(effect, spread)
    volume_cm3 = math.pi * (0.05 * spot.bit_mm) ** 2 * 0.1 * deeper
    cost = (
        _mean_size(left, unsure)
        + ASIDE_CENTS * spot.aside
        + DEEP_CENTS * (depths / spot.deepest_mm) ** 2
        + VOLUME_CENTS * volume_cm3
    )
    return effect, spread, over, cost


def _mean_size(mean: Array, spread: Array) -> Array:
    """The expected size of a normal variable."""
    z = mean / spread
    return np.asarray(spread * (2.0 * norm.pdf(z) + z * (2.0 * norm.cdf(z) - 1.0)))


def _spread_out(trials: Sequence[_Trial], count: int) -> list[_Trial]:
    """The best of them that are not nearly the same place with the same bit."""
    kept: list[_Trial] = []
    for trial in trials:
        if len(kept) == count:
            break
        near = (
            one.spot.bit_mm == trial.spot.bit_mm
            and math.hypot(one.spot.x_mm - trial.spot.x_mm, one.spot.y_mm - trial.spot.y_mm) < APART_MM
            for one in kept
        )
        if not any(near):
            kept.append(trial)
    return kept


def _solved(model: Assembly, state: Drum, number: int, trial: _Trial) -> _Trial:
    """The same with the bore in the solid: how much more it does than the first-order map says."""
    spot = trial.spot
    drum = after(state, [Bored(tongue=number, bore=spot.bore(trial.depth_mm))])
    bored = model.with_drum(drum)
    before = [note.hz for note in read_notes(state, model.modes())]
    heard = [note.hz for note in read_notes(drum, bored.modes())]
    moved = np.array([cents(one, other) for one, other in zip(heard, before, strict=True)])
    ratio = float(moved[number]) / (spot.per_mm * (trial.depth_mm - spot.now_mm))
    return replace(trial, ratio=ratio, solved=bored, moved=moved)


def _bore_advice(now: _Now, state: Drum, best: _Trial, need: _Need) -> Advice:
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


def _why(best: _Trial, need: _Need, moved: Sequence[float], number: int) -> str:
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
