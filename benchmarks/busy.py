"""How much longer a command takes when other processes keep the processors busy.

Run `python benchmarks/busy.py` on an otherwise idle machine, or parts of it: `--only modes fit next "next again"`.
Each command is run as a maker runs it, first alone and then beside busy processes (two of them) that this script
starts on the same processors (two of them), each time in a fresh copy of a drum made ready for it. Wall times are
the best of some rounds; processor times tell whether a command did more work or only waited. With two busy processes
on two processors a command that never waits and has one thread gets two thirds of a processor, one with two threads
a half of each: a ratio of 1.5 to 2 is fair, 3 is the most that is allowed.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
ALLOWED = 3.0
FLAT_CENTS = 12.0
"""How far each tongue was heard below its model when the bench was made ready."""
SPIN = "while True: pass"
KERFTONE = (sys.executable, "-m", "kerftone")


@dataclass(frozen=True)
class Case:
    """A command, and which of the folders made ready it is run in."""

    command: tuple[str, ...]
    folder: str


CASES = {
    "modes": Case(("modes",), "fitted"),
    "fit": Case(("fit",), "plain"),
    "next": Case(("bench", "next"), "tapped"),
    "next again": Case(("bench", "next"), "asked"),
}


@dataclass(frozen=True)
class Spent:
    """Seconds of one run: of the clock, and of all processors by the command and its children."""

    wall: float
    processor: float


def run(command: Sequence[str], folder: Path) -> Spent:
    """Run a command on the drum in a folder and wait for it; ends this script if it fails."""
    words = [*KERFTONE, *command, str(folder)]
    before, began = os.times(), time.perf_counter()
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    wall, after = time.perf_counter() - began, os.times()
    if done.returncode:
        sys.exit(f"{' '.join(words)} ended with {done.returncode}:\n{done.stderr}")
    used = after.children_user + after.children_system - before.children_user - before.children_system
    return Spent(wall, used)


@contextmanager
def busy(count: int) -> Iterator[None]:
    """So many processes that do nothing but keep a processor busy."""
    others = [subprocess.Popen([sys.executable, "-c", SPIN]) for _ in range(count)]
    try:
        time.sleep(1.0)
        yield
    finally:
        for other in others:
            other.kill()
            other.wait()


def made_ready(drum: Path, room: Path, wanted: set[str]) -> dict[str, Path]:
    """The folders that the wanted cases start from."""
    folders = {name: room / name for name in ("plain", "fitted", "tapped", "asked")}
    folders["plain"].mkdir()
    shutil.copy(drum, folders["plain"] / "drum.toml")
    if wanted <= {"fit"}:
        return folders
    shutil.copytree(folders["plain"], folders["fitted"])
    run(("fit",), folders["fitted"])
    if wanted <= {"fit", "modes"}:
        return folders
    shutil.copytree(folders["fitted"], folders["tapped"])
    said = subprocess.run(
        [*KERFTONE, "modes", "--json", str(folders["tapped"])], capture_output=True, text=True, check=True
    )
    run(("bench", "start"), folders["tapped"])
    for number, tongue in enumerate(json.loads(said.stdout)["tongues"], start=1):
        heard = tongue["hz"] * 2.0 ** (-FLAT_CENTS / 1200.0)
        run(("bench", "tap", "--tongue", str(number), "--hz", f"{heard:.2f}"), folders["tapped"])
    if "next again" in wanted:
        shutil.copytree(folders["tapped"], folders["asked"])
        run(("bench", "next"), folders["asked"])
    return folders


def best(case: Case, folders: dict[str, Path], room: Path, rounds: int) -> Spent:
    """The quickest of some rounds, each in a fresh copy of its folder."""
    found = []
    for _ in range(rounds):
        copy = room / "copy"
        shutil.copytree(folders[case.folder], copy)
        found.append(run(case.command, copy))
        shutil.rmtree(copy)
    return min(found, key=lambda spent: spent.wall)


def main() -> None:
    """Print how long each command takes alone and beside busy processes."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--only", nargs="+", choices=tuple(CASES), default=list(CASES))
    options.add_argument("--drum", type=Path, default=EXAMPLE)
    options.add_argument("--rounds", type=int, default=3)
    options.add_argument("--busy", type=int, default=2, help="how many busy processes")
    options.add_argument("--processors", type=int, default=2, help="for all of them together (Linux)")
    given = options.parse_args()
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, sorted(os.sched_getaffinity(0))[: given.processors])
    loads = ", ".join(f"{load:.1f}" for load in os.getloadavg())
    print(f"{given.processors} processors, {given.busy} busy processes, load before the start {loads}")
    with tempfile.TemporaryDirectory() as name:
        room = Path(name)
        folders = made_ready(given.drum, room, set(given.only))
        for title in given.only:
            alone = best(CASES[title], folders, room, given.rounds)
            with busy(given.busy):
                beside = best(CASES[title], folders, room, given.rounds)
            ratio = beside.wall / alone.wall
            print(
                f"  {title}: {alone.wall:.1f} s alone ({alone.processor:.1f} s of processor), {beside.wall:.1f} s "
                f"beside busy ones ({beside.processor:.1f} s of processor): {ratio:.1f} times as long"
                + ("" if ratio <= ALLOWED else f", more than the {ALLOWED:g} allowed"),
                flush=True,
            )


if __name__ == "__main__":
    main()
