"""A whole drum with sound holes in air, by finite elements: the box, its cuts and holes, and the air all round.

Nothing of `kerftone.air` has a part in it but the motions of the wood that it is coupled to, which are the same.
Tetrahedra fill the cavity, the slots, the holes and the air outside to a sphere; on the sphere each spherical harmonic
up to `DEGREE` goes out exactly (Hankel functions), the higher ones as if at rest. With p = rho omega² phi,

    A(omega) phi = F a,     (Lambda - omega²) a = rho omega² F^T phi,

F what each motion of the wood pushes on every wet face. The answers to all of F and to all harmonics at a few
frequencies are the basis in which A is projected; the free motions are complex frequencies by Newton's method there.
Friction is a complex density in slots and holes. Prints the breathing with still wood, and with `--wood` the notes,
beside what `kerftone.air` says. Figures stand in docs/accuracy.md and tests/air/test_whole_with_holes.py.

    python benchmarks/air_elements.py none "left 40" "bottom 40" --order 3 --kerf-cells 1.0 --wood
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import netgen.occ as occ
import ngsolve as ng
import numpy as np
import scipy.linalg as sl
from scipy.special import jve, sph_harm_y, spherical_jn, spherical_yn
from shapely.geometry.polygon import orient

sys.path.insert(0, str(Path(__file__).parents[1]))

from kerftone.air.answer import in_air  # noqa: E402
from kerftone.air.breathing import breathing_at  # noqa: E402
from kerftone.air.coupled import coupled  # noqa: E402
from kerftone.air.medium import Medium  # noqa: E402
from kerftone.air.notes_in_air import tongues_in_air  # noqa: E402
from kerftone.air.place import BottomState, place_of  # noqa: E402
from kerftone.air.poles import poles as own_poles  # noqa: E402
from kerftone.air.wood import still  # noqa: E402
from kerftone.drum.design import Drum, SoundHole  # noqa: E402
from kerftone.drum.outline import outline  # noqa: E402
from kerftone.drum.seat import depth_mm, inside_mm  # noqa: E402
from kerftone.drum.sound_holes import placed_holes  # noqa: E402
from kerftone.modal.notes import read_notes  # noqa: E402
from kerftone.modal.solve import solve  # noqa: E402
from kerftone.modal.surface import Motions, motions_of  # noqa: E402
from tests.air.conftest import known_case  # noqa: E402

AIR = Medium(density_kg_m3=1.2, speed_m_s=343.0, viscosity_pa_s=1.81e-5)
DEGREE = 6
BEYOND_MM = 60.0
"""The sphere lies so far beyond the drum's corners."""
BASIS_HZ = (140.0, 220.0, 300.0, 400.0)
"""Where the air's answers are taken into the basis."""
CAVITY_MM, OUTSIDE_MM = 40.0, 70.0
"""Longest sides of the tetrahedra there: a tenth of a wave at 500 Hz."""
HOLE_SIDES = 5.0
"""So many tetrahedra across a sound hole."""
GROWTH = 0.35
"""How fast tetrahedra grow away from the slots (netgen's grading)."""
SKIN_MM = 0.02
LEAST = 1e-11
"""Answers that add less than this share to the basis are left out."""
Array = np.ndarray[Any, Any]


def clock(word: str, begun: float) -> None:
    """Say how long something took."""
    print(f"    {word}: {time.time() - begun:.0f} s", flush=True)


