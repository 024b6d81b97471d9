"""A whole drum with sound holes in air, by finite elements, beside what `kerftone.air` says of it.

Prints the breathing with still wood and, with `--wood`, the notes in air: how far air moves each, its Q, its power.
The air is that of `air_elements.py`; what both share is the motions of the wood in vacuo. Figures stand in
docs/accuracy.md and tests/air/test_whole_with_holes.py.

    python benchmarks/whole_air.py none "left 40" "bottom 40" --order 3 --cells 0.5 --wood
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import ngsolve as ng
import numpy as np
import scipy.linalg as sl

from air_elements import AIR, Air, Array, projected

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.air.conftest import known_case

from kerftone.air.answer import in_air
from kerftone.air.breathing import breathing_at
from kerftone.air.coupled import coupled
from kerftone.air.notes_in_air import tongues_in_air
from kerftone.air.place import BottomState, place_of
from kerftone.air.poles import poles as own_poles
from kerftone.air.wood import still
from kerftone.drum.design import Drum, SoundHole
from kerftone.modal.notes import read_notes
from kerftone.modal.solve import solve
from kerftone.modal.surface import Motions, motions_of


@dataclass
class Found:
    """One free motion: exp(-i omega t), and its shape in wood and air, of unit mass."""

    omega: complex
    shape: Array

    @property
    def hz(self) -> float:
        return self.omega.real / (2.0 * math.pi)

    @property
    def q(self) -> float:
        return self.omega.real / max(-2.0 * self.omega.imag, 1e-300)


def system(air: Air, squares: Array, omega: complex) -> Array:
    """The symmetric matrix that has no inverse where the motion is free."""
    n, size, load = len(squares), len(squares) + len(air.m), AIR.density_kg_m3 * omega**2
    whole = np.zeros((size, size), dtype=complex)
    whole[:n, :n] = np.diag(squares - omega**2)
    whole[:n, n:], whole[n:, :n] = -load * air.pushed[:, :n].T, -load * air.pushed[:, :n]
    whole[n:, n:] = load * air.at(omega)
    return whole


def free_motions(air: Air, squares: Array, near_hz: float, up_to_hz: float) -> list[Found]:
    """All of them with a Q above 2."""
    n, size, rho = len(squares), len(squares) + len(air.m), AIR.density_kg_m3
    stiff, mass = np.zeros((size, size), dtype=complex), np.zeros((size, size), dtype=complex)
    stiff[:n, :n], mass[:n, :n] = np.diag(squares), np.eye(n)
    mass[:n, n:] = rho * air.pushed[:, :n].T
    stiff[n:, :n] = -air.pushed[:, :n]
    stiff[n:, n:] = air.at(2.0 * math.pi * near_hz, sphere_at=2.0 * math.pi * near_hz)
    mass[n:, n:] = air.m / AIR.speed_m_s**2
    values, shapes = sl.eig(stiff, mass)
    found: list[Found] = []
    for value, shape in zip(values, shapes.T, strict=True):
        guess = complex(np.sqrt(value))
        if not 20.0 < guess.real / (2.0 * math.pi) < up_to_hz or guess.real < -4.0 * guess.imag:
            continue
        one = _refined(air, squares, guess, shape)
        if one and one.q > 2.0 and not any(abs(one.omega / other.omega - 1.0) < 1e-7 for other in found):
            found.append(one)
    return sorted(found, key=lambda one: one.hz)


def _refined(air: Air, squares: Array, guess: complex, shape: Array) -> Found | None:
    x, omega = shape.astype(complex), guess
    for _ in range(15):
        at = system(air, squares, omega)
        step = 1e-5 * abs(omega)
        slope = (system(air, squares, omega + step) - at) / step
        x = np.linalg.solve(at, slope @ x)
        x /= np.linalg.norm(x)
        change = (x @ at @ x) / (x @ slope @ x)
        omega = complex(omega - change)
        if abs(change) < 1e-8 * abs(omega):
            return Found(omega, x / np.sqrt(-(x @ slope @ x) / (2.0 * omega)))
    return None


def breathing(air: Air) -> Found:
    """With still wood: the motion that has most of an even pressure in the cavity."""
    none = np.zeros(0)
    found = free_motions(air, none, 300.0, 700.0)
    return max(
        found,
        key=lambda one: abs(air.cavity @ one.shape) ** 2 / np.real(one.shape.conj() @ air.m @ one.shape),
    )


def holed(drum: Drum, words: str) -> Drum:
    """The drum with these holes: 'left 40' or 'left 40 + bottom 20', each in the middle of its part; 'none'."""
    if words == "none":
        return drum
    each = [one.split() for one in words.split("+")]
    return replace(
        drum,
        sound_holes=tuple(SoundHole(part=p, diameter_mm=float(d)) for p, d in each),  # type: ignore[arg-type]
    )


def report(drum: Drum, words: str, order: int, cells: float, wood: bool) -> dict[str, Any]:
    """All that is asked of one drum, printed and returned."""
    print(f"{words}, order {order}, {cells:g} across a slot", flush=True)
    drum = holed(drum, words)
    solution = solve(drum, 20) if wood else None
    motions = motions_of(solution) if solution else None
    air = projected(drum, motions, order, cells)
    place = place_of(drum, BottomState.GLUED)
    ours = breathing_at(place, AIR)
    assert ours is not None
    own = coupled(place, AIR, np.zeros(0), still(place), up_to_hz=600.0)
    ours_rubbed = own_poles(replace(own, friction=True), near_hz=ours.hz, up_to_hz=700.0)[0]
    still_, rubbed = breathing(air), breathing(replace(air, friction=True))
    told: dict[str, Any] = {"holes": words, "order": order, "cells": cells, "unknowns": air.unknowns}
    told["breathing"] = {"hz": still_.hz, "q": still_.q, "rubbed_hz": rubbed.hz, "rubbed_q": rubbed.q}
    told["kerftone"] = {"hz": ours.hz, "q": ours.q, "rubbed_hz": ours_rubbed.hz, "rubbed_q": ours_rubbed.q}
    print(f"  still wood: {told['breathing']}\n  kerftone:   {told['kerftone']}", flush=True)
    if solution and motions:
        told["notes"], told["coupled"] = _notes(drum, solution, motions, air)
    return told


def _notes(drum: Drum, solution: Any, motions: Motions, air: Air) -> tuple[list[Any], dict[str, Any]]:
    found = free_motions(air, motions.squares, 280.0, 600.0)
    rubbed = free_motions(replace(air, friction=True), motions.squares, 280.0, 600.0)
    answer = in_air(solution, BottomState.GLUED, AIR)
    told = []
    n = len(motions.squares)
    for note, ours in zip(
        read_notes(drum, solution.modes()), tongues_in_air(drum, solution.modes(), answer), strict=True
    ):
        mine = max(found, key=lambda one: abs(one.shape[note.mode]))
        twin = max(rubbed, key=lambda one: abs(one.shape[note.mode]))
        strike = float(abs(motions.strike[note.number] @ mine.shape[:n]))
        power = 10.0 * math.log10(0.5 * strike**2 * 2.0 * math.pi * mine.hz / mine.q)
        one = {
            "vacuo": note.hz,
            "shift": 1200.0 * math.log2(mine.hz / note.hz),
            "q": mine.q,
            "db": power,
            "friction": 1200.0 * math.log2(twin.hz / mine.hz),
            "kerftone": [ours.shift_cents, ours.radiation_q, ours.power_db, ours.friction_cents],
        }
        told.append(one)
        print("  ", {k: np.round(v, 3).tolist() for k, v in one.items()}, flush=True)
    hz, q = answer.breathing_hz or 0.0, answer.breathing_q
    near = [(round(one.hz, 2), round(one.q, 2)) for one in found if abs(one.hz / hz - 1.0) < 0.15]
    print(f"  breathing with wood: kerftone {hz:.2f} Hz, Q {q:.2f}; here among {near}", flush=True)
    return told, {"kerftone": [hz, q], "near": near}


def main() -> None:
    """Print, and write with --out."""
    parser = argparse.ArgumentParser()
    parser.add_argument("holes", nargs="+")
    parser.add_argument("--case", default="Brook, bottom on")
    parser.add_argument("--order", type=int, default=3)
    parser.add_argument("--cells", type=float, default=1.0)
    parser.add_argument("--wood", action="store_true")
    parser.add_argument("--out")
    asked = parser.parse_args()
    drum = known_case(asked.case).drum
    ng.SetNumThreads(1)
    for words in asked.holes:
        told = report(drum, words, asked.order, asked.cells, asked.wood)
        if asked.out:
            with Path(asked.out).open("a", encoding="utf-8") as out:
                out.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main()
