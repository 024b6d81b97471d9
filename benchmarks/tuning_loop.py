"""The bench advice against virtual drums whose wood it does not know, and against two plainer ways of boring.

Run `python benchmarks/tuning_loop.py --drums 10` on an otherwise idle machine. A virtual drum has its own wood
(stiffness, ratios and density drawn from the handbook's scatter, stiffness and density varying from tongue to tongue,
walls and bottom of their own), another mesh and another order than the adviser's model, bores off in depth and
place, and taps that are read with an error. The adviser is called as a maker would use it: it learns nothing but
the taps and the bores as intended. All of it is invented, and called so; the closed loop says whether the advice
converges, not how a real board behaves.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from itertools import takewhile
from pathlib import Path

import numpy as np

from kerftone.drum.design import Bore, Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import layout
from kerftone.modal.frame import Assembly, Frame, assemble, assemble_frame
from kerftone.modal.notes import read_notes
from kerftone.modal.plan import Fineness
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.modal.solve import solve
from kerftone.modal.tongue import TongueModel
from kerftone.pitch import cents, sharpened
from kerftone.tune.advise import next_step
from kerftone.tune.belief import believe, grained
from kerftone.tune.bores import Spot, deepest_mm, grid_map, spots
from kerftone.tune.fit import fit
from kerftone.tune.history import Bored, Change, Event, Lengthened, Tap, after, same_hole
from kerftone.tune.instrument import Instrument
from kerftone.tune.spread import covariance, scatters

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
TAP_CENTS = 1.5
DEPTH_MM, PLACE_MM = 0.3, 1.0
RATIOS_CV = 0.10
"""How far each ratio between the constants of a board may be from the species' own."""
TONGUE_CV = 0.04
"""How far stiffness and density of one tongue's wood may be from the board's."""
OTHER_MESH = Fineness(corner_kerfs=1.0, largest_mm=70.0, grading=1.0, wall_mm=30.0, rim_sides=8, order=4)
"""Fewer and larger cells of a higher order than the adviser's; what bores do differs by up to 4 % from its model."""
MOST_BORES = 12
SWEEP_CENTS, SWEEP_STEP_CENTS = 150, 3
"""How far a tongue that did not reach its note is swept, to see whether it sounds its note anywhere."""
Bench = Callable[["Virtual", list[Event]], tuple[Change | None, Sequence[int]] | None]
"""Says the next step, if there is one, and which further tongues to tap after it; None when nothing is left to do."""


