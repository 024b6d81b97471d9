"""How well a tap test tells what a board is made of, and the notes of the drum that is cut from it.

Boards are drawn from the scatter of black cherry (shared stiffness and density as in `wood/species.py`, ratios as
in `wood/board.py`), measured with errors of 0.1 mm and 1 g, and tapped with 3 cents of noise: one tone, three, six,
and six with those that `kerftone board fit` then asks for. Invented boards, all of them: they show whether the fit
and its ± are honest, not what cherry is like. Their tones come from the same free-board model the fit uses; that
model is held against another program in the tests.

The drum: six notes on a board of the same thickness, its lengths fitted for the species' mean. Its notes on each
board are told to first order from the exact answers of each note to each constant and, by a second solve, to the
thickness; a few boards are solved in full for comparison. Only the top's wood varies: the box is known.

Run: OMP_NUM_THREADS=1 python benchmarks/identify.py [--boards 200] [--seed 3] [--drum FILE.npz] [--full 4]
The answers of the drum's notes are kept in FILE, and read from there when it is made.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.free_board import FreeTones, Name, free_tones
from kerftone.modal.notes import read_notes
from kerftone.modal.sensitivity import CONSTANTS, wood_gradients
from kerftone.modal.solve import solve
from kerftone.tune.begin import first_drum
from kerftone.tune.fit import fit
from kerftone.tune.identify import Identified, identify
from kerftone.tune.next_tone import NextTone
from kerftone.tune.spread import covariance
from kerftone.wood.board import Board, Motion, Tap
from kerftone.wood.elastic import Elastic
from kerftone.wood.species import find_species

SIZE_MM = np.array([430.0, 195.0, 16.4])
RULER_MM, SCALE_G, NOISE_CENTS = 0.1, 1.0, 3.0
THREE: tuple[tuple[Motion, int], ...] = (("along", 0), ("twisting", 0), ("across", 0))
SIX = (*THREE, ("along", 1), ("twisting", 1), ("across", 1))
STAGES = {"1": THREE[:1], "3": THREE, "6": SIX}
ASKED, MOST_ASKED = "asked", 3
"""The six and the tones that the fit then asks for, three at most."""
NOTES = ("D3", "F3", "G3", "A3", "C4", "D4")
WITHIN_90 = 1.6449
TOLD = {"e_l_gpa": "E_L", "e_t_gpa": "E across", "g_lt_gpa": "G", "g_rt_gpa": "G_RT"}


@dataclass(frozen=True)
class Drawn:
    """One invented board: what it is, its tones, and the board as its maker measured it."""

    true: Elastic
    tones: FreeTones
    measured: Board
    rng: np.random.Generator

    def tap(self, name: Name, motion: Motion) -> Tap:
        """What the maker hears of one motion."""
        hz = float(self.tones.hz[self.tones.names.index(name)])
        hz *= 2.0 ** (self.rng.normal(0.0, NOISE_CENTS) / 1200.0)
        return Tap(hz=hz, motion=motion, plus_minus_cents=NOISE_CENTS)

    def six(self) -> dict[tuple[Motion, int], Tap]:
        """Two tones of each kind; one that lies above the lowest fourteen is not tapped."""
        taps = {}
        for motion, number in SIX:
            places = [at for at, kind in enumerate(self.tones.kinds[:14]) if kind == motion]
            if number < len(places):
                taps[motion, number] = self.tap(self.tones.names[places[number]], motion)
        return taps

    def asked(self, further: NextTone) -> Tap:
        """What is heard when the board is held and tapped as told: the tone of that symmetry nearest the pitch."""
        fits = [at for at, (symmetry, _) in enumerate(self.tones.names) if symmetry == further.symmetry]
        near = min(fits, key=lambda at: abs(math.log(self.tones.hz[at] / further.hz)))
        motion: Motion = further.kind  # type: ignore[assignment]
        return self.tap(self.tones.names[near], motion)


@dataclass(frozen=True)
class Outcome:
    """What was found of one board with some of its tones; logarithms of found over true."""

    off: np.ndarray
    after: np.ndarray
    covariance: np.ndarray
    slip: float
    tones: int
    left_out: int
    found: Elastic


def logs(elastic: Elastic) -> np.ndarray:
    return np.array([math.log(getattr(elastic, name)) for name in CONSTANTS])


def plain_board() -> Board:
    length, width, thick = SIZE_MM
    return Board(
        species=find_species("cherry, black"),
        length_mm=float(length),
        width_mm=float(width),
        thickness_mm=float(thick),
        mass_g=1.0,
    )


def drawn(mean: Board, rng: np.random.Generator) -> Drawn:
    """A board's wood, one that a solid can have; the sizes and the mass as they were measured."""
    wood, spread = mean.species.elastic(), covariance(mean.scatter())
    while True:
        factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), spread))
        true = replace(wood, **{n: getattr(wood, n) * f for n, f in zip(CONSTANTS, factors, strict=True)})
        if true.is_stable():
            break
    tones = free_tones(size_mm=tuple(SIZE_MM), elastic=true, cut=mean.cut, count=24)
    size = SIZE_MM + rng.normal(0.0, RULER_MM, 3)
    mass = true.density_kg_m3 * float(np.prod(SIZE_MM)) * 1e-6 + rng.normal(0.0, SCALE_G)
    board = replace(mean, length_mm=size[0], width_mm=size[1], thickness_mm=size[2], mass_g=mass)
    return Drawn(true, tones, board, rng)


