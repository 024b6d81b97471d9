"""What became of virtual drums, kept as JSON lines, one a drum, and the table that is made of them.

    python benchmarks/loop_records.py loop.jsonl [more.jsonl ...]

prints for each design and nature, and for all designs of a nature, how many tongues went outside on the far side, how
many were not reached, with the 95 % bounds of these shares (Clopper and Pearson, from memory), and the bores.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import beta


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


@dataclass(frozen=True, kw_only=True)
class Drummed:
    """One virtual drum tuned in one way. bottom: as while it was tuned; seconds: processor time."""

    design: str
    seed: int
    kind: str
    bottom: str
    way: str
    outcomes: list[Outcome]
    steps: list[Step]
    seconds: float

    def line(self) -> str:
        """What happened, in one line."""
        numbered = list(enumerate(self.outcomes, start=1))
        words = (
            f"{self.design}, {self.kind}, seed {self.seed}, bottom {self.bottom}, {self.way}: began "
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


def kept(files: Iterable[Path]) -> list[Drummed]:
    """The drums in these files; a last line that was cut short is left out."""
    found = []
    for file in files:
        for line in file.read_text().splitlines() if file.exists() else ():
            try:
                record: dict[str, Any] = json.loads(line)
            except ValueError:
                continue
            record["outcomes"] = [Outcome(**one) for one in record["outcomes"]]
            record["steps"] = [Step(**one) for one in record["steps"]]
            found.append(Drummed(**record))
    return found


def keep(file: Path, drum: Drummed) -> None:
    """Add one drum to a file, at once: nothing is lost when a run is cut off."""
    with file.open("a") as out:
        out.write(json.dumps(asdict(drum)) + "\n")


def bounds(count: int, of: int, sure: float = 0.95) -> tuple[float, float]:
    """Between which shares the true one lies, that sure, when it happened so often of so many."""
    if of == 0:
        return 0.0, 1.0
    rest = 0.5 * (1.0 - sure)
    low = float(beta.ppf(rest, count, of - count + 1)) if count else 0.0
    high = float(beta.ppf(1.0 - rest, count + 1, of - count)) if count < of else 1.0
    return low, high


def share(count: int, of: int) -> str:
    """A count with its share and what that may be, in per cent."""
    low, high = bounds(count, of)
    return f"{count} of {of} ({100 * count / max(of, 1):.1f} %, 95 of 100 sure {100 * low:.1f} to {100 * high:.1f})"


def report(name: str, found: Sequence[Drummed]) -> None:
    """The lines of the table for one set of drums."""
    if not found:
        return
    outcomes = [outcome for drum in found for outcome in drum.outcomes]
    steps = [step for drum in found for step in drum.steps]
    able = [outcome for outcome in outcomes if outcome.reachable]
    print(f"{name}: {len(found)} drums, seeds {_seeds(found)}")
    for what, chosen in (("all tongues", outcomes), ("those that can sound their notes", able)):
        if not chosen:
            continue
        bores = [one.bores for one in chosen]
        print(
            f"    {what}: {len(chosen)}; bores median {np.median(bores):.1f}, mean {np.mean(bores):.1f}, 90 of 100 "
            f"within {np.percentile(bores, 90, method='higher'):.0f}, most {max(bores)}; steps that are no bores "
            f"{sum(o.otherwise for o in chosen)}; wood {np.mean([o.removed_cm3 for o in chosen]):.1f} cm³ each\n"
            f"      outside on the far side {share(sum(o.overshot for o in chosen), len(chosen))}\n"
            f"      not reached {share(sum(not o.reached for o in chosen), len(chosen))}"
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
        f"{sum(drum.seconds for drum in found) / max(len(steps), 1):.1f} s of processor time a step",
        flush=True,
    )


def _seeds(found: Sequence[Drummed]) -> str:
    """The seeds as spans: 1-3, 7."""
    seeds = sorted({drum.seed for drum in found})
    starts = [seed for seed in seeds if seed - 1 not in seeds]
    ends = [seed for seed in seeds if seed + 1 not in seeds]
    return ", ".join(f"{a}-{b}" if b > a else f"{a}" for a, b in zip(starts, ends, strict=True))


def table(found: Sequence[Drummed]) -> None:
    """For each nature and way: each design by itself, then all."""
    sets = dict.fromkeys((drum.kind, drum.bottom, drum.way) for drum in found)
    for kind, bottom, way in sets:
        alike = [drum for drum in found if (drum.kind, drum.bottom, drum.way) == (kind, bottom, way)]
        names = list(dict.fromkeys(drum.design for drum in alike))
        for name in names if len(names) > 1 else ():
            report(f"{name}, {kind}, bottom {bottom}, {way}", [drum for drum in alike if drum.design == name])
        report(f"ALL {len(names)} designs, {kind}, bottom {bottom}, {way}", alike)


def main() -> None:
    """Print the table of some files."""
    options = argparse.ArgumentParser(description="The table of virtual drums that were kept.")
    options.add_argument("files", type=Path, nargs="+")
    table(kept(options.parse_args().files))


if __name__ == "__main__":
    main()