def air_mesh(drum: Drum, cells: float) -> tuple[ng.Mesh, Array, float]:
    """The air as tetrahedra in mm, the middle of the sphere, its radius. cells: how many across a slot."""
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    u0, v0, u1, v1 = drawn.wall_inner.bounds
    top, deep, high = drum.top.thickness_mm, depth_mm(drum), inside_mm(drum)
    middle = np.array([0.5 * (x0 + x1), 0.5 * (y0 + y1), 0.5 * (top - deep)])
    radius = float(np.linalg.norm([x1 - x0, y1 - y0, top + deep])) / 2.0 + BEYOND_MM
    box = occ.Box(occ.Pnt(x0, y0, -deep), occ.Pnt(x1, y1, top))
    outside = occ.Sphere(occ.Pnt(*middle), radius) - box
    outside.mat("outside").maxh = OUTSIDE_MM
    for face in outside.faces:
        face.name = "far" if face.mass > 2.0 * math.pi * radius**2 else "wet"
    cavity = occ.Box(occ.Pnt(u0, v0, -high), occ.Pnt(u1, v1, 0.0))
    cavity.mat("cavity").maxh = CAVITY_MM
    parts = [outside, cavity]
    for piece in getattr(drawn.removed, "geoms", [drawn.removed]):
        ring = list(orient(piece.simplify(1e-6)).exterior.coords)[:-1]
        assert not piece.interiors
        plan = occ.WorkPlane(occ.Axes((0, 0, 0), n=occ.Z, h=occ.X)).MoveTo(*ring[0])
        for spot in ring[1:]:
            plan = plan.LineTo(*spot)
        cut = plan.Close().Face().Extrude(top)
        cut.mat("slot").maxh = drum.slots.kerf_mm / cells
        parts.append(cut)
    for number, placed in enumerate(placed_holes(drum)):
        hole = placed.hole
        into = {"bottom": (0, 0, 1), "left": (1, 0, 0), "right": (-1, 0, 0), "front": (0, 1, 0)}
        way = into.get(hole.part, (0, -1, 0))
        long = deep - high if hole.part == "bottom" else drum.box.wall_mm
        plug = occ.Cylinder(occ.Pnt(*placed.at_mm), occ.Vec(*way), 0.5 * hole.diameter_mm, long)
        plug.mat(f"hole{number}").maxh = hole.diameter_mm / (HOLE_SIDES * cells)
        parts.append(plug)
    glued = occ.Glue(parts)
    shape = occ.OCCGeometry(glued)
    mesh = ng.Mesh(shape.GenerateMesh(maxh=OUTSIDE_MM, grading=GROWTH / cells))
    mesh.Curve(3)
    return mesh, middle, radius


@dataclass
class Faces:
    """Points of a quadrature over faces of the mesh: points, weights, normals out of the air, and for each the
    numbers and the values of the shape functions."""

    points: Array
    weights: Array
    normals: Array
    unknowns: list[Array]
    shapes: list[Array]

    def load(self, values: Array, size: int) -> Array:
        """The integrals of these values (points, n) times each shape function (size, n)."""
        found = np.zeros((size, values.shape[1]))
        weighted = self.weights[:, None] * values
        start = 0
        for numbers, shape in zip(self.unknowns, self.shapes, strict=True):
            stop = start + len(shape)
            np.add.at(found, numbers, shape.T @ weighted[start:stop])
            start = stop
        return found


def faces_of(space: Any, order: int) -> dict[str, Faces]:
    """The wet faces and the sphere. A face between two tetrahedra is neither."""
    mesh = space.mesh
    rule = ng.IntegrationRule(ng.TRIG, 2 * order + 1)
    lots: dict[str, tuple[list[Any], ...]] = {name: ([], [], [], [], []) for name in ("wet", "far")}
    centre = {}
    for element in space.Elements(ng.BND):
        face = mesh[element.faces[0]]
        both = face.elements
        if len(both) != 1:
            continue
        name = "far" if element.mat == "far" else "wet"
        trafo = element.GetTrafo()
        whole = mesh[both[0]]
        if both[0].nr not in centre:
            centre[both[0].nr] = np.mean([mesh[v].point for v in whole.vertices], axis=0)
        shape_of = space.GetFE(element)
        points, weights, normals, numbers, shapes = lots[name]
        rows = []
        for point in rule:
            mapped = trafo(point)
            at, jacobian = np.array(mapped.point), np.array(mapped.jacobi)
            across = np.cross(jacobian[:, 0], jacobian[:, 1])
            size = float(np.linalg.norm(across))
            normal = across / size
            if normal @ (at - centre[both[0].nr]) < 0.0:
                normal = -normal
            points.append(at)
            weights.append(point.weight * size)
            normals.append(normal)
            rows.append(np.array(shape_of.CalcShape(*point.point[:2])))
        numbers.append(np.array(list(element.dofs)))
        shapes.append(np.array(rows))
    return {
        name: Faces(np.array(p), np.array(w), np.array(n), numbers, shapes)
        for name, (p, w, n, numbers, shapes) in lots.items()
    }