def outcome(one: Drawn, taps: Sequence[Tap]) -> tuple[Outcome, Identified]:
    found = identify(replace(one.measured, taps=tuple(taps)))
    result = Outcome(
        off=logs(found.found.elastic) - logs(one.true),
        after=np.array(found.after),
        covariance=np.array(found.found.covariance),
        slip=math.log(one.measured.thickness_mm / SIZE_MM[2]),
        tones=len(taps),
        left_out=sum(tone.kind is None for tone in found.tones),
        found=found.found.elastic,
    )
    return result, found


def tried(one: Drawn) -> dict[str, Outcome]:
    """One board tapped more and more."""
    taps, results = one.six(), {}
    for stage, wanted in STAGES.items():
        results[stage], found = outcome(one, [taps[tone] for tone in wanted if tone in taps])
    heard = list(taps.values())
    results[ASKED] = results["6"]
    for _ in range(MOST_ASKED):
        if found.further is None:
            break
        heard.append(one.asked(found.further))
        results[ASKED], found = outcome(one, heard)
    return results


def share(off: np.ndarray, spread: np.ndarray) -> str:
    """How many percent lie inside the 90 % interval."""
    return f"{100 * np.mean(abs(off) <= WITHIN_90 * spread):.0f} %"


def show_constants(results: list[dict[str, Outcome]]) -> None:
    print("Constants: error at the 90th percentile, and how many lie inside their 90 % interval")
    print("tones     " + "".join(f"{words:>20s}" for words in TOLD.values()) + "   tones left out")
    for stage in results[0]:
        some = [result[stage] for result in results]
        cells = []
        for name in TOLD:
            at = CONSTANTS.index(name)
            off = np.array([one.off[at] for one in some])
            after = np.array([one.after[at] for one in some])
            cells.append(f"{100 * np.quantile(abs(off), 0.9):.1f} %, {share(off, after)}")
        tones, left = sum(one.tones for one in some), sum(one.left_out for one in some)
        print(
            f"{stage_words(stage, some):10s}" + "".join(f"{c:>20s}" for c in cells) + f"   {left} of {tones}"
        )


def stage_words(stage: str, some: list[Outcome]) -> str:
    return f"{np.mean([one.tones for one in some]):.1f}" if stage == ASKED else stage


@dataclass(frozen=True)
class Answers:
    """How the drum's notes answer: cents per unit of each constant's logarithm, and of the thickness's."""

    wood: np.ndarray
    thickness: np.ndarray


def drum_of() -> Drum:
    return fit(unfitted()).drum


def hz_of(drum: Drum) -> np.ndarray:
    return np.array([note.hz for note in read_notes(drum, solve(drum).modes())])


def answers(kept: Path | None) -> tuple[Answers, Drum]:
    """The drum and its answers, kept in a file or worked out."""
    if kept is not None and kept.exists():
        data = np.load(kept)
        return Answers(data["wood"], data["thickness"]), laid_out(data["lengths_mm"], data["places"])
    drum = drum_of()
    solution = solve(drum)
    modes = [note.mode for note in read_notes(drum, solution.modes())]
    wood = wood_gradients(solution, modes)["top"]
    thicker = hz_of(replace(drum, top=replace(drum.top, thickness_mm=1.01 * drum.top.thickness_mm)))
    thickness = 1200.0 * np.log2(thicker / solution.hz[modes]) / math.log(1.01)
    if kept is not None:
        lengths = np.array([tongue.length_mm for tongue in drum.tongues])
        places = np.array([f"{tongue.row} {tongue.side}" for tongue in drum.tongues])
        np.savez(kept, wood=wood, thickness=thickness, lengths_mm=lengths, places=places)
    return Answers(wood, thickness), drum


