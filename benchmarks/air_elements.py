"""The air in and round a drum, by finite elements: the box, its cuts and sound holes, and the air outside.

Nothing of `kerftone.air` has a part in it. Tetrahedra fill the cavity, the slots, the holes and the air outside to a
sphere; on the sphere each spherical harmonic up to `DEGREE` goes out exactly (Hankel functions), the higher ones as
if at rest. With p = rho omega² phi,

    A(omega) phi = F a,     (Lambda - omega²) a = rho omega² F^T phi,

F what each motion of the wood pushes on every wet face. The answers to all of F and to all harmonics at a few
frequencies are the basis in which A is projected. Friction is a complex density in slots and holes. Asked by
`whole_air.py`.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from typing import Any

import netgen.occ as occ
import ngsolve as ng
import numpy as np
import scipy.linalg as sl
import shapely
from scipy.special import jve, sph_harm_y, spherical_jn, spherical_yn
from shapely.geometry.polygon import orient

from kerftone.air.medium import Medium
from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.seat import depth_mm, inside_mm
from kerftone.drum.sound_holes import placed_holes
from kerftone.modal.surface import Motions

AIR = Medium(density_kg_m3=1.2, speed_m_s=343.0, viscosity_pa_s=1.81e-5)
DEGREE = 6
BEYOND_MM = 60.0
"""The sphere lies so far beyond the drum's corners."""
BASIS_HZ, STILL_HZ = (140.0, 220.0, 300.0, 400.0), (260.0, 360.0)
"""Where the air's answers are taken into the basis: with moving wood, and for the breathing alone."""
RUBBED = 0.85
"""1 over how much heavier friction makes the air in the slots, for the basis alone."""
CAVITY_MM, OUTSIDE_MM = 40.0, 70.0
"""Longest sides of the tetrahedra there: a tenth of a wave at 500 Hz."""
HOLE_SIDES = 5.0
"""So many tetrahedra across a sound hole."""
GROWTH = 0.35
"""How fast tetrahedra grow away from the slots (netgen's grading)."""
SKIN_MM = 0.02
GRID_MM = 1e-4
LEAST = 1e-11
"""Answers that add less than this share to the basis are left out."""
Array = np.ndarray[Any, Any]


def clock(word: str, begun: float) -> None:
    """Say how long something took."""
    print(f"    {word}: {time.time() - begun:.0f} s", flush=True)


def cuts(drum: Drum) -> list[tuple[str, Any, float]]:
    """What is sawn out of the top: slots, and the wide gaps between tips; each with its name and its width in mm."""
    removed, kerf = shapely.set_precision(outline(drum).removed, GRID_MM), drum.slots.kerf_mm
    wide = removed.buffer(-0.6 * kerf, join_style="mitre").buffer(0.6 * kerf, join_style="mitre")
    wide = shapely.set_precision(wide, GRID_MM)
    narrow = removed.difference(wide)
    found = [(f"slot{n}", piece, kerf) for n, piece in enumerate(pieces(narrow)) if piece.area > 0.1]
    for gap in pieces(wide):
        ring = np.array(gap.minimum_rotated_rectangle.exterior.coords)
        found.append(
            (f"slot{len(found)}", gap, float(np.linalg.norm(np.diff(ring[:3], axis=0), axis=1).min()))
        )
    return found


def pieces(shape: Any) -> list[Any]:
    """The polygons of a shape."""
    return [one for one in getattr(shape, "geoms", [shape]) if one.area > 0.0]


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
    for name, piece, _ in cuts(drum):
        ring = list(orient(piece).exterior.coords)[:-1]
        assert not piece.interiors
        plan = occ.WorkPlane(occ.Axes((0, 0, 0), n=occ.Z, h=occ.X)).MoveTo(*ring[0])
        for spot in ring[1:]:
            plan = plan.LineTo(*spot)
        cut = plan.Close().Face().Extrude(top)
        cut.mat(name).maxh = drum.slots.kerf_mm / cells
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
        return (slit if name.startswith("slot") else pipe)(self.widths[name], omega)


