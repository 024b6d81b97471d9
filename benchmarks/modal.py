"""How long a drum takes to solve, where the time goes, how it grows, and how CalculiX does on the same drum.

Run `python benchmarks/modal.py` on an otherwise idle machine, or parts of it: `--only time growth calculix`.
Results go to stdout. Errors are against tests/reference/modes.json, known to about 1 cent; no error below
that is claimed. CalculiX is run here and now on a few meshes; a run that takes over four minutes is stopped.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np

import calculix
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum, read_drum
from kerftone.modal import solve as room
from kerftone.modal.frame import assemble
from kerftone.modal.space import Blocks, Inverse, Space
from kerftone.tune.fit import fit

ROOT = Path(__file__).parents[1]
REFERENCE = ROOT / "tests" / "reference" / "modes.json"
EXAMPLE = ROOT / "examples" / "brook" / "drum.toml"
COUNT = 20
"""Modes asked for, of our solver and of CalculiX alike."""
COMPARED = 8
"""Errors are the median over this many of the lowest modes."""
REFERENCE_CENTS = 1.0
"""How well the reference modes are known themselves."""
ASKED_CENTS = 5.0
"""The largest error a mode may have."""
MESHES_MM = (25.0, 18.0, 12.5)
"""Longest sides of the tetrahedra that CalculiX is given."""

PIECES: dict[str, tuple[tuple[Any, str], ...]] = {
    "mesh": ((room, "plan"), (room, "build"), (room.ng, "Mesh")),
    "assemble": (
        (Space, "__init__"),
        (Blocks, "__init__"),
        (Space, "mass"),
        (room, "strike_loads"),
        (room, "sweep_loads"),
    ),
    "factor": ((Inverse, "__init__"),),
    "eigenpairs": ((room, "lanczos"), (room, "refine"), (room, "extrapolate")),
}
"""The public pieces of a solve, by what they are for. None of them calls another."""


@dataclass(frozen=True)
class Split:
    """Seconds of one solve, whole and by piece."""

    whole: float
    pieces: dict[str, float]
    unknowns: int

    def line(self) -> str:
        rest = self.whole - sum(self.pieces.values())
        parts = ", ".join(f"{name} {seconds:.2f}" for name, seconds in self.pieces.items())
        return f"{self.whole:.2f} s ({parts}, other {rest:.2f}), {self.unknowns} unknowns"


@contextmanager
def stopwatch() -> Iterator[dict[str, float]]:
    """Adds up the wall time spent in each piece while the context is open."""
    spent = dict.fromkeys(PIECES, 0.0)

    def timed(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **named: Any) -> Any:
            began = time.perf_counter()
            try:
                return call(*args, **named)
            finally:
                spent[name] += time.perf_counter() - began

        return wrapped

    patches = [
        mock.patch.object(owner, attribute, timed(name, getattr(owner, attribute)))
        for name, pieces in PIECES.items()
        for owner, attribute in pieces
    ]
    for patch in patches:
        patch.start()
    try:
        yield spent
    finally:
        for patch in patches:
            patch.stop()


def split(drum: Drum) -> tuple[Split, Any]:
    """Solve a drum with the stopwatch running; the modes too."""
    with stopwatch() as spent:
        began = time.perf_counter()
        modes = room.modes(drum, COUNT)
        whole = time.perf_counter() - began
    return Split(whole, dict(spent), modes.unknowns), modes


def best_of(drum: Drum, rounds: int) -> tuple[Split, Any]:
    """The quickest of several solves: the one the rest of the machine disturbed least."""
    return min((split(drum) for _ in range(rounds)), key=lambda pair: pair[0].whole)


def reference(name: str) -> tuple[Drum, Any]:
    """A drum with modes found without Kerftone."""
    drums = json.loads(REFERENCE.read_text("utf-8"))["drums"]
    entry = next(drum for drum in drums if drum["name"] == name)
    return parse_drum(entry["toml"]), np.array(entry["modes_hz"])


def error_cents(hz: Any, known: Any) -> float:
    """Median size of the error of the lowest modes."""
    return float(np.median(abs(1200.0 * np.log2(hz[:COMPARED] / known[:COMPARED]))))


def widened(drum: Drum, times: int) -> Drum:
    """The same drum with its rows repeated side by side, the board wider by as many rows."""
    rows = max(tongue.row or 0 for tongue in drum.tongues)
    pitch = (drum.top.width_mm - 2 * drum.slots.side_margin_mm) / rows
    tongues = tuple(
        replace(tongue, row=(tongue.row or 0) + again * rows)
        for again in range(times)
        for tongue in drum.tongues
    )
    width = drum.top.width_mm + (times - 1) * rows * pitch
    return replace(drum, tongues=tongues, top=replace(drum.top, width_mm=width))


def show_time(drums: dict[str, Drum], rounds: int) -> None:
    print(f"Wall time of `modes`, {COUNT} modes, best of {rounds}:")
    for name, drum in drums.items():
        print(f"  {name}: {best_of(drum, rounds)[0].line()}")


def show_fit(drum: Drum, rounds: int) -> Drum:
    """The time of a fit, and of one changed tongue put back into the drum; gives the fitted drum back."""
    began = time.perf_counter()
    found = fit(drum)
    seconds = time.perf_counter() - began
    print(f"`fit` of {drum.name}: {seconds:.1f} s, {found.full_solves} full solves")
    model = assemble(found.solution)
    lengths = [tongue.length_mm or 0.0 for tongue in found.drum.tongues]
    spent = []
    for step in range(1, 2 * rounds + 1):
        trial = found.drum.with_lengths((lengths[0] + 0.5 * step, *lengths[1:]))
        began = time.perf_counter()
        model = model.with_drum(trial)
        model.modes()
        spent.append(time.perf_counter() - began)
    print(f"  one changed tongue back in the drum: {min(spent):.2f} s at best, {max(spent):.2f} s at worst")
    return found.drum


def show_growth(rounds: int) -> None:
    drum, _ = reference("W1")
    print(f"Growth with the number of tongues, W1 made wider, best of {rounds}:")
    first: float | None = None
    for times in (1, 2, 4):
        wide = widened(drum, times)
        found, _ = best_of(wide, rounds)
        first = first or found.whole
        print(f"  {len(wide.tongues)} tongues: {found.line()}; {found.whole / first:.1f} times the first")


def power_law(x: list[float], y: list[float]) -> tuple[float, float]:
    """The factor and the exponent of the straight line through the points on a double logarithmic sheet."""
    exponent, factor = np.polyfit(np.log(x), np.log(y), 1)
    return float(np.exp(factor)), float(exponent)


def show_calculix(rounds: int, most_seconds: float) -> None:
    """Error and time of CalculiX on rising meshes, and how it compares."""
    drum, known = reference("W1")
    ours, modes = best_of(drum, rounds)
    our_error = error_cents(modes.hz, known)
    print(f"W1 against CalculiX, {COUNT} modes each, median error of the lowest {COMPARED}:")
    print(
        f"  ours: {our_error:.1f} cents in {ours.whole:.2f} s, meshing included, best of {rounds} "
        f"(CalculiX runs once a mesh), {ours.unknowns} unknowns"
    )
    if not calculix.available():
        print("  CalculiX is not installed (apt-get install calculix-ccx): skipped")
        return
    runs: list[tuple[calculix.Run, float]] = []
    for longest in MESHES_MM:
        mesh = calculix.tetrahedra(drum, longest_mm=longest)
        held = drum.box.stands == "held"
        try:
            found = calculix.run(
                mesh, calculix.woods(drum), held=held, count=COUNT, most_seconds=most_seconds
            )
        except calculix.CalculixError as error:
            print(f"  CalculiX, {longest:g} mm, {mesh.unknowns} unknowns: {error}")
            continue
        runs.append((found, error_cents(found.hz, known)))
        print(
            f"  CalculiX, {longest:g} mm, {found.unknowns} unknowns: {runs[-1][1]:.1f} cents in "
            f"{found.seconds:.1f} s, meshing left out"
        )
    if runs:
        finest, error = runs[-1]
        print(
            f"  measured: CalculiX takes {finest.seconds / ours.whole:.0f} times as long for {error:.1f} "
            f"cents as ours for {our_error:.1f}; at one and the same error the ratio is larger"
        )
    if len(runs) > 1:
        _extrapolated(runs, (ASKED_CENTS, max(our_error, REFERENCE_CENTS)), ours.whole)


def _extrapolated(runs: list[tuple[calculix.Run, float]], targets: tuple[float, ...], seconds: float) -> None:
    """What CalculiX would take for smaller errors, if both its laws went on as far as that."""
    unknowns = [float(found.unknowns) for found, _ in runs]
    factor, exponent = power_law(unknowns, [error for _, error in runs])
    cost, growth = power_law(unknowns, [found.seconds for found, _ in runs])
    print(f"  its error goes as unknowns to the {exponent:.2f}, its time as unknowns to the {growth:.2f}")
    print("  extrapolated by those laws, not measured, the further the less sure:")
    for target in targets:
        needed = (target / factor) ** (1.0 / exponent)
        there = cost * needed**growth
        print(
            f"    {target:.1f} cents would take it {needed / 1e6:.1f} million unknowns and "
            f"{there / 60:.0f} minutes, {there / seconds:.0f} times ours"
        )


def main() -> None:
    """Print what was asked for."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--only", nargs="+", choices=("time", "growth", "calculix"))
    options.add_argument(
        "--drum", type=Path, default=EXAMPLE, help="a drum.toml to time beside W1, W2 and W4"
    )
    options.add_argument("--rounds", type=int, default=3)
    options.add_argument("--most-seconds", type=float, default=240.0, help="for each run of CalculiX")
    given = options.parse_args()
    asked = given.only or ["time", "growth", "calculix"]
    loads = ", ".join(f"{load:.1f}" for load in os.getloadavg())
    print(f"{os.cpu_count()} cores, {platform.machine()}, load before the start {loads}")
    split(reference("W2")[0])  # libraries loaded and warm
    if "time" in asked:
        drums = {name: reference(name)[0] for name in ("W1", "W2", "W4")}
        drums |= {given.drum.parent.name or str(given.drum): show_fit(read_drum(given.drum), given.rounds)}
        show_time(drums, given.rounds)
    if "growth" in asked:
        show_growth(max(1, given.rounds - 1))
    if "calculix" in asked:
        show_calculix(given.rounds, given.most_seconds)


if __name__ == "__main__":
    main()
