"""What one bore would do to a drum, and which of all that could be made is the best.

The first-order map gives every place, bit and depth a likely effect (`bores.py`); the most promising are solved again
with the bore in the solid, roughly, and the best of them as well as the model can. A bore counts by what it leaves to
be done, on average over what is not sure, and a little for its depth, its volume, its distance from the centre line
and lost clarity; one that might carry any tongue past the far side of its band does not count at all.

Cents are positive when sharp; lengths in mm. Held by tests/tune/test_advise.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.special import ndtr

from kerftone.drum.design import Drum
from kerftone.modal.frame import Assembly
from kerftone.modal.notes import notes_moved, overtone, read_notes
from kerftone.modal.result import Array, Modes
from kerftone.pitch import cents
from kerftone.tune.bores import Spot, depth_step_mm, grid_map, spots
from kerftone.tune.history import Bored, after
from kerftone.tune.near_root import root_factor
from kerftone.tune.odd_steps import stray_cents
from kerftone.tune.tones import Tone

OVERSHOOT = 0.004
"""The largest chance of passing the tolerance on the far side that one step may take. A drum needs a dozen steps,
so a twentieth a step would spoil one drum in two. Half of 0.0075 costs half a cent of a first bore of 25."""
RESOLVED = 7
"""How many places are solved again with the bore in the solid, and the best of them once more at its own depth."""
ROUGHLY_RAISED, ROUGHLY_LOWERED = 1.0, 1.1
"""How much more a bore does than it does to a tongue of order 2, on which places are tried."""
RAISING_RATIO, LOWERING_RATIO = 1.0, 1.6
"""What a bore does against the first-order map, before any is solved: towards the tip, and towards the root, where
wood is stiffness and what is left is bent the more."""
CONFIRMED = 3
"""How often the best is made shallower when solving it shows that it is not safe."""
APART_MM = 10.0
"""Two places nearer than this are one to try; own judgement."""
ASIDE_CENTS, DEEP_CENTS, VOLUME_CENTS, CLARITY_CENTS = 0.5, 1.0, 0.15, 30.0
"""What counts against a bore, in cents of remaining error: off the centre line; as deep as it may be; a cubic
centimetre of wood; all of the clarity. Our own judgement; small, so that it only decides between like bores."""
OVERTONE_LEFT, OVERTONE_WISH = 0.01, 0.05
"""What counts against a bore for each cent that it moves the first overtone against the note, and for each cent that
it moves it away from a wanted ratio (in favour of it when nearer)."""
CARRIED_SHARE = 0.25
"""How far a neighbour may be carried otherwise than modelled, as a share."""
LEAST_SHARE = 0.2
"""A step that does less than this share of what is wanted, for want of safety, waits for the other tongues."""
WORTH_CENTS = 0.5
"""A step that does less than this is not worth a hole."""


@dataclass(frozen=True, kw_only=True)
class Need:
    """What a step must do to a tongue that is `cents` ± `plus_minus` off: move it by `wanted` cents, no further.

    carried: how far its neighbours' steps will move it. `all_cents`, `all_plus_minus`: how far every tongue is off,
    and `pulls` how far each moves when this one is moved by a cent: a step carries others along. `overtone_off`:
    how many cents its first overtone is above the ratio wanted to its note; None where none is. jumps: as in Belief,
    where a tone of the box is near. tone: the tone of the box that lies near its note; barred: it keeps the tongue
    from there.
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
    overtone_off: float | None = None
    carried: float = 0.0
    jumps: bool = False
    tone: Tone | None = None
    barred: bool = False

    @property
    def cents(self) -> float:
        """How far the tongue is off now."""
        return float(self.all_cents[self.number])

    @property
    def plus_minus(self) -> float:
        """How sure that is."""
        return float(self.all_plus_minus[self.number])

    @property
    def bound_to(self) -> int:
        """The tongue that moves the most when this one is moved."""
        others = abs(self.pulls)
        others[self.number] = -1.0
        return int(others.argmax())

    @property
    def way(self) -> float:
        """+1 to raise, -1 to lower."""
        return 1.0 if self.wanted > 0.0 else -1.0

    def after(self, effect: Array, spread: Array) -> tuple[Array, Array, Array]:
        """What is left of the wanted step, how unsure that is, and the chance of passing the band's far side."""
        unsure = np.hypot(self.plus_minus, spread)
        far = self.far[self.number]
        over = (
            ndtr((far * (self.cents + effect) - self.tolerance) / unsure) if self.way == far else 0.0 * effect
        )
        return self.wanted - effect, unsure, np.asarray(over)

    def overtone_cost(self, moved: Array) -> Array:
        """What moving the first overtone so far against the note counts, in cents of remaining error."""
        if self.overtone_off is None:
            return np.asarray(OVERTONE_LEFT * abs(moved))
        return np.asarray(OVERTONE_WISH * (abs(self.overtone_off + moved) - abs(self.overtone_off)))

    def carried_over(self, moved: Array) -> Array:
        """The largest chance that another tongue is carried past the far side of its band by moving so far.

        moved (..., t): one or more steps; the answer has a number for each.
        """
        unsure = np.hypot(self.all_plus_minus, CARRIED_SHARE * moved)
        after_it = ndtr((self.far * (self.all_cents + moved) - self.tolerance) / unsure)
        before = ndtr((self.far * self.all_cents - self.tolerance) / self.all_plus_minus)
        more = np.maximum(after_it - before, 0.0)
        more[..., self.number] = 0.0
        return np.asarray(more.max(axis=-1))


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A spot with the ratio of solved to first-order effect there, and the best depth for it."""

    spot: Spot
    ratio: float
    depth_mm: float
    effect: float
    spread: float
    over: float
    cost: float
    solved: Assembly | None = field(default=None, repr=False)
    moved: Array = field(default_factory=lambda: np.zeros(0), repr=False)


def best_bore(model: Assembly, state: Drum, number: int, need: Need) -> Trial | None:
    """The bore that leaves the least to do, solved with its wood taken away; None if none helps safely.

    Places are mapped and tried on a tongue of order 2; the best is solved in `model` itself.

    Parameters
    ----------
    model : Assembly
        The frame with its tongues.
    state : Drum
        The drum as it stands now.
    number : int
        Which tongue, counted from 0.
    need : Need
        What is to be done to the tongue.
    """
    rough = model.coarser(number)
    note = read_notes(state, rough.modes())[number]
    above = overtone(rough.modes(), number, note.mode)
    need = replace(need, overtone_off=_overtone_off(rough, state, note.mode, above))
    shown = (note.mode,) if above is None else (note.mode, above)
    maps = [grid_map(state, number, density) for density in rough.bore_maps(number, *shown)]
    usual, roughly = RAISING_RATIO, ROUGHLY_RAISED
    if need.way < 0.0:
        usual, roughly = LOWERING_RATIO, ROUGHLY_LOWERED
    found = [
        trial
        for spot in spots(state, number, *maps)
        if spot.per_mm * need.way > 0.0
        and (trial := _deepened(spot, state, need, ratio=usual, moved=need.pulls)) is not None
    ]
    tried: list[Trial] = []
    best = _spread_out(sorted(found, key=lambda one: one.cost), RESOLVED)
    for first in _all_solved(rough, state, need, best):
        again = _deepened(first.spot, state, need, ratio=roughly * first.ratio, moved=first.moved)
        if again is None:
            continue
        lost = max(0.0, note.clarity - read_notes(state, _modes(first))[number].clarity)
        tried.append(replace(again, moved=first.moved, cost=again.cost + CLARITY_CENTS * lost))
    for trial in sorted(tried, key=lambda one: one.cost):
        sure = _confirmed(model, state, need, trial)
        if sure is not None:
            return sure
    return None


def _all_solved(rough: Assembly, state: Drum, need: Need, trials: Sequence[Trial]) -> list[Trial]:
    """These with their bores in the solid: the first by itself, since it is the best guess what the others are out
    by.

    The others then side by side.
    """
    if not trials:
        return []
    first = _solved(rough, state, need.number, trials[0])
    others = [
        _deepened(one.spot, state, need, ratio=first.ratio, moved=need.pulls) or one for one in trials[1:]
    ]
    kept = replace(rough, frame=replace(rough.frame, made={}))
    kept.frame.prepare([_bored(state, need.number, one) for one in others], [need.number])
    return [first, *(_solved(kept, state, need.number, one) for one in others)]


def _bored(state: Drum, number: int, trial: Trial) -> Drum:
    return after(state, [Bored(tongue=number, bore=trial.spot.bore(trial.depth_mm))])


def _confirmed(model: Assembly, state: Drum, need: Need, trial: Trial) -> Trial | None:
    """The same bore solved at its own depth, or less deep if that is not safe; None if it then helps too little."""
    nothing_done = _mean_size(np.array([need.wanted]), np.array([need.plus_minus]))[0]
    for _ in range(CONFIRMED):
        solved = _solved(model, state, need.number, trial)
        exact = _at(trial.spot, state, need, solved.ratio, trial.depth_mm)
        exact = replace(exact, solved=solved.solved, moved=solved.moved)
        if abs(exact.effect) < max(WORTH_CENTS, LEAST_SHARE * abs(need.wanted)) or exact.cost > nothing_done:
            return None
        if exact.over <= OVERSHOOT and need.carried_over(exact.moved) <= OVERSHOOT:
            return exact
        again = _deepened(trial.spot, state, need, ratio=exact.ratio, moved=exact.moved)
        shallower = trial.depth_mm - depth_step_mm(state)
        if again is None or shallower <= trial.spot.now_mm:
            return None
        trial = replace(again, depth_mm=min(again.depth_mm, shallower))
    return None


def _overtone_off(model: Assembly, state: Drum, note: int, above: int | None) -> float | None:
    """How many cents the first overtone is above the ratio that the drum file asks for."""
    wanted, hz = state.tuning.overtone, model.modes().hz
    return None if wanted is None or above is None else cents(hz[above], wanted * hz[note])


def _modes(trial: Trial) -> Modes:
    assert trial.solved is not None
    return trial.solved.modes()


def _depths(spot: Spot, state: Drum) -> Array:
    """The depths a bore here may have, in the shop's steps."""
    step = depth_step_mm(state)
    first = math.floor(spot.now_mm / step + 1e-9) + 1
    last = math.floor(spot.deepest_mm / step + 1e-9)
    return step * np.arange(first, last + 1)