def harmonics(points: Array, middle: Array) -> Array:
    """Real orthonormal spherical harmonics, (points, (DEGREE + 1)²)."""
    away = points - middle
    theta = np.arccos(away[:, 2] / np.linalg.norm(away, axis=1))
    phi = np.arctan2(away[:, 1], away[:, 0])
    rows = []
    for n in range(DEGREE + 1):
        for m in range(-n, n + 1):
            y = sph_harm_y(n, abs(m), theta, phi)
            rows.append(y.real if m == 0 else math.sqrt(2.0) * (y.real if m > 0 else y.imag))
    return np.array(rows).T


DEGREES = np.concatenate([np.full(2 * n + 1, n) for n in range(DEGREE + 1)])


def slit(wide_m: float, omega: complex) -> complex:
    """How many times as heavy friction makes air between two close walls."""
    z = 0.5 * wide_m * np.sqrt(-1j * omega * AIR.density_kg_m3 / AIR.viscosity_pa_s)
    return complex(1.0 / (1.0 - np.tanh(z) / z))


def pipe(wide_m: float, omega: complex) -> complex:
    """The same in a round pipe."""
    z = 0.5 * wide_m * np.sqrt(1j * omega * AIR.density_kg_m3 / AIR.viscosity_pa_s)
    return complex(1.0 / (1.0 - 2.0 * jve(1, z) / (z * jve(0, z))))


@dataclass
class Air:
    """The projected air, in metres. k: stiffness by material; widths: of the slots and holes, m."""

    k: dict[str, Array]
    widths: dict[str, float]
    m: Array
    sphere: Array
    c: Array
    pushed: Array
    radius: float
    cavity: Array
    unknowns: int
    friction: bool = False

    def at(self, omega: complex, sphere_at: complex | None = None) -> Array:
        """A(omega); with the sphere as at another frequency, and less k² M, if that is given."""
        at = sphere_at or omega
        k = at / AIR.speed_m_s
        z = k * self.radius
        h = spherical_jn(DEGREES, z) + 1j * spherical_yn(DEGREES, z)
        dh = spherical_jn(DEGREES, z, derivative=True) + 1j * spherical_yn(DEGREES, z, derivative=True)
        higher = (DEGREE + 2) / self.radius
        low = (-(k * dh / h) - higher) / self.radius**2
        whole = sum(part / self._heavier(name, at) for name, part in self.k.items())
        whole = whole + higher * self.sphere + (self.c.T * low) @ self.c
        return np.asarray(whole if sphere_at is not None else whole - k**2 * self.m)

    def _heavier(self, name: str, omega: complex) -> complex:
        if not self.friction or name not in self.widths:
            return 1.0
        return (slit if name == "slot" else pipe)(self.widths[name], omega)


