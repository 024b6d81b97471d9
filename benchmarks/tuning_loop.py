"""The bench advice against virtual drums whose wood it does not know, and against two plainer ways of boring.

Run `python benchmarks/tuning_loop.py --drums 10` on an otherwise idle machine, or give it drum files of your own:
`--designs a/drum.toml b/drum.toml`. What a virtual drum is, and of which nature, says `natures.py`: `--nature
foreign` judges the adviser by a model that is not its own. The adviser is called as a maker would use it: it learns
nothing but the taps and the bores as intended. All wood is invented, and called so; the closed loop says whether the
advice converges, not how a real board behaves.

Each drum is one task for a `concurrent.futures.Executor` (`study`): processes here (`--workers`), or any other.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from dataclasses import dataclass, replace
from itertools import takewhile
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from threadpoolctl import threadpool_limits

from kerftone.drum.design import Bore, Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import layout
from kerftone.modal.notes import read_notes
from kerftone.modal.threads import at_most
from kerftone.pitch import cents
from kerftone.tune.advise import next_step
from kerftone.tune.belief import believe, corrected
from kerftone.tune.bores import Spot, deepest_mm, grid_map, spots
from kerftone.tune.fit import fit
from kerftone.tune.history import Bored, Change, Event, Tap, after, same_hole
from kerftone.tune.instrument import Instrument
from natures import OTHER_MESH, Kind, Virtual, nature

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
MOST_BORES = 12


@dataclass(frozen=True, kw_only=True)
class Said:
    """The next step, if there is one, further tongues to tap after it, and what it is told to do, cents."""

    change: Change | None
    taps: Sequence[int] = ()
    told: float | None = None
    spread: float | None = None


Bench = Callable[[Virtual, list[Event]], Said | None]
"""Says what to do next; None when nothing is left to do."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """What a step was told to do to its tongue, how sure, and what it did; inside: the tongue was in its band."""

    tongue: int
    kind: str
    told: float | None
    spread: float | None
    did: float
    inside: bool


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one tongue; reachable: whether it can sound its note at all."""

    began_cents: float
    bores: int
    otherwise: int
    reached: bool
    reachable: bool
    overshot: bool
    left_cents: float
    removed_cm3: float


def tune(virtual: Virtual, choose: Bench) -> list[Outcome]:
    """Bore and tap as told until nothing more is said, then say how each tongue truly is."""
    return _tuned(virtual, choose)[0]


def _tuned(virtual: Virtual, choose: Bench) -> tuple[list[Outcome], list[Step]]:
    """The same, and what each step was told to do and did."""
    count, tolerance = len(virtual.targets_hz), virtual.drum.tuning.tolerance_cents
    events: list[Event] = [virtual.tap(tongue) for tongue in range(count)]
    steps: list[Step] = []
    for _ in range(MOST_BORES * count):
        said = choose(virtual, events)
        if said is None:
            # The last word is a tap of every tongue: a neighbour's bore may have moved one out again.
            since = takewhile(lambda event: isinstance(event, Tap), reversed(events))
            if len({event.tongue for event in since}) == count:
                break
            events.extend(virtual.tap(tongue) for tongue in range(count))
            continue
        step, tapped = said.change, list(said.taps)
        if step is not None:
            inside = abs(virtual.off()[step.tongue]) <= tolerance
            if isinstance(step, Bored):
                virtual.bore(step)
            else:
                virtual.alter(step)
            kind, did = type(step).__name__, virtual.steps[-1][1]
            steps.append(
                Step(
                    tongue=step.tongue, kind=kind, told=said.told, spread=said.spread, did=did, inside=inside
                )
            )
            events.append(step)
            tapped.insert(0, step.tongue)
        events.extend(virtual.tap(tongue) for tongue in tapped)
    return [_outcome(virtual, tongue, off) for tongue, off in enumerate(virtual.off())], steps


