"""Two plainer ways of boring, against which the bench advice is held: what a hand does without a model."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from kerftone.drum.design import Bore, Drum
from kerftone.drum.plan_lines import layout
from kerftone.modal.notes import read_notes
from kerftone.pitch import cents
from kerftone.tune.bores import Spot, deepest_mm, grid_map, spots
from kerftone.tune.history import Bored, Change, Event, Tap, after, same_hole
from kerftone.tune.instrument import Instrument
from natures import Virtual


@dataclass(frozen=True, kw_only=True)
class Said:
    """The next step, if there is one, further tongues to tap after it, those to tap with the bottom clamped on, and
    what the step is told to do, cents."""

    change: Change | None
    taps: Sequence[int] = ()
    clamped: Sequence[int] = ()
    told: float | None = None
    spread: float | None = None


Bench = Callable[[Virtual, list[Event]], Said | None]
"""Says what to do next; None when nothing is left to do."""


def last_heard(virtual: Virtual, events: list[Event]) -> list[float]:
    """How far each tongue is off by its last tap, in cents."""
    heard = {event.tongue: event.hz for event in events if isinstance(event, Tap)}
    return [cents(heard[n], target) for n, target in enumerate(virtual.targets_hz)]


def by_the_millimetre(design: Drum) -> Bench:
    """Baseline: a millimetre at a time, 20 mm wide, near the tip to raise and near the root to lower."""
    lines = layout(design)

    def choose(virtual: Virtual, events: list[Event]) -> Said | None:
        for number, off in enumerate(last_heard(virtual, events)):
            if abs(off) <= design.tuning.tolerance_cents:
                continue
            tongue = design.tongues[number]
            length = tongue.length_mm or 0.0
            for hole in range(3):
                from_root = length - 18.0 - 25.0 * hole if off < 0 else 22.0 + 25.0 * hole
                x, y = lines.spot_mm(tongue, from_root)
                spot = Bore(x_mm=round(x, 2), y_mm=y, diameter_mm=20.0, depth_mm=1.0)
                made = [e.bore for e in events if isinstance(e, Bored) and same_hole(e.bore, spot)]
                depth = 1.0 + max((bore.depth_mm for bore in made), default=0.0)
                if depth <= deepest_mm(design):
                    return Said(change=Bored(tongue=number, bore=replace(spot, depth_mm=depth)))
        return None

    return choose


def by_the_map(design: Drum) -> Bench:
    """Baseline: the first-order map as it stands, all that is wanted at once, nothing learnt."""
    instrument = Instrument(design=design)

    def choose(virtual: Virtual, events: list[Event]) -> Said | None:
        state = after(design, events)
        model = instrument.assembly(state, bottom_on=state.bottom is not None)
        notes = read_notes(state, model.modes())
        for number, off in enumerate(last_heard(virtual, events)):
            if abs(off) <= design.tuning.tolerance_cents:
                continue
            field = grid_map(state, number, model.bore_maps(number, notes[number].mode)[0])
            best = min(
                (spot for spot in spots(state, number, field) if spot.per_mm * -off > 0.0),
                key=lambda spot: abs(
                    off + spot.per_mm * _depth(spot, off, state) - spot.per_mm * spot.now_mm
                ),
                default=None,
            )
            if best is not None:
                return Said(change=Bored(tongue=number, bore=best.bore(_depth(best, off, state))))
        return None

    return choose


def _depth(spot: Spot, off: float, state: Drum) -> float:
    """The depth in the shop's steps that undoes what is off, as far as the wood allows."""
    step = state.shop.depth_step_mm
    wanted = spot.now_mm + max(step, round(-off / spot.per_mm / step) * step)
    return min(wanted, spot.deepest_mm)
