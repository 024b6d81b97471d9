"""How often does a maker's own drum come out in tune and clear, and how long does it take?

Draws note sets (scales of music and arbitrary sets, 3 to 12 notes from C3 to C6), woods, thicknesses and units, and
does what the commands `new` and `fit` do, through the text of the drum file. A drum counts as done when by a full
solve every note is within 1 cent of its aim and every clarity is 0.9 or more. With `--own` the board and the places
are the maker's: the drum is put on boards a little longer than it needs, with places drawn at random. Many such drums
cannot be: what counts is how many come out of those that the model has clear with these places, which is told too.

    python benchmarks/designs.py --count 200 --seed 1

All drums are drawn by chance. Prints a line for each and a summary; `--json` keeps the records.
"""

from __future__ import annotations

import argparse
import json
import time
import traceback
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from kerftone.modal.crew import study

SCALES = {
    "major pentatonic": (0, 2, 4, 7, 9),
    "minor pentatonic": (0, 3, 5, 7, 10),
    "major": (0, 2, 4, 5, 7, 9, 11),
    "natural minor": (0, 2, 3, 5, 7, 8, 10),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
    "hirajoshi": (0, 2, 3, 7, 8),
}
LOWEST, HIGHEST = 48, 84  # C3 and C6
WOODS = (
    "cherry, black",
    "walnut, black",
    "maple, sugar",
    "purpleheart",
    "sapele",
    "mahogany, African",
    "oak, white",
    "bubinga",
    "iroko",
    "padauk",
)
THICKNESSES = {"mm": (12.0, 14.0, 16.0, 18.0, 20.0, None), "in": (12.7, 15.875, 19.05, None)}
COUNTS, SHARES = tuple(range(3, 13)), (0.06, 0.08, 0.1, 0.2, 0.08, 0.18, 0.08, 0.1, 0.06, 0.06)
GOOD_CENTS, CLEAR = 1.0, 0.9


@dataclass(frozen=True)
class Wanted:
    """One maker's wish."""

    seed: int
    notes: tuple[str, ...]
    wood: str
    units: str
    thickness_mm: float | None
    cut: str
    own: bool


