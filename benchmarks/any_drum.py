"""What becomes of whatever a maker may ask for: does `new` then `fit` end well, in how long, and what is refused?

Each seed draws one wish through the jobs behind the commands, with files on a disk: notes (also twice the same, a
semitone apart, far apart), any wood, thicknesses of 8 to 25 mm, a board in hand, widths of tongues and heights of
boxes; and half of the drums are changed by hand before `fit`, as makers do: places given, all or some, walls, bars
and margins of their own, a top let in on a ledge, no bottom, ends of other shapes. So many of these cannot be had:
what counts is that there is never a traceback, that a refusal comes soon, and that it names a change that was tried.

    python benchmarks/any_drum.py --count 50 --seed 1

All drums are drawn by chance. Prints a line for each and a summary; `--json` keeps the records.
"""

from __future__ import annotations

import argparse
import json
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from designs import CLEAR, GOOD_CENTS, WOODS, drawn
from kerftone.drum.design import Drum, Slots

TRIED = ("Tried on the model", "it works with")
"""What a refusal says of a change that was tried and found to work."""
SOON_S = 60.0


def wish(random: np.random.Generator, seed: int) -> dict[str, str]:
    """What is typed for `new`."""
    from kerftone.pitch import note_name

    if random.random() < 0.5:
        notes = list(drawn(seed, own=False).notes)
    else:
        low = int(random.integers(45, 70))
        numbers = low + random.integers(0, int(random.integers(1, 26)), size=int(random.integers(1, 10)))
        notes = [note_name(int(number)) for number in numbers]
    typed = {"notes": " ".join(notes), "wood": str(random.choice(WOODS))}
    typed["cut"] = str(random.choice(["flatsawn", "flatsawn", "quartersawn"]))
    if random.random() < 0.35:
        sizes = random.uniform((320, 90, 9), (800, 350, 26)).round()
        typed["board"] = " x ".join(f"{mm:g}" for mm in sizes) + " mm"
    elif random.random() < 0.5:
        typed["thickness"] = f"{random.uniform(8, 26):.0f} mm"
    if random.random() < 0.2:
        typed["tongue_width"] = f"{random.uniform(18, 70):.0f} mm"
    if random.random() < 0.2:
        typed["box_height"] = f"{random.uniform(30, 160):.0f} mm"
    if random.random() < 0.4:
        typed["units"] = "in"
    return typed


def by_hand(drum: Drum, random: np.random.Generator) -> Drum:
    """The same drum as a maker may change it in the file."""
    box, slots = drum.box, drum.slots
    wall = float(random.choice([12, 15, 18, 20, box.wall_mm]))
    bar = float(random.choice([0, 0, 15, box.root_bar_mm]))
    strip = float(random.uniform(6.0, 30.0))
    box = replace(
        box,
        wall_mm=wall,
        root_bar_mm=bar,
        root_bar_height_mm=min(box.height_mm, box.root_bar_height_mm or 30.0) if bar else 0.0,
    )
    if random.random() < 0.25:
        box = replace(box, mount="in ledge", ledge_mm=10.0, root_bar_mm=0.0, root_bar_height_mm=0.0)
    changed = replace(drum, box=box, slots=_ends(slots, random))
    from kerftone.drum.seat import end_seat_mm

    margin = end_seat_mm(changed) + strip
    longer = drum.top.length_mm + 2.0 * (margin - slots.end_margin_mm) * float(random.uniform(0.0, 1.5))
    changed = replace(
        changed,
        slots=replace(changed.slots, end_margin_mm=margin),
        top=replace(drum.top, length_mm=max(longer, 2.0 * margin + 50.0)),
        bottom=None if random.random() < 0.3 else drum.bottom,
    )
    return _placed(changed, random) if random.random() < 0.6 else changed


def _ends(slots: Slots, random: np.random.Generator) -> Slots:
    shape = random.choice(["square", "square", "round", "slant", "curve"])
    hole = float(random.choice([0.0, 0.0, 0.0, 6.0]))
    return replace(slots, tongue_end=str(shape), stop_hole_mm=hole)  # type: ignore[arg-type]