def _outcome(virtual: Virtual, tongue: int, off: float) -> Outcome:
    reached = abs(off) <= virtual.drum.tuning.tolerance_cents
    return Outcome(
        began_cents=virtual.started[tongue],
        bores=len(virtual.bored[tongue]),
        otherwise=virtual.otherwise[tongue],
        reached=reached,
        reachable=reached or virtual.can_sound(tongue),
        overshot=tongue in virtual.overshot,
        left_cents=off,
        removed_cm3=sum(virtual.bored[tongue]),
    )


def adviser(design: Drum) -> Bench:
    """The bench advice, as `kerftone bench next` gives it."""
    plain = Instrument(design=design)
    begun: list[tuple[Virtual, Instrument]] = []

    def choose(virtual: Virtual, events: list[Event]) -> Said | None:
        if not begun or begun[-1][0] is not virtual:
            begun.append((virtual, corrected(plain, events)))
        instrument = begun[-1][1]
        belief = believe(instrument, events, virtual.targets_hz)
        advice = next_step(instrument, after(design, events), belief, virtual.targets_hz)
        if not (advice.change or advice.tap_too):
            return None
        return Said(
            change=advice.change, taps=advice.tap_too, told=advice.expected_cents, spread=advice.spread_cents
        )

    return choose


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


WAYS: dict[str, Callable[[Drum], Bench]] = {
    "advice": adviser,
    "millimetre": by_the_millimetre,
    "map": by_the_map,
}


@dataclass(frozen=True, kw_only=True)
class Task:
    """One virtual drum to tune, in so many ways: all that a worker on another machine needs to know."""

    design: Drum
    seed: int
    kind: Kind = "own"
    order: int = OTHER_MESH.order
    ways: tuple[str, ...] = ("advice",)


@dataclass(frozen=True, kw_only=True)
class Done:
    """What became of one virtual drum in one way; seconds: processor time of the adviser and of nature."""

    task: Task
    way: str
    outcomes: list[Outcome]
    steps: list[Step]
    seconds: float

    def line(self) -> str:
        """What happened, in one line."""
        numbered = list(enumerate(self.outcomes, start=1))
        words = (
            f"{self.task.design.name}, seed {self.task.seed}, {self.way}: began "
            f"{[round(o.began_cents) for o in self.outcomes]}, bores {[o.bores for o in self.outcomes]}, left "
            f"{[round(o.left_cents, 1) for o in self.outcomes]}"
        )
        for what, chosen in (
            ("steps that are no bores", {n: o.otherwise for n, o in numbered if o.otherwise}),
            ("outside on the far side", [n for n, o in numbered if o.overshot]),
            ("cannot sound their notes", [n for n, o in numbered if not o.reachable]),
        ):
            words += f", {what} {chosen}" if chosen else ""
        return f"{words}; {self.seconds:.0f} s"


def one_drum(task: Task) -> list[Done]:
    """Tune one virtual drum in each way that the task asks for."""
    drum = nature(task.design, task.seed, kind=task.kind, order=task.order)
    found = []
    for way in task.ways:
        virtual, began = drum.afresh(), time.process_time()
        outcomes, steps = _tuned(virtual, WAYS[way](task.design))
        seconds = time.process_time() - began
        found.append(Done(task=task, way=way, outcomes=outcomes, steps=steps, seconds=seconds))
    return found


def _by_itself(task: Task) -> list[Done]:
    """The same on one thread: there are as many workers as processors."""
    with at_most(1), threadpool_limits(1):
        return one_drum(task)


def study(tasks: Iterable[Task], executor: Executor | None = None) -> Iterator[Done]:
    """All tasks, as they come to an end: side by side in the executor, or here one after the other."""
    if executor is None:
        for task in tasks:
            yield from one_drum(task)
        return
    running: list[Future[list[Done]]] = [executor.submit(_by_itself, task) for task in tasks]
    for done in as_completed(running):
        yield from done.result()