def unfitted() -> Drum:
    """The drum of the study, of the boards' thickness."""
    drum = first_drum("Study", NOTES, "cherry, black")
    return replace(drum, top=replace(drum.top, thickness_mm=float(SIZE_MM[2])))


def laid_out(lengths_mm: np.ndarray, places: np.ndarray) -> Drum:
    """The same with lengths and places that were found before."""
    drum, tongues = unfitted(), []
    for tongue, mm, place in zip(drum.tongues, lengths_mm, places, strict=True):
        row, side = str(place).split()
        tongues.append(replace(tongue, length_mm=float(mm), row=int(row), side=side))  # type: ignore[arg-type]
    return replace(drum, tongues=tuple(tongues))


def show_notes(results: list[dict[str, Outcome]], trues: list[Elastic], told: Answers) -> None:
    print("How a note of the drum answers, mean of its notes:")
    means = zip(CONSTANTS, told.wood.mean(axis=0), strict=True)
    print("  " + ", ".join(f"{name} {value:.0f}" for name, value in means))
    print(f"  thickness {told.thickness.mean():.0f}")
    print()
    print(f"Notes of the drum, {len(results)} boards x {len(NOTES)} notes: predicted against true, cents")
    print("predicted from     median    90th pct    largest    inside the 90 % interval")
    mean = logs(plain_board().species.elastic())
    prior = covariance(plain_board().scatter())
    slips = [told.thickness * result["1"].slip for result in results]
    off = np.array([told.wood @ (mean - logs(t)) + slip for t, slip in zip(trues, slips, strict=True)])
    spread = np.sqrt(np.einsum("mi,ij,mj->m", told.wood, prior, told.wood))
    show_row("species mean", off, np.broadcast_to(spread, off.shape))
    for stage in results[0]:
        some = [result[stage] for result in results]
        off = np.array([told.wood @ one.off + told.thickness * one.slip for one in some])
        spread = np.sqrt([np.einsum("mi,ij,mj->m", told.wood, one.covariance, told.wood) for one in some])
        show_row(f"{stage_words(stage, some)} tones", off, spread)


def show_row(words: str, off: np.ndarray, spread: np.ndarray) -> None:
    size = abs(off)
    print(
        f"{words:15s} {np.median(size):9.1f} {np.quantile(size, 0.9):11.1f} {size.max():10.1f} "
        f"{share(off, spread):>19s}"
    )


def show_full(results: list[dict[str, Outcome]], trues: list[Elastic], drum: Drum) -> None:
    print()
    print(f"The same by full solves, {len(results)} boards with all tones: predicted against true, cents")
    for result, wood in zip(results, trues, strict=True):
        one = result[ASKED]
        true = hz_of(replace(drum, top=replace(drum.top, elastic=wood)))
        thick = float(SIZE_MM[2]) * math.exp(one.slip)
        told = hz_of(replace(drum, top=replace(drum.top, elastic=one.found, thickness_mm=thick)))
        print("  " + " ".join(f"{cents:+6.1f}" for cents in 1200.0 * np.log2(told / true)), flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--boards", type=int, default=200)
    parser.add_argument("--seed", type=int, default=3)
    parser.add_argument("--drum", type=Path, help="keep the answers of the drum's notes in this .npz file")
    parser.add_argument("--full", type=int, default=4, help="boards solved in full")
    asked = parser.parse_args()
    told, drum = answers(asked.drum)
    mean = plain_board()
    begun = time.process_time()
    trues, results = [], []
    for number in range(asked.boards):
        one = drawn(mean, np.random.default_rng([asked.seed, number]))
        trues.append(one.true)
        results.append(tried(one))
    spent = (time.process_time() - begun) / asked.boards
    print(
        f"{asked.boards} boards, seed {asked.seed}; {spent:.1f} s of computing a board, all its fits together"
    )
    show_constants(results)
    print()
    show_notes(results, trues, told)
    if asked.full:
        show_full(results[: asked.full], trues[: asked.full], drum)


if __name__ == "__main__":
    main()
