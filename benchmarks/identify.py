"""How well a tap test tells what a board is made of, and the notes of the drum that is cut from it.

Boards are drawn from the scatter of black cherry (shared stiffness and density as in `wood/species.py`, ratios as
in `wood/board.py`), measured with errors of 0.1 mm and 1 g, and tapped for six tones with 3 cents of noise.
Invented boards, all of them: they show whether the fit and its ± are honest, not what cherry is like. Their tones
come from the same free-board model the fit uses; that model is held against another program in the tests.

The drum: six notes on a board of the same thickness, its lengths fitted for the species' mean. Its notes on each
board are told to first order from the exact answers of each note to each constant and, by a second solve, to the
thickness; a few boards are solved in full for comparison. Only the top's wood varies: the box is known.

Run: OMP_NUM_THREADS=1 python benchmarks/identify.py [boards]
"""

from __future__ import annotations

import math
import sys
import time
from dataclasses import dataclass, replace

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.free_board import free_tones
from kerftone.modal.notes import read_notes
from kerftone.modal.sensitivity import CONSTANTS, wood_gradients
from kerftone.modal.solve import solve
from kerftone.tune.begin import first_drum
from kerftone.tune.fit import fit
from kerftone.tune.identify import Identified, identify
from kerftone.tune.spread import covariance
from kerftone.wood.board import Board, Tap
from kerftone.wood.elastic import Elastic
from kerftone.wood.species import find_species

SIZE_MM = np.array([430.0, 195.0, 16.4])
RULER_MM, SCALE_G, NOISE_CENTS = 0.1, 1.0, 3.0
TAPPED = (("along", 0), ("along", 1), ("twisting", 0), ("twisting", 1), ("across", 0), ("across", 1))
"""Two tones of each kind: the second across tells the shear in the plane of the rings, on which notes depend."""
NOTES = ("D3", "F3", "G3", "A3", "C4", "D4")
WITHIN_90 = 1.6449
FULL = 4


@dataclass(frozen=True)
class Case:
    """One invented board: what it is, how thick it is, and what was found."""

    true: Elastic
    thickness_mm: float
    measured_mm: float
    found: Identified


def logs(elastic: Elastic) -> np.ndarray:
    return np.array([math.log(getattr(elastic, name)) for name in CONSTANTS])


def drawn(mean: Board, rng: np.random.Generator) -> Elastic:
    """A board's wood; one that no solid could have is drawn again."""
    wood = mean.species.elastic()
    while True:
        factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), covariance(mean.scatter())))
        true = replace(wood, **{n: getattr(wood, n) * f for n, f in zip(CONSTANTS, factors, strict=True)})
        if true.is_stable():
            return true


def case(mean: Board, rng: np.random.Generator) -> Case:
    true = drawn(mean, rng)
    tones = free_tones(size_mm=tuple(SIZE_MM), elastic=true, cut="flatsawn", count=14)
    taps = []
    for kind, number in TAPPED:
        places = [at for at, other in enumerate(tones.kinds) if other == kind]
        if number >= len(places):
            continue  # above the lowest fourteen: such a tone is not tapped
        hz = float(tones.hz[places[number]]) * 2.0 ** (rng.normal(0.0, NOISE_CENTS) / 1200.0)
        taps.append(Tap(hz=hz, motion=kind, plus_minus_cents=NOISE_CENTS))
    size = SIZE_MM + rng.normal(0.0, RULER_MM, 3)
    mass = true.density_kg_m3 * float(np.prod(SIZE_MM)) * 1e-6 + rng.normal(0.0, SCALE_G)
    board = replace(
        mean, length_mm=size[0], width_mm=size[1], thickness_mm=size[2], mass_g=mass, taps=tuple(taps)
    )
    return Case(true, float(SIZE_MM[2]), float(size[2]), identify(board))