def drawn(seed: int, *, own: bool) -> Wanted:
    """A wish drawn by chance, always the same for a seed."""
    from kerftone.pitch import note_name

    random = np.random.default_rng(seed)
    count = int(random.choice(COUNTS, p=SHARES))
    first = int(random.integers(LOWEST, LOWEST + 19))
    if random.random() < 0.75:
        degrees = SCALES[str(random.choice(list(SCALES)))]
        numbers = [first + 12 * (n // len(degrees)) + degrees[n % len(degrees)] for n in range(count)]
    else:
        span = int(random.integers(max(count, 7), 25))
        pool = np.arange(first, min(first + span, HIGHEST) + 1)
        numbers = sorted(int(n) for n in random.choice(pool, size=min(count, len(pool)), replace=False))
    while numbers[-1] > HIGHEST and numbers[0] >= LOWEST + 12:
        numbers = [number - 12 for number in numbers]
    numbers = [number for number in numbers if number <= HIGHEST]
    units = "mm" if random.random() < 0.5 else "in"
    thickness = THICKNESSES[units][random.integers(len(THICKNESSES[units]))]
    return Wanted(
        seed=seed,
        notes=tuple(note_name(number) for number in numbers),
        wood=str(random.choice(WOODS)),
        units=units,
        thickness_mm=thickness,
        cut="quartersawn" if random.random() < 0.2 else "flatsawn",
        own=own,
    )


def run(wanted: Wanted) -> dict[str, Any]:
    """What becomes of one wish, as a record."""
    record: dict[str, Any] = asdict(wanted) | {"outcome": "done"}
    try:
        _done(wanted, record)
    except Exception as error:
        from kerftone.errors import KerftoneError

        kind = "refused" if isinstance(error, KerftoneError) else "TRACEBACK"
        record |= {"outcome": kind, "words": str(error)}
        if kind == "TRACEBACK":
            record["trace"] = traceback.format_exc()
    return record


def _done(wanted: Wanted, record: dict[str, Any]) -> None:
    from kerftone.drum.file import parse_drum
    from kerftone.drum.template import drum_text
    from kerftone.tune.begin import Wishes
    from kerftone.tune.choose import chosen_drum
    from kerftone.tune.fit import fit, looked

    began, used = time.perf_counter(), time.process_time()
    wishes = Wishes(thickness_mm=wanted.thickness_mm, cut=wanted.cut)
    chosen = chosen_drum("Drum", wanted.notes, wanted.wood, wishes=wishes, units=wanted.units)
    drum = parse_drum(drum_text(chosen.drum))
    if wanted.own:
        drum = _own(drum, wanted.seed)
    new_s, new_cpu = time.perf_counter() - began, time.process_time() - used
    began, used = time.perf_counter(), time.process_time()
    look = looked(drum)
    best = look.tried[0]
    record["model_has"] = round(best.least, 3) if best.fits and best.tuned.settled else 0.0
    found = fit(drum, look=look)
    off = max(abs(cents) for cents in found.off_cents)
    clarity = [round(note.clarity, 3) for note in found.notes]
    heard = max(
        abs(1200 * np.log2(note.hz / aim)) for note, aim in zip(found.notes, found.aims_hz, strict=True)
    )
    good = off <= GOOD_CENTS and heard <= GOOD_CENTS and min(clarity) >= CLEAR
    record |= {
        "outcome": "done" if good else "unclear" if off <= GOOD_CENTS else "off",
        "off_cents": round(off, 3),
        "heard_cents": round(float(heard), 3),
        "clarity": clarity,
        "strict": round(found.tried[0].least, 3),
        "sure": chosen.trial.best.sure,
        "trials": [(round(t.best.least, 3), t.best.sure) for t in chosen.trials],
        "solves": found.full_solves,
        "board_mm": [drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm],
        "wall_bar_mm": [drum.box.wall_mm, drum.box.root_bar_mm],
        "new_s": round(new_s, 1),
        "new_cpu_s": round(new_cpu, 1),
        "fit_s": round(time.perf_counter() - began, 1),
        "fit_cpu_s": round(time.process_time() - used, 1),
    }


def _own(drum: Any, seed: int) -> Any:
    """The same drum on a longer board, its places drawn by chance."""
    random = np.random.default_rng(10_000 + seed)
    rows = -(-len(drum.tongues) // 2)
    places = [(row, side) for row in range(1, rows + 1) for side in ("left", "right")][: len(drum.tongues)]
    random.shuffle(places)
    tongues = tuple(
        replace(t, row=int(row), side=str(side)) for t, (row, side) in zip(drum.tongues, places, strict=True)
    )
    longer = drum.top.length_mm * float(random.uniform(1.15, 1.3))
    return replace(drum, tongues=tongues, top=replace(drum.top, length_mm=longer))


def main() -> None:
    """Draw, run, print."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--one-by-one", action="store_true", help="each on all processors, for its times")
    parser.add_argument("--own", action="store_true", help="the maker's own board and places")
    parser.add_argument("--json", type=Path, help="keep the records here")
    given = parser.parse_args()
    wishes = [drawn(given.seed + number, own=given.own) for number in range(given.count)]
    records: list[dict[str, Any]] = []

    def told(_: int, record: dict[str, Any]) -> None:
        records.append(record)
        print(_line(record), flush=True)
        if given.json:
            given.json.write_text(json.dumps(records, indent=1))

    if given.one_by_one:
        for number, wanted in enumerate(wishes):
            told(number, run(wanted))
    else:
        study(run, wishes, told=told)
    print(_summary(records))


def _line(record: dict[str, Any]) -> str:
    what = f"{record['seed']:5d} {record['outcome']:9s} {len(record['notes']):2d} {record['wood']:18s}"
    if "clarity" not in record:
        has = f"the model has {record['model_has']:.2f}, " if "model_has" in record else ""
        return f"{what} {has}{' '.join(record['notes'])}: {record['words'][:200]}"
    return (
        f"{what} off {record['off_cents']:.2f} clear {min(record['clarity']):.2f} strict {record['strict']:.2f} "
        f"sure {record['sure']:.2f} solves {record['solves']} trials {record['trials']} "
        f"wall, bar {record['wall_bar_mm']} new {record['new_cpu_s']} fit {record['fit_cpu_s']} s"
    )


def _summary(records: list[dict[str, Any]]) -> str:
    done = [record for record in records if record["outcome"] == "done"]
    kinds = {
        kind: sum(r["outcome"] == kind for r in records) for kind in sorted({r["outcome"] for r in records})
    }
    lines = [f"{len(records)} drums: " + ", ".join(f"{count} {kind}" for kind, count in kinds.items())]
    can = [record for record in records if record.get("model_has", 0.0) >= CLEAR]
    lines.append(f"{len(can)} that the model has clear: {sum(record in done for record in can)} done")
    if done:
        for key in ("new_s", "new_cpu_s", "fit_s", "fit_cpu_s", "sure", "solves"):
            values = np.array([record[key] for record in done], dtype=float)
            low, middle, high = np.nanquantile(values, [0.0, 0.5, 1.0])
            lines.append(f"{key}: least {low:.2f}, median {middle:.2f}, most {high:.2f}")
    return "\n".join(lines)


if __name__ == "__main__":
    main()