def _placed(drum: Drum, random: np.random.Generator) -> Drum:
    rows = -(-len(drum.tongues) // 2)
    places = [(row, side) for row in range(1, rows + 1) for side in ("left", "right")]
    random.shuffle(places)
    share = float(random.choice([0.3, 1.0]))
    tongues = [
        replace(t, row=int(row), side=str(side)) if random.random() < share else t  # type: ignore[arg-type]
        for t, (row, side) in zip(drum.tongues, places, strict=False)
    ]
    return replace(drum, tongues=tuple(tongues))


def run(seed: int) -> dict[str, Any]:
    """What becomes of one wish, as a record."""
    random = np.random.default_rng(500_000 + seed)
    record: dict[str, Any] = {"seed": seed, "asked": wish(random, seed)}
    began, used = time.perf_counter(), time.process_time()
    try:
        with tempfile.TemporaryDirectory() as folder:
            _made(record, Path(folder) / "drum", random)
    except Exception as error:
        from kerftone.errors import KerftoneError

        refused = isinstance(error, KerftoneError)
        tried = refused and any(words in str(error) for words in TRIED)
        record["outcome"] = ("refused, tried" if tried else "refused") if refused else "TRACEBACK"
        record["words"] = str(error)
        if not refused:
            record["trace"] = traceback.format_exc()
    record["s"] = round(time.perf_counter() - began, 1)
    record["cpu_s"] = round(time.process_time() - used, 1)
    return record


def _made(record: dict[str, Any], folder: Path, random: np.random.Generator) -> None:
    from kerftone.drum.file import read_drum
    from kerftone.drum.template import drum_text
    from kerftone.jobs.begin_drum import NewDrumRequest, begin_drum
    from kerftone.jobs.drum_wishes import LengthsTyped
    from kerftone.jobs.find_lengths import LengthsRequest, find_lengths

    asked = dict(record["asked"])
    lengths = {key: asked.pop(key) for key in LengthsTyped.__dataclass_fields__ if key in asked}
    record["step"] = "new"
    begun = begin_drum(NewDrumRequest(where=folder, lengths=LengthsTyped(**lengths), **asked))
    record["new_said"] = begun.remarks[-1]
    record["step"] = "fit"
    if random.random() < 0.5:
        drum = by_hand(begun.drum, random)
        box, slots = drum.box, drum.slots
        record["by_hand"] = {
            "places": [t.place for t in drum.tongues],
            "wall, bar, margin": [box.wall_mm, box.root_bar_mm, round(slots.end_margin_mm, 1)],
            "mount": box.mount,
            "ends": str(slots.tongue_end),
            "board": [round(drum.top.length_mm), round(drum.top.width_mm), drum.top.thickness_mm],
        }
        begun.written.write_text(drum_text(drum), "utf-8")
        read_drum(begun.written)
    done = find_lengths(LengthsRequest(drum=folder))
    off = max(abs(cents) for cents in done.found.off_cents)
    least = min(note.clarity for note in done.found.notes)
    record |= {
        "outcome": "off" if off > GOOD_CENTS else "done" if least >= CLEAR else "unclear",
        "off": round(off, 2),
        "clarity": round(least, 3),
        "solves": done.found.full_solves,
        "works_with": None if done.mend is None else done.mend.words,
    }


def line(record: dict[str, Any]) -> str:
    """One record in a line."""
    what = f"{record['seed']:5d} {record['outcome']:14s} {record['step']:3s} {record['cpu_s']:6.1f} s"
    what += " by hand" if "by_hand" in record else ""
    rest = (
        record.get("words") or f"off {record['off']} clear {record['clarity']} {record['works_with'] or ''}"
    )
    return f"{what} {record['asked']}: {rest}"


def summary(records: list[dict[str, Any]]) -> str:
    """How often each thing happened, and how long refusals took."""
    kinds = Counter(record["outcome"] for record in records)
    lines = [f"{len(records)} wishes: " + ", ".join(f"{count} {kind}" for kind, count in kinds.items())]
    refused = [record["cpu_s"] for record in records if record["outcome"].startswith("refused")]
    if refused:
        late = sum(seconds > SOON_S for seconds in refused)
        lines.append(
            f"refusals: median {np.median(refused):.1f} s, most {max(refused):.1f}, {late} over {SOON_S:g}"
        )
    return "\n".join(lines)


def main() -> None:
    """Draw, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--count", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--json", type=Path, help="append each record to this file, one a line")
    given = parser.parse_args()
    records = []
    for seed in range(given.seed, given.seed + given.count):
        records.append(run(seed))
        print(line(records[-1]), flush=True)
        if given.json:
            with given.json.open("a", encoding="utf-8") as file:
                file.write(json.dumps(records[-1]) + "\n")
    print(summary(records))


if __name__ == "__main__":
    main()