def projected(drum: Drum, motions: Motions | None, order: int, cells: float) -> Air:
    """The air of this drum in the basis of its answers."""
    begun = time.time()
    mesh, middle, radius = air_mesh(drum, cells)
    space = ng.H1(mesh, order=order)
    clock(f"mesh: {mesh.ne} tetrahedra, {space.ndof} unknowns", begun)
    begun = time.time()
    faces = faces_of(space, order)
    area = float(faces["far"].weights.sum()) / (4.0 * math.pi * radius**2)
    c = faces["far"].load(harmonics(faces["far"].points, middle), space.ndof)
    pushed = np.zeros((space.ndof, 0))
    if motions is not None:
        wet = faces["wet"]
        moved = motions.at(_into_wood(drum, wet.points + SKIN_MM * wet.normals))
        normal = (moved * wet.normals).sum(axis=2).T
        pushed = wet.load(normal, space.ndof)
    clock(f"faces: {len(faces['wet'].weights)} wet points, sphere {area - 1.0:+.1e}", begun)
    u, v = space.TnT()
    names = list(dict.fromkeys(mesh.GetMaterials()))

    def assembled(form: Any) -> Any:
        made = ng.BilinearForm(space, symmetric=True)
        made += form
        return made.Assemble().mat

    begun = time.time()
    stiff = {
        name: assembled(ng.grad(u) * ng.grad(v) * ng.dx(definedon=mesh.Materials(name))) for name in names
    }
    mass, sphere = assembled(u * v * ng.dx), assembled(u * v * ng.ds(definedon=mesh.Boundaries("far")))
    cavity = ng.LinearForm(v * ng.dx(definedon=mesh.Materials("cavity"))).Assemble().vec.FV().NumPy().copy()
    drives = np.concatenate([pushed, c, cavity[:, None]], axis=1)
    basis = []
    for number, hz in enumerate((*BASIS_HZ, BASIS_HZ[-2])):
        k2 = (2.0 * math.pi * hz / AIR.speed_m_s * 1e-3) ** 2
        extra = 0.85 if number == len(BASIS_HZ) else 1.0
        u_, v_ = space.TnT()
        form = ng.BilinearForm(space, symmetric=True)
        slow = ng.CF([extra if name == "slot" or name.startswith("hole") else 1.0 for name in mesh.GetMaterials()])
        form += slow * ng.grad(u_) * ng.grad(v_) * ng.dx - k2 * u_ * v_ * ng.dx
        form += (DEGREE + 2) / radius * u_ * v_ * ng.ds(definedon=mesh.Boundaries("far"))
        form.Assemble()
        inverse = form.mat.Inverse(inverse="sparsecholesky")
        right, answer = form.mat.CreateColVector(), form.mat.CreateColVector()
        for drive in drives.T if number < len(BASIS_HZ) else drives[:, -1:].T:
            right.FV().NumPy()[:] = drive
            answer.data = inverse * right
            basis.append(answer.FV().NumPy().copy())
        del inverse, form
        clock(f"answers at {hz:.0f} Hz", begun)
    rows = np.array(basis)
    del basis
    rows /= np.linalg.norm(rows, axis=1)[:, None]
    rows = sl.qr(rows.T, mode="economic", pivoting=True, overwrite_a=True)
    keep = np.abs(np.diag(rows[1])) > LEAST * abs(rows[1][0, 0])
    rows = np.ascontiguousarray(rows[0][:, keep].T)

    def squeezed(matrix: Any) -> Array:
        right, left = matrix.CreateColVector(), matrix.CreateColVector()
        columns = np.empty_like(rows)
        for row, column in zip(rows, columns, strict=True):
            right.FV().NumPy()[:] = row
            left.data = matrix * right
            column[:] = left.FV().NumPy()
        found = rows @ columns.T
        return np.asarray(0.5 * (found + found.T))

    widths = {"slot": 1e-3 * drum.slots.kerf_mm}
    widths |= {f"hole{n}": 1e-3 * hole.diameter_mm for n, hole in enumerate(drum.sound_holes)}
    # unknowns stay those of shape functions of 1: lengths to metres
    found = Air(
        k={name: 1e-3 * squeezed(matrix) for name, matrix in stiff.items()},
        widths=widths,
        m=1e-9 * squeezed(mass),
        sphere=1e-6 * squeezed(sphere),
        c=1e-6 * (rows @ c).T,
        pushed=1e-6 * rows @ pushed,
        radius=1e-3 * radius,
        cavity=1e-9 * rows @ cavity,
        unknowns=space.ndof,
    )
    clock(f"projected on {len(rows)}", begun)
    return found


def _into_wood(drum: Drum, points: Array) -> Array:
    """The same points, none outside the solid: a face's points lie on chords where a hole is round."""
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    low = (x0 + SKIN_MM, y0 + SKIN_MM, SKIN_MM - depth_mm(drum))
    return np.clip(points, low, (x1 - SKIN_MM, y1 - SKIN_MM, drum.top.thickness_mm - SKIN_MM))


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
    return max(found, key=lambda one: abs(air.cavity @ one.shape) ** 2 / np.real(one.shape.conj() @ air.m @ one.shape))


def holed(drum: Drum, words: str) -> Drum:
    """The drum with these holes: 'left 40' or 'left 40 + bottom 20', each in the middle of its part; 'none'."""
    if words == "none":
        return drum
    each = [one.split() for one in words.split("+")]
    return replace(
        drum, sound_holes=tuple(SoundHole(part=p, diameter_mm=float(d)) for p, d in each)  # type: ignore[arg-type]
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
    parser.add_argument("--kerf-cells", type=float, default=1.0)
    parser.add_argument("--wood", action="store_true")
    parser.add_argument("--out")
    asked = parser.parse_args()
    drum = known_case(asked.case).drum
    ng.SetNumThreads(1)
    for words in asked.holes:
        told = report(drum, words, asked.order, asked.kerf_cells, asked.wood)
        if asked.out:
            with open(asked.out, "a", encoding="utf-8") as out:
                out.write(json.dumps(told) + "\n")


if __name__ == "__main__":
    main()
