"""How long a maker waits for each command, on an idle machine.

Run `python benchmarks/times.py`, or parts of it: `--only six ten`. Each command is run as a maker runs it, in a
process of its own, one after the other as a drum is made: `new`, `fit`, `modes`, then the bench. Wall time (the best
of some rounds where a command can be asked the same again), processor time of the command and its children, and the
memory of its largest process. Beside each stands its wall time as a multiple of one bare solve of the same drum,
measured in the same run in one process without imports: a machine half as quick has the same multiples. What a goal
allows is named, and whether it is kept.
"""

from __future__ import annotations

import argparse
import compileall
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import kerftone

KERFTONE = (sys.executable, "-m", "kerftone")
BARE = """
import sys, time
from pathlib import Path
from kerftone.drum.file import read_drum
from kerftone.modal.solve import solve
drum = read_drum(Path(sys.argv[1]))
found = []
for _ in range(3):
    began = time.perf_counter()
    solve(drum)
    found.append(time.perf_counter() - began)
print(min(found))
"""
DRUMS = {
    "six": ("--notes", "C4 D4 E4 G4 A4 C5", "--wood", "walnut, black", "--units", "in"),
    "ten": ("--notes", "G3 A3 B3 C4 D4 E4 G4 A4 B4 D5", "--wood", "cherry"),
    "twelve": ("--notes", "C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 G4 A4", "--wood", "maple, sugar"),
}
GOALS_S = {
    "six": {
        "fit": 8.0,
        "modes cold": 2.0,
        "modes again": 1.5,
        "hear": 1.5,
        "next cold": 5.0,
        "after a bore": 1.5,
    },
    "ten": {"fit": 25.0, "next cold": 8.0, "after a bore": 2.5},
    "twelve": {},
}
MOST_MB = 2000
FLAT_CENTS = 12.0
"""How far each tongue is heard below its model."""


@dataclass(frozen=True)
class Spent:
    """Seconds of the clock and of all processors, MB of the largest process, and what was said."""

    wall: float
    processor: float
    megabytes: float
    said: str


def run(*words: str | Path) -> Spent:
    """Run a command and wait for it; ends this script if it fails."""
    began = time.perf_counter()
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
        child = subprocess.Popen([*KERFTONE, *map(str, words)], stdout=out, stderr=err)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        wall = time.perf_counter() - began
        out.seek(0)
        err.seek(0)
        if child.returncode:
            sys.exit(f"{' '.join(map(str, words))} ended with {child.returncode}:\n{err.read()}")
        return Spent(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, out.read())


def best(rounds: int, *words: str | Path, without: Sequence[Path] = ()) -> Spent:
    """The quickest of some rounds, these folders taken away before each."""
    found = []
    for _ in range(rounds):
        for folder in without:
            shutil.rmtree(folder, ignore_errors=True)
        found.append(run(*words))
    return min(found, key=lambda spent: spent.wall)


class Sheet:
    """What was measured of one drum, told as soon as its bare solve is known."""

    def __init__(self, title: str) -> None:
        self.title, self.bare = title, 0.0
        self.waiting: list[tuple[str, Spent]] = []

    def add(self, name: str, spent: Spent) -> None:
        """Tell one measure, and those that waited."""
        self.waiting.append((name, spent))
        if self.bare:
            for one in self.waiting:
                self._show(*one)
            self.waiting.clear()

    def compare_with(self, bare: float) -> None:
        """From now on measures are told beside a bare solve of so many seconds."""
        self.bare = bare
        print(f"{self.title} tongues; one bare solve {bare:.2f} s")

    def _show(self, name: str, spent: Spent) -> None:
        goal = GOALS_S[self.title].get(name)
        kept = "" if goal is None else f"; goal {goal:g} s, {'kept' if spent.wall <= goal else 'MISSED'}"
        large = "" if spent.megabytes <= MOST_MB else f", MORE than {MOST_MB}"
        print(
            f"  {name}: {spent.wall:.2f} s ({spent.processor:.1f} s of processor), "
            f"{spent.wall / self.bare:.1f} bare solves, {spent.megabytes:.0f} MB{large}{kept}",
            flush=True,
        )


def measure(title: str, room: Path, rounds: int) -> None:
    """One drum from its notes to its second bore."""
    sheet, drum = Sheet(title), room / title
    solved, bench = drum / "solved.cache", drum / "bench.cache"
    sheet.add("new", run("new", drum, *DRUMS[title]))
    sheet.add("fit", run("fit", drum))
    bare = subprocess.run(
        [sys.executable, "-c", BARE, str(drum / "drum.toml")], capture_output=True, text=True, check=True
    )
    sheet.compare_with(float(bare.stdout))
    sheet.add("modes after fit", best(rounds, "modes", drum))
    sheet.add("modes cold", best(rounds, "modes", drum, without=[solved]))
    sheet.add("modes again", best(rounds, "modes", drum))
    sheet.add("hear", best(rounds, "hear", drum, "-o", room / "drum.wav"))
    tongues = json.loads(run("modes", "--json", drum).said)["tongues"]
    sheet.add("bench start", run("bench", "start", drum))
    for number, tongue in enumerate(tongues, start=1):
        heard = tongue["hz"] * 2.0 ** (-FLAT_CENTS / 1200.0)
        run("bench", "tap", "--tongue", str(number), "--hz", f"{heard:.2f}", drum)
    sheet.add("next cold", best(rounds, "bench", "next", drum, without=[bench]))
    sheet.add("next again", best(rounds, "bench", "next", drum))
    advice = json.loads(run("bench", "next", "--json", drum).said)
    if advice["action"] == "bore":
        tongue = str(advice["tongue"])
        lengths = {
            "--bit": "bit_mm",
            "--depth": "depth_mm",
            "--from-root": "from_root_mm",
            "--from-edge": "from_edge_mm",
        }
        sizes = [word for option, key in lengths.items() for word in (option, f"{advice[key]:.2f} mm")]
        run("bench", "bore", "--tongue", tongue, *sizes, "--sure", drum)
        hz = advice["now_hz"] * 2.0 ** (advice["expected_cents"] / 1200.0)
        run("bench", "tap", "--tongue", tongue, "--hz", f"{hz:.2f}", "--sure", drum)
        sheet.add("after a bore", run("bench", "next", drum))


def main() -> None:
    """Print how long each command takes."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--only", nargs="+", choices=tuple(DRUMS), default=["six", "ten"])
    options.add_argument("--rounds", type=int, default=2)
    given = options.parse_args()
    # As an installer does; a checkout's source may be compiled anew at each start, which takes a quarter of a second.
    compileall.compile_dir(Path(kerftone.__file__).parent, quiet=1)
    loads = ", ".join(f"{load:.1f}" for load in os.getloadavg())
    print(f"{len(os.sched_getaffinity(0))} processors, load before the start {loads}")
    with tempfile.TemporaryDirectory() as name:
        for title in given.only:
            measure(title, Path(name), given.rounds)


if __name__ == "__main__":
    main()