@dataclass
class Virtual:
    """A drum on the bench: what is really so, and what has been done to it."""

    drum: Drum
    model: Assembly
    targets_hz: list[float]
    rng: np.random.Generator
    bored: list[list[float]] = field(default_factory=list)
    otherwise: list[int] = field(default_factory=list)
    overshot: set[int] = field(default_factory=set)

    def afresh(self) -> Virtual:
        """The same drum before anything was done to it; the hand and the ear slip as they would have."""
        return replace(self, rng=deepcopy(self.rng), bored=[], otherwise=[], overshot=set())

    def hz(self) -> list[float]:
        return [note.hz for note in read_notes(self.drum, self.model.modes())]

    def off(self) -> list[float]:
        return [cents(hz, target) for hz, target in zip(self.hz(), self.targets_hz, strict=True)]

    def can_sound(self, tongue: int) -> bool:
        """Whether there is any tuning of its own wood with which a tongue sounds its note, all others as they are.

        Where two tones share a tongue, the louder is now the one, now the other, and between them lies a gap.
        """
        for by in range(-SWEEP_CENTS, SWEEP_CENTS + 1, SWEEP_STEP_CENTS):
            stiffer = [2.0 ** (by / 600.0) if n == tongue else 1.0 for n in range(len(self.targets_hz))]
            heard = read_notes(self.drum, self.model.with_stiffer(stiffer).modes())[tongue].hz
            if abs(cents(heard, self.targets_hz[tongue])) <= self.drum.tuning.tolerance_cents:
                return True
        return False

    def tap(self, tongue: int) -> Tap:
        heard = sharpened(self.hz()[tongue], self.rng.normal(0.0, TAP_CENTS))
        return Tap(tongue=tongue, hz=heard, plus_minus_cents=TAP_CENTS)

    def bore(self, step: Bored) -> None:
        """Bore as intended, as nearly as a hand can."""
        slip = self.rng.normal(0.0, 1.0, 3)
        wanted = step.bore
        made = replace(
            wanted,
            x_mm=wanted.x_mm + PLACE_MM * slip[0],
            y_mm=wanted.y_mm + PLACE_MM * slip[1],
            depth_mm=max(0.2, wanted.depth_mm + DEPTH_MM * slip[2]),
        )
        for old, new in self.holes.items():  # a hole bored deeper stays where it is
            if (old[0], old[1]) == (wanted.x_mm, wanted.y_mm):
                made = replace(made, x_mm=new[0], y_mm=new[1])
        self.holes[wanted.x_mm, wanted.y_mm] = (made.x_mm, made.y_mm)
        self._become(after(self.drum, [Bored(tongue=step.tongue, bore=made)]))
        volume = np.pi * (0.05 * made.diameter_mm) ** 2 * 0.1 * made.depth_mm
        self.bored[step.tongue].append(float(volume))

    def alter(self, step: Change) -> None:
        """Trim, saw further or weight as told, to the letter."""
        self.otherwise[step.tongue] += 1
        self._become(after(self.drum, [step]), sawn=isinstance(step, Lengthened))

    def _become(self, drum: Drum, *, sawn: bool = False) -> None:
        """Be this drum from now on, and note which tongues have passed the far side of their bands."""
        before = self.off()
        self.drum = drum
        self.model = grown(drum, self.model.frame) if sawn else self.model.with_drum(drum)
        tolerance = self.drum.tuning.tolerance_cents
        for tongue, (old_off, new_off) in enumerate(zip(before, self.off(), strict=True)):
            way = 1.0 if self.started[tongue] < 0 else -1.0
            if way * new_off > tolerance >= way * old_off:
                self.overshot.add(tongue)

    def __post_init__(self) -> None:
        self.holes: dict[tuple[float, float], tuple[float, float]] = {}
        self.started = self.off()
        self.bored = [[] for _ in self.targets_hz]
        self.otherwise = [0 for _ in self.targets_hz]


@dataclass(frozen=True, kw_only=True)
class Grained(Frame):
    """A frame whose tongues have each a grain of their own: factors of stiffness and of mass."""

    stiff: tuple[float, ...]
    heavy: tuple[float, ...]

    def tongue(self, drum: Drum, number: int) -> TongueModel:
        made = super().tongue(drum, number)
        return replace(
            made, stiffness=made.stiffness * self.stiff[number], mass=made.mass * self.heavy[number]
        )


def nature(design: Drum, seed: int, *, order: int = OTHER_MESH.order) -> Virtual:
    """A virtual drum of this design with wood of its own, cut 20 to 80 cents flat, one in seven sharp."""
    rng = np.random.default_rng(seed)
    drum = design
    for part, scatter in scatters(design).items():
        own = np.diag(
            [RATIOS_CV**2 if name[:2] in ("e_", "g_") and name != "e_l_gpa" else 0.0 for name in CONSTANTS]
        )
        factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), covariance(scatter) + own))
        owner = getattr(drum, part)
        values = {n: getattr(owner.elastic, n) * f for n, f in zip(CONSTANTS, factors, strict=True)}
        drum = replace(drum, **{part: replace(owner, elastic=replace(owner.elastic, **values))})
    stiff, mass = np.exp(rng.normal(0.0, TONGUE_CV, (2, len(drum.tongues))))
    model = solved(drum, order=order, stiff=tuple(stiff), heavy=tuple(mass))
    heard = [note.hz for note in read_notes(drum, model.modes())]
    flat = [-rng.uniform(5, 30) if rng.random() < 1 / 7 else rng.uniform(20, 80) for _ in heard]
    targets = [sharpened(hz, by) for hz, by in zip(heard, flat, strict=True)]
    return Virtual(drum=drum, model=model, targets_hz=targets, rng=rng)