def _deepened(spot: Spot, state: Drum, need: Need, *, ratio: float, moved: Array) -> Trial | None:
    """The best safe depth for this spot; None if there is none.

    `moved`: how far each tongue moves in a trial; the others move in proportion to this one.
    """
    depths = _depths(spot, state)
    if not len(depths):
        return None
    effect, _, over, cost = _weighed(spot, state, need, ratio, depths)
    carried = need.carried_over(np.outer(effect / moved[need.number], moved))
    cost = np.where((over <= OVERSHOOT) & (carried <= OVERSHOOT), cost, np.inf)
    best = int(np.argmin(cost))
    if not np.isfinite(cost[best]):
        return None
    return _at(spot, state, need, ratio, float(depths[best]))


def _at(spot: Spot, state: Drum, need: Need, ratio: float, depth_mm: float) -> Trial:
    numbers = _weighed(spot, state, need, ratio, np.array([depth_mm]))
    effect, spread, over, cost = (float(number[0]) for number in numbers)
    return Trial(
        spot=spot, ratio=ratio, depth_mm=depth_mm, effect=effect, spread=spread, over=over, cost=cost
    )


def _weighed(
    spot: Spot, state: Drum, need: Need, ratio: float, depths: Array
) -> tuple[Array, Array, Array, Array]:
    """Effect, spread, chance of overshoot and cost in cents of bores of these depths."""
    shop, deeper = state.shop, depths - spot.now_mm
    effect = need.action * ratio * spot.per_mm * deeper
    errors = np.sqrt(
        (need.action_plus_minus / need.action) ** 2
        + (shop.depth_error_mm / deeper) ** 2
        + (spot.slope * shop.place_error_mm) ** 2
    )
    spread = np.hypot(effect * errors, stray_cents(effect))
    left, unsure, over = need.after(effect, spread)
    volume_cm3 = math.pi * (0.05 * spot.bit_mm) ** 2 * 0.1 * deeper
    cost = (
        _mean_size(left, unsure)
        + ASIDE_CENTS * spot.aside
        + DEEP_CENTS * (depths / spot.deepest_mm) ** 2
        + VOLUME_CENTS * volume_cm3
        + need.overtone_cost(spot.overtone_per_mm * deeper)
    )
    return effect, spread, over, cost


def _mean_size(mean: Array, spread: Array) -> Array:
    """The expected size of a normal variable."""
    z = mean / spread
    density = np.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi)
    return np.asarray(spread * (2.0 * density + z * (2.0 * ndtr(z) - 1.0)))


def _spread_out(trials: Sequence[Trial], count: int) -> list[Trial]:
    """The best of them that are not nearly the same place with the same bit."""
    kept: list[Trial] = []
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


def _solved(model: Assembly, state: Drum, number: int, trial: Trial) -> Trial:
    """The same with the bore in the solid: how much more it does than the first-order map says."""
    spot = trial.spot
    bored = model.with_drum(_bored(state, number, trial))
    moved = notes_moved(model.modes(), bored.modes())
    moved *= root_factor(state, number, spot.bore(trial.depth_mm), spot.now_mm)
    ratio = float(moved[number]) / (spot.per_mm * (trial.depth_mm - spot.now_mm))
    return replace(trial, ratio=ratio, solved=bored, moved=moved)
