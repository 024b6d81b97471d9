"""The bench advice against virtual drums whose wood it does not know, and against two plainer ways of boring.

Run `python benchmarks/tuning_loop.py --drums 10` on an otherwise idle machine, or give it drum files of your own:
`--designs a/drum.toml b/drum.toml`. What a virtual drum is, and of which nature, says `natures.py`: `--nature
foreign` judges the adviser by a model that is not its own. The adviser is called as a maker would use it: it learns
nothing but the taps and the bores as intended. All wood is invented, and called so; the closed loop says whether the
advice converges, not how a real board behaves.

Each drum is one task for a `concurrent.futures.Executor` (`study`): processes here (`--workers`), or any other.
`--records loop.jsonl` keeps each drum as it is done, as a line of JSON, and a run that was broken off goes on where
it was; `loop_records.py` makes the table of such files.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from dataclasses import dataclass, replace
from functools import cache
from itertools import takewhile
from multiprocessing import get_context
from pathlib import Path

from threadpoolctl import threadpool_limits

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.modal.threads import at_most
from kerftone.tune.advise import next_step
from kerftone.tune.belief import believe, corrected
from kerftone.tune.fit import fit
from kerftone.tune.history import Bored, Bottom, Event, Tap, after
from kerftone.tune.instrument import Instrument, Memory
from kerftone.tune.pull import BenchAir, finished
from loop_records import Drummed, Outcome, Step, keep, kept, table
from natures import OTHER_MESH, Kind, Virtual, nature
from plain_ways import Bench, Said, by_the_map, by_the_millimetre

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
MOST_BORES = 12


def tune(virtual: Virtual, choose: Bench) -> list[Outcome]:
    """Bore and tap as told until nothing more is said, then say how each tongue truly is."""
    return _tuned(virtual, choose)[0]


def _tuned(virtual: Virtual, choose: Bench, clamped: int = 1) -> tuple[list[Outcome], list[Step]]:
    """The same, and what each step was told to do and did; clamped: how many are tapped once with the bottom on."""
    count, tolerance = len(virtual.targets_hz), virtual.drum.tuning.tolerance_cents
    events: list[Event] = [virtual.tap(tongue) for tongue in range(count)]
    if virtual.bottom not in (None, "glued"):  # clamped on once, so that its pull is known
        events[:0] = [virtual.tap(tongue, "glued") for tongue in range(min(clamped, count))]
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
        events.extend(virtual.tap(tongue, "glued") for tongue in said.clamped)
        events.extend(virtual.tap(tongue) for tongue in tapped)
    return [_outcome(virtual, tongue, off) for tongue, off in enumerate(virtual.finish())], steps


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


def adviser(design: Drum, bottom: Bottom | None = None) -> Bench:
    """The bench advice, as `kerftone bench next` gives it; bottom: as it is while the drum is tuned, in air."""
    known = _known(design, bottom)
    plain = replace(
        known, memory=Memory()
    )  # only frames and air are shared between drums, or memory would fill
    plain.memory.frames |= {
        name: (replace(made, frame=replace(made.frame, made=dict(made.frame.made or {}))), spread)
        for name, (made, spread) in known.memory.frames.items()
    }
    plain.memory.airs |= known.memory.airs
    begun: list[tuple[Virtual, Instrument]] = []

    def choose(virtual: Virtual, events: list[Event]) -> Said | None:
        if not begun or begun[-1][0] is not virtual:
            begun.append((virtual, corrected(plain, events)))
        instrument = begun[-1][1]
        belief = believe(instrument, events, virtual.targets_hz, bottom)
        advice = next_step(instrument, after(design, events), belief, virtual.targets_hz)
        if not (advice.change or advice.tap_too or advice.tap_finished):
            return None
        return Said(
            change=advice.change,
            taps=advice.tap_too,
            clamped=advice.tap_finished,
            told=advice.expected_cents,
            spread=advice.spread_cents,
        )

    return choose


@cache
def _known(design: Drum, bottom: Bottom | None) -> Instrument:
    """What is solved once for all drums of one design: the frame, and what air does."""
    states = () if bottom is None else tuple(dict.fromkeys((finished(design), bottom)))
    known = Instrument(design=design, air=BenchAir(bottoms=states) if states else None)
    for state in states or (finished(design),):
        known.notes(design, bottom_on=state == "glued")
        known.air_moves(state)
    return known


WAYS: dict[str, Callable[[Drum, Bottom | None], Bench]] = {
    "advice": adviser,
    "millimetre": lambda design, bottom: by_the_millimetre(design),
    "map": lambda design, bottom: by_the_map(design),
}


@dataclass(frozen=True, kw_only=True)
class Task:
    """One virtual drum to tune, in so many ways: all that a worker on another machine needs to know."""

    design: Drum
    seed: int
    kind: Kind = "own"
    order: int = OTHER_MESH.order
    ways: tuple[str, ...] = ("advice",)
    bottom: Bottom | None = None
    clamped: int = 1


def one_drum(task: Task) -> list[Drummed]:
    """Tune one virtual drum in each way that the task asks for."""
    drum = nature(task.design, task.seed, kind=task.kind, order=task.order, bottom=task.bottom)
    found = []
    for way in task.ways:
        virtual, began = drum.afresh(), time.process_time()
        outcomes, steps = _tuned(virtual, WAYS[way](task.design, task.bottom), task.clamped)
        seconds = time.process_time() - began
        found.append(
            Drummed(
                design=task.design.name,
                seed=task.seed,
                kind=task.kind,
                bottom=task.bottom or "in vacuo",
                way=way,
                outcomes=outcomes,
                steps=steps,
                seconds=seconds,
            )
        )
    return found


def _by_itself(task: Task) -> list[Drummed]:
    """The same on one thread: there are as many workers as processors, or it is to run beside other work."""
    with at_most(1), threadpool_limits(1):
        return one_drum(task)


def study(tasks: Iterable[Task], executor: Executor | None = None) -> Iterator[Drummed]:
    """All tasks, as they come to an end: side by side in the executor, or here one after the other."""
    if executor is None:
        for task in tasks:
            yield from _by_itself(task)
        return
    running: list[Future[list[Drummed]]] = [executor.submit(_by_itself, task) for task in tasks]
    for done in as_completed(running):
        yield from done.result()


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
    options.add_argument(
        "--bottom",
        choices=("glued", "loose", "off", "table"),
        help="in air, the bottom so while it is tuned and glued at the end; without it, in vacuo",
    )
    options.add_argument(
        "--clamped", type=int, default=1, help="how many tongues are tapped once with the bottom clamped on"
    )
    options.add_argument("--only", nargs="+", choices=tuple(WAYS), default=tuple(WAYS))
    options.add_argument("--workers", type=int, default=1, help="processes; each computes on one thread")
    options.add_argument("--records", type=Path, help="a file of JSON lines to which each drum is added")
    given = options.parse_args()
    tasks = _tasks(given)
    found: list[Drummed] = []
    try:
        with _executor(given.workers) as executor:
            for done in study(tasks, executor):
                print(done.line(), flush=True)
                found.append(done)
                if given.records:
                    keep(given.records, done)
    finally:  # also when it is broken off: an hour's drums are worth a table
        print(f"{len(found)} of {len(tasks) * len(given.only)} done; the wood is invented:")
        table(found)


def _tasks(given: argparse.Namespace) -> list[Task]:
    """The drums that are wanted and not yet in the records, a seed of each design before the next seed."""
    done = kept([given.records] if given.records else [])
    before = {(one.design, one.seed, one.kind, one.bottom) for one in done}
    return [
        Task(
            design=design,
            seed=seed,
            kind=given.nature,
            order=given.order,
            ways=tuple(given.only),
            bottom=given.bottom,
            clamped=given.clamped,
        )
        for seed in range(given.first_seed, given.first_seed + given.drums)
        for design in map(_complete, given.designs)
        if (design.name, seed, given.nature, given.bottom or "in vacuo") not in before
    ]


@cache
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