def solved(drum: Drum, *, order: int, stiff: tuple[float, ...], heavy: tuple[float, ...]) -> Assembly:
    """The model of a drum whose tongues have such grains, solved whole."""
    plain = assemble(solve(drum, fineness=replace(OTHER_MESH, order=order)), layered=True, made={})
    return assemble_frame(Grained(**vars(plain.frame), stiff=stiff, heavy=heavy), plain.scale)


def grown(drum: Drum, frame: Frame) -> Assembly:
    """The same wood with its slots sawn further, solved whole again."""
    assert isinstance(frame, Grained)
    return solved(drum, order=frame.fineness.order, stiff=frame.stiff, heavy=frame.heavy)


@dataclass
class Outcome:
    """What became of one tongue; reachable: whether it can sound its note at all."""

    bores: int
    otherwise: int
    reached: bool
    reachable: bool
    overshot: bool
    left_cents: float
    removed_cm3: float


def tune(virtual: Virtual, choose: Bench) -> list[Outcome]:
    """Bore and tap as told until nothing more is said, then say how each tongue truly is."""
    count = len(virtual.targets_hz)
    events: list[Event] = [virtual.tap(tongue) for tongue in range(count)]
    for _ in range(MOST_BORES * count):
        said = choose(virtual, events)
        if said is None:
            # The last word is a tap of every tongue: a neighbour's bore may have moved one out again.
            since = takewhile(lambda event: isinstance(event, Tap), reversed(events))
            if len({event.tongue for event in since}) == count:
                break
            events.extend(virtual.tap(tongue) for tongue in range(count))
            continue
        step, further = said
        if isinstance(step, Bored):
            virtual.bore(step)
        elif step is not None:
            virtual.alter(step)
        done = [] if step is None else [step]
        tapped = [*(one.tongue for one in done), *further]
        events.extend([*done, *(virtual.tap(tongue) for tongue in tapped)])
    tolerance = virtual.drum.tuning.tolerance_cents
    return [
        Outcome(
            bores=len(bores),
            otherwise=virtual.otherwise[tongue],
            reached=abs(off) <= tolerance,
            reachable=abs(off) <= tolerance or virtual.can_sound(tongue),
            overshot=tongue in virtual.overshot,
            left_cents=off,
            removed_cm3=sum(bores),
        )
        for tongue, (bores, off) in enumerate(zip(virtual.bored, virtual.off(), strict=True))
    ]


def adviser(design: Drum) -> Bench:
    """The bench advice, as `kerftone bench next` gives it."""
    plain = Instrument(design=design)
    begun: list[tuple[Virtual, Instrument]] = []

    def choose(virtual: Virtual, events: list[Event]) -> tuple[Change | None, Sequence[int]] | None:
        if not begun or begun[-1][0] is not virtual:
            begun.append((virtual, grained(plain, events)))
        instrument = begun[-1][1]
        belief = believe(instrument, events, virtual.targets_hz)
        advice = next_step(instrument, after(design, events), belief, virtual.targets_hz)
        return (advice.change, advice.tap_too) if advice.change or advice.tap_too else None

    return choose


def last_heard(virtual: Virtual, events: list[Event]) -> list[float]:
    """How far each tongue is off by its last tap, in cents."""
    heard = {event.tongue: event.hz for event in events if isinstance(event, Tap)}
    return [cents(heard[n], target) for n, target in enumerate(virtual.targets_hz)]


def by_the_millimetre(design: Drum) -> Bench:
    """Baseline: a millimetre at a time, 20 mm wide, near the tip to raise and near the root to lower."""
    lines = layout(design)

    def choose(virtual: Virtual, events: list[Event]) -> tuple[Change, Sequence[int]] | None:
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
                    return Bored(tongue=number, bore=replace(spot, depth_mm=depth)), ()
        return None

    return choose