def projected(drum: Drum, motions: Motions | None, order: int, cells: float) -> Air:
    """The air of this drum in the basis of its answers."""
    begun = time.time()
    mesh, middle, radius = air_mesh(drum, cells)
    space = ng.H1(mesh, order=order)
    clock(f"mesh: {mesh.ne} tetrahedra, {space.ndof} unknowns", begun)
    begun = time.time()
    faces = faces_of(space, order)
    far, wet = faces["far"], faces["wet"]
    area = float(far.weights.sum()) / (4.0 * math.pi * radius**2)
    c = far.load(harmonics(far.points, middle), space.ndof)
    pushed = np.zeros((space.ndof, 0))
    if motions is not None:
        moved = motions.at(_into_wood(drum, wet.points + SKIN_MM * wet.normals))
        pushed = wet.load((moved * wet.normals).sum(axis=2).T, space.ndof)
    clock(f"faces: {len(wet.weights)} wet points, sphere {area - 1.0:+.1e}", begun)
    begun = time.time()
    forms = Forms(space, radius)
    drives = np.concatenate([pushed, c, forms.cavity[:, None]], axis=1)
    rows = forms.basis(drives, STILL_HZ if motions is None else BASIS_HZ)
    widths = {name: 1e-3 * wide for name, _, wide in cuts(drum)}
    widths |= {f"hole{n}": 1e-3 * hole.diameter_mm for n, hole in enumerate(drum.sound_holes)}
    # phi stays a number at each node: lengths become metres
    found = Air(
        k={name: 1e-3 * squeezed(forms.stiff(name), rows) for name in forms.names},
        widths=widths,
        m=1e-9 * squeezed(forms.mass, rows),
        sphere=1e-6 * squeezed(forms.sphere, rows),
        c=1e-6 * (rows @ c).T,
        pushed=1e-6 * rows @ pushed,
        radius=1e-3 * radius,
        cavity=1e-9 * rows @ forms.cavity,
        unknowns=space.ndof,
    )
    clock(f"answers and projection on {len(rows)}", begun)
    return found


class Forms:
    """The weak forms on a mesh in mm."""

    def __init__(self, space: Any, radius: float) -> None:
        self.space, self.mesh = space, space.mesh
        self.names = list(dict.fromkeys(self.mesh.GetMaterials()))
        u, v = space.TnT()
        self.still, self.moving = ng.grad(u) * ng.grad(v), u * v
        self.far = (DEGREE + 2) / radius * self.moving * ng.ds(definedon=self.mesh.Boundaries("far"))
        self.mass = self._assembled(self.moving * ng.dx)
        self.sphere = self._assembled(self.moving * ng.ds(definedon=self.mesh.Boundaries("far")))
        load = ng.LinearForm(v * ng.dx(definedon=self.mesh.Materials("cavity"))).Assemble()
        self.cavity = load.vec.FV().NumPy().copy()

    def _assembled(self, what: Any) -> Any:
        form = ng.BilinearForm(self.space, symmetric=True)
        form += what
        return form.Assemble().mat

    def stiff(self, name: str) -> Any:
        """Of one part of the air."""
        return self._assembled(self.still * ng.dx(definedon=self.mesh.Materials(name)))

    def basis(self, drives: Array, at_hz: tuple[float, ...]) -> Array:
        """Orthonormal rows that hold the answers to all drives at these frequencies, and the cavity's once more with
        the air in slots and holes a fifth heavier, as friction makes it."""
        answers = [self._answers(drives, hz, 1.0) for hz in at_hz]
        answers.append(self._answers(drives[:, -1:], at_hz[-2], RUBBED))
        rows = np.concatenate(answers)
        del answers
        rows /= np.linalg.norm(rows, axis=1)[:, None]
        q, r, _ = sl.qr(rows.T, mode="economic", pivoting=True, overwrite_a=True)
        keep = np.abs(np.diag(r)) > LEAST * abs(r[0, 0])
        return np.ascontiguousarray(q[:, keep].T)

    def _answers(self, drives: Array, hz: float, give: float) -> Array:
        """The answers (drives, unknowns) at a real frequency, every harmonic of the sphere as if at rest."""
        k2 = (2.0 * math.pi * hz / AIR.speed_m_s * 1e-3) ** 2
        narrow = [name.startswith(("slot", "hole")) for name in self.mesh.GetMaterials()]
        share = ng.CF([give if one else 1.0 for one in narrow])
        matrix = self._assembled(share * self.still * ng.dx - k2 * self.moving * ng.dx + self.far)
        inverse = matrix.Inverse(inverse="sparsecholesky")
        right, answer = matrix.CreateColVector(), matrix.CreateColVector()
        found = np.empty((drives.shape[1], len(drives)))
        for row, drive in zip(found, drives.T, strict=True):
            right.FV().NumPy()[:] = drive
            answer.data = inverse * right
            row[:] = answer.FV().NumPy()
        return found


def squeezed(matrix: Any, rows: Array) -> Array:
    """What a sparse matrix is between the rows."""
    right, left = matrix.CreateColVector(), matrix.CreateColVector()
    columns = np.empty_like(rows)
    for row, column in zip(rows, columns, strict=True):
        right.FV().NumPy()[:] = row
        left.data = matrix * right
        column[:] = left.FV().NumPy()
    found = rows @ columns.T
    return np.asarray(0.5 * (found + found.T))


def _into_wood(drum: Drum, points: Array) -> Array:
    """The same points, none outside the solid: a face's points lie on chords where a hole is round."""
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    low = (x0 + SKIN_MM, y0 + SKIN_MM, SKIN_MM - depth_mm(drum))
    return np.clip(points, low, (x1 - SKIN_MM, y1 - SKIN_MM, drum.top.thickness_mm - SKIN_MM))