def report(name: str, found: Sequence[Done]) -> None:
    """The lines of the table for one way of boring."""
    if not found:
        return
    outcomes = [outcome for done in found for outcome in done.outcomes]
    steps = [step for done in found for step in done.steps]
    able = [outcome for outcome in outcomes if outcome.reachable]
    print(f"  {name}, {len(found)} drums:")
    for what, chosen in (("all tongues", outcomes), ("those that can sound their notes", able)):
        bores = [one.bores for one in chosen]
        print(
            f"    {what}: {len(chosen)}; bores median {np.median(bores):.1f}, mean {np.mean(bores):.1f}, 90 of 100 "
            f"within {np.percentile(bores, 90, method='higher'):.0f}, most {max(bores)}; outside on the far side "
            f"{sum(o.overshot for o in chosen)}; not reached {sum(not o.reached for o in chosen)}; steps that are no "
            f"bores {sum(o.otherwise for o in chosen)}; wood {np.mean([o.removed_cm3 for o in chosen]):.1f} cm³ each"
        )
    for what, sign in (("raise", 1.0), ("lower", -1.0)):
        made = [s for s in steps if s.kind == "Bored" and s.told is not None and s.told * sign > 2.0]
        if made:
            ratios = np.array([s.did / s.told for s in made if s.told])
            apart = np.array([(s.did - s.told) / s.spread for s in made if s.told and s.spread])
            low, mid, high = np.percentile(ratios, [10, 50, 90])
            print(
                f"    bores that {what}, told 2 cents or more: {len(made)}; did {mid:.2f} times what was told "
                f"(10 and 90 of 100: {low:.2f}, {high:.2f}); off by {np.sqrt(np.mean(apart**2)):.1f} of their ±"
            )
    inside = [s for s in steps if s.inside and s.kind == "Bored"]
    print(
        f"    bores into tongues inside their bands: {len(inside)} of {len(steps)} steps; "
        f"{sum(done.seconds for done in found) / max(len(steps), 1):.1f} s of processor time a step",
        flush=True,
    )


def main() -> None:
    """Tune virtual drums and print what became of them."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--drums", type=int, default=5, help="virtual drums of each design")
    options.add_argument("--first-seed", type=int, default=1)
    options.add_argument("--nature", choices=("own", "foreign"), default="own")
    options.add_argument(
        "--order", type=int, default=OTHER_MESH.order, help="of the solves of one's own nature"
    )
    options.add_argument(
        "--designs", type=Path, nargs="+", default=[EXAMPLE], help="drum files; lengths are found if missing"
    )
    options.add_argument("--only", nargs="+", choices=tuple(WAYS), default=tuple(WAYS))
    options.add_argument("--workers", type=int, default=1, help="processes; each computes on one thread")
    given = options.parse_args()
    tasks = [
        Task(design=design, seed=seed, kind=given.nature, order=given.order, ways=tuple(given.only))
        for design in map(_complete, given.designs)
        for seed in range(given.first_seed, given.first_seed + given.drums)
    ]
    found: list[Done] = []
    try:
        with _executor(given.workers) as executor:
            for done in study(tasks, executor):
                print(done.line(), flush=True)
                found.append(done)
    finally:  # also when it is broken off: an hour's drums are worth a table
        print(f"{len(found)} of {len(tasks) * len(given.only)} done; the wood is invented:")
        for way in given.only:
            report(way, [done for done in found if done.way == way])


def _complete(path: Path) -> Drum:
    design = read_drum(path)
    missing = any(tongue.length_mm is None for tongue in design.tongues)
    return fit(design).drum if missing else design


@dataclass
class _Here:
    """No executor: everything in this process."""

    def __enter__(self) -> None:
        return None

    def __exit__(self, *_: object) -> None:
        return None


def _executor(workers: int) -> ProcessPoolExecutor | _Here:
    # Spawned, not forked: the solver's threads do not survive a fork.
    return ProcessPoolExecutor(workers, mp_context=get_context("spawn")) if workers > 1 else _Here()


if __name__ == "__main__":
    main()