def by_the_map(design: Drum) -> Bench:
    """Baseline: the first-order map as it stands, all that is wanted at once, nothing learnt."""
    instrument = Instrument(design=design)

    def choose(virtual: Virtual, events: list[Event]) -> tuple[Change, Sequence[int]] | None:
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
                return Bored(tongue=number, bore=best.bore(_depth(best, off, state))), ()
        return None

    return choose


def _depth(spot: Spot, off: float, state: Drum) -> float:
    """The depth in the shop's steps that undoes what is off, as far as the wood allows."""
    step = state.shop.depth_step_mm
    wanted = spot.now_mm + max(step, round(-off / spot.per_mm / step) * step)
    return min(wanted, spot.deepest_mm)


def report(name: str, outcomes: Sequence[Outcome], seconds: float) -> None:
    """A line of the table."""
    bores = [one.bores for one in outcomes]
    print(
        f"  {name}: bores median {np.median(bores):.0f}, mean {np.mean(bores):.1f}, 90th percentile "
        f"{np.percentile(bores, 90):.0f}; outside on the far side {np.mean([o.overshot for o in outcomes]):.1%}; "
        f"never reached {np.mean([not o.reached for o in outcomes]):.1%}, where it was reachable "
        f"{np.mean([o.reachable and not o.reached for o in outcomes]):.1%}; "
        f"{sum(o.otherwise for o in outcomes)} steps that are no bores; wood "
        f"{np.mean([o.removed_cm3 for o in outcomes]):.1f} cm³ a tongue; {seconds:.1f} s a step",
        flush=True,
    )


def main() -> None:
    """Tune virtual drums and print what became of them."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--drums", type=int, default=5)
    options.add_argument("--first-seed", type=int, default=1)
    options.add_argument("--order", type=int, default=OTHER_MESH.order, help="of the virtual drum's solve")
    options.add_argument(
        "--drum", type=Path, default=EXAMPLE, help="a drum.toml; lengths are found if missing"
    )
    options.add_argument("--only", nargs="+", choices=("advice", "millimetre", "map"))
    given = options.parse_args()
    design = read_drum(given.drum)
    if any(tongue.length_mm is None for tongue in design.tongues):
        design = fit(design).drum
    ways = {"advice": adviser, "millimetre": by_the_millimetre, "map": by_the_map}
    ways = {name: way(design) for name, way in ways.items() if name in (given.only or ways)}
    found: dict[str, list[Outcome]] = {name: [] for name in ways}
    steps = dict.fromkeys(ways, 0)
    spent = dict.fromkeys(ways, 0.0)
    for seed in range(given.first_seed, given.first_seed + given.drums):
        drum = nature(design, seed, order=given.order)
        for name, choose in ways.items():
            virtual = drum.afresh()
            began = time.perf_counter()
            outcomes = tune(virtual, choose)
            spent[name] += time.perf_counter() - began
            steps[name] += 1 + sum(one.bores for one in outcomes)
            found[name] += outcomes
            bores, left = [o.bores for o in outcomes], [round(o.left_cents, 1) for o in outcomes]
            outside = [number for number, o in enumerate(outcomes, start=1) if o.overshot]
            mute = [number for number, o in enumerate(outcomes, start=1) if not o.reachable]
            print(
                f"seed {seed}, {name}: began {np.round(virtual.started).astype(int)}, bores {bores}, left {left}"
                + (f", outside on the far side {outside}" if outside else "")
                + (f", cannot sound their notes {mute}" if mute else ""),
                flush=True,
            )
    print(
        f"{given.drums} virtual drums of {design.name}, {len(design.tongues)} tongues each; the wood is invented:"
    )
    for name, outcomes in found.items():
        report(name, outcomes, spent[name] / steps[name])


if __name__ == "__main__":
    main()