def boards(count: int) -> tuple[Board, list[Case]]:
    rng = np.random.default_rng(3)
    mean = Board(
        species=find_species("cherry, black"),
        length_mm=SIZE_MM[0],
        width_mm=SIZE_MM[1],
        thickness_mm=SIZE_MM[2],
        mass_g=1.0,
    )
    return mean, [case(mean, rng) for _ in range(count)]


def show_constants(cases: list[Case]) -> None:
    print(f"{len(cases)} boards, up to {len(TAPPED)} tones each: true value against the one found")
    print("constant       median off   90th pct off   inside the 90 % interval")
    for name in ("e_l_gpa", "e_t_gpa", "g_lt_gpa"):
        at = CONSTANTS.index(name)
        off = np.array([logs(c.found.found.elastic)[at] - logs(c.true)[at] for c in cases])
        spread = np.array([c.found.after[at] for c in cases])
        inside = np.mean(abs(off) <= WITHIN_90 * spread)
        print(
            f"{name:12s} {100 * np.median(abs(off)):10.2f} % {100 * np.quantile(abs(off), 0.9):12.2f} % "
            f"{100 * inside:16.1f} %"
        )
    left = sum(tone.kind is None for c in cases for tone in c.found.tones)
    print(f"tones left out by the rule: {left} of {sum(len(c.found.tones) for c in cases)}")


def drum_of() -> Drum:
    drum = first_drum("Study", NOTES, "cherry, black")
    drum = replace(drum, top=replace(drum.top, thickness_mm=float(SIZE_MM[2])))
    return fit(drum).drum


def show_notes(mean: Board, cases: list[Case]) -> None:
    drum = drum_of()
    solution = solve(drum)
    modes = [note.mode for note in read_notes(drum, solution.modes())]
    rows = wood_gradients(solution, modes)["top"]
    thick = hz_of(replace(drum, top=replace(drum.top, thickness_mm=1.01 * drum.top.thickness_mm)))
    base = solution.hz[modes]
    by_thickness = 1200.0 * np.log2(thick / base) / math.log(1.01)
    errors = {"species mean": [], "tapped board": []}
    inside = []
    for c in cases:
        slip = by_thickness * math.log(c.measured_mm / c.thickness_mm)
        tapped = rows @ (logs(c.found.found.elastic) - logs(c.true)) + slip
        errors["species mean"].append(rows @ (logs(mean.species.elastic()) - logs(c.true)) + slip)
        errors["tapped board"].append(tapped)
        scatter = np.array(c.found.found.covariance)
        spread = np.sqrt(np.einsum("mi,ij,mj->m", rows, scatter, rows))
        inside.append(abs(tapped) <= WITHIN_90 * spread)
    print()
    print(f"Notes of the drum, {len(cases)} boards x {len(NOTES)} notes: predicted against true, cents")
    print("predicted from   median    90th pct    largest")
    for name, off in errors.items():
        size = abs(np.array(off))
        print(f"{name:14s} {np.median(size):8.1f} {np.quantile(size, 0.9):11.1f} {size.max():10.1f}")
    print(f"notes inside the 90 % interval of the tapped board: {100 * np.mean(inside):.1f} %")
    print()
    print(f"The same by full solves, {FULL} boards: tapped board predicted against true, cents")
    for c in cases[:FULL]:
        true = hz_of(replace(drum, top=replace(drum.top, elastic=c.true)))
        told = replace(drum.top, elastic=c.found.found.elastic, thickness_mm=c.measured_mm)
        print(
            "  "
            + " ".join(f"{cents:+6.1f}" for cents in 1200.0 * np.log2(hz_of(replace(drum, top=told)) / true))
        )


def hz_of(drum: Drum) -> np.ndarray:
    return np.array([note.hz for note in read_notes(drum, solve(drum).modes())])


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    begun = time.perf_counter()
    mean, cases = boards(count)
    show_constants(cases)
    print(f"({(time.perf_counter() - begun) / count:.1f} s a board)")
    show_notes(mean, cases)


if __name__ == "__main__":
    main()
