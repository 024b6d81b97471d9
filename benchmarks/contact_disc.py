"""How much of the wood's strain does a contact disc's ceramic have? By finite elements, to hold the springs against.

A quarter of a block of wood in pure bending, its face strained by 1, and on it the disc with the layers that its
mounting has: prisms of order 2, all layers in the mesh. What the disc changes is solved for, so that the far field is
exact. Prints for each mounting the ceramic's strain along plus across, block bent along and bent across the grain,
and what `sound/contact_disc.py` says, in dB beside it. The figures stand in tests/sound/test_contact_disc.py.

    python benchmarks/contact_disc.py
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import netgen.meshing as meshing
import ngsolve as ng
import numpy as np
from netgen.geom2d import SplineGeometry

from kerftone.sound import contact_disc as disc
from kerftone.wood import species_table
from kerftone.wood.elastic import Elastic

HALF_MM, FINE_MM, LAYERS = 45.0, 2.5, 8
LAYER_NU = 0.35
Domain = Callable[[int], str | None]


def quarter(ceramic_mm: float, brass_mm: float) -> Any:
    """The plan: the ceramic (1), the brass beyond it (2), the wood beyond that (3); radii in mm."""
    plan = SplineGeometry()
    spots = {
        "o": (0, 0), "a": (ceramic_mm, 0), "b": (brass_mm, 0), "c": (HALF_MM, 0), "d": (HALF_MM, HALF_MM),
        "e": (0, HALF_MM), "f": (0, brass_mm), "g": (0, ceramic_mm),
        "p": (ceramic_mm, ceramic_mm), "q": (brass_mm, brass_mm),
    }  # fmt: skip
    number = {name: plan.AppendPoint(*at) for name, at in spots.items()}
    for ends, domain in (
        ("oa", 1),
        ("ab", 2),
        ("bc", 3),
        ("cd", 3),
        ("de", 3),
        ("ef", 3),
        ("fg", 2),
        ("go", 1),
    ):
        plan.Append(["line", *(number[end] for end in ends)], leftdomain=domain, rightdomain=0)
    for ends, left, right in (("apg", 1, 2), ("bqf", 2, 3)):
        plan.Append(["spline3", *(number[end] for end in ends)], leftdomain=left, rightdomain=right)
    for domain, size in ((1, FINE_MM), (2, 0.5 * FINE_MM), (3, 2.0 * FINE_MM)):
        plan.SetDomainMaxH(domain, size)
    return plan.GenerateMesh(maxh=2.0 * FINE_MM, grading=0.3)


def prisms(plan: Any, heights: list[float], materials: list[Domain]) -> ng.Mesh:
    """The plan drawn up between these heights, each slice of what its material says for a domain; None: nothing."""
    mesh, points, names = meshing.Mesh(dim=3), {}, []
    spots = list(plan.Points())

    def point(number: int, level: int) -> Any:
        if (number, level) not in points:
            at = spots[number - 1].p
            points[number, level] = mesh.Add(meshing.MeshPoint(meshing.Pnt(at[0], at[1], heights[level])))
        return points[number, level]

    mesh.Add(meshing.FaceDescriptor(surfnr=1, domin=1, bc=1))
    for element in plan.Elements2D():
        corners = [getattr(corner, "nr", corner) for corner in element.vertices]
        for level, material in enumerate(materials):
            name = material(element.index)
            if name is None:
                continue
            if name not in names:
                names.append(name)
            both = [point(corner, at) for at in (level, level + 1) for corner in corners]
            mesh.Add(meshing.Element3D(names.index(name) + 1, both))
    for number, name in enumerate(names):
        mesh.SetMaterial(number + 1, name)
    return ng.Mesh(mesh)


def even(gpa: float, nu: float) -> Elastic:
    """A body alike in all directions."""
    shear = gpa / (2.0 * (1.0 + nu))
    return Elastic(
        e_l_gpa=gpa, e_r_gpa=gpa, e_t_gpa=gpa, g_lr_gpa=shear, g_lt_gpa=shear, g_rt_gpa=shear,
        nu_lr=nu, nu_lt=nu, nu_rt=nu, density_kg_m3=1.0,
    )  # fmt: skip


def stiffness(elastic: Elastic, cut: str) -> np.ndarray[Any, Any]:
    """(6, 6) in MPa: xx, yy, zz, yz, xz, xy, with x along the grain and z into the depth."""
    order = [0, 2, 1, 3, 5, 4] if cut == "flatsawn" else [0, 1, 2, 3, 4, 5]
    return 1e3 * elastic.stiffness()[np.ix_(order, order)]


def held(space: Any, mesh: ng.Mesh, thick_mm: float) -> ng.BitArray:
    """The unknowns that are free: the planes of symmetry keep to themselves, one far corner keeps its height."""
    free = ng.BitArray(space.ndof)
    free.Set()
    each = space.ndof // 3
    for axis in (0, 1):
        nodes = [(ng.VERTEX, v.nr, [v.point[axis]]) for v in mesh.vertices]
        for kind, parts in ((ng.EDGE, mesh.edges), (ng.FACE, mesh.faces)):
            nodes += [(kind, p.nr, [mesh.vertices[v.nr].point[axis] for v in p.vertices]) for p in parts]
        for kind, number, ats in nodes:
            if max(abs(at) for at in ats) < 1e-9:
                for unknown in space.components[axis].GetDofNrs(ng.NodeId(kind, number)):
                    free.Clear(axis * each + unknown)
    corner = (HALF_MM, HALF_MM, -thick_mm)
    for vertex in mesh.vertices:
        if max(abs(a - b) for a, b in zip(vertex.point, corner, strict=True)) < 1e-9:
            for unknown in space.components[2].GetDofNrs(ng.NodeId(ng.VERTEX, vertex.nr)):
                free.Clear(2 * each + unknown)
    return free


def strain_of(w: Any) -> Any:
    """xx, yy, zz, yz, xz, xy."""
    g = ng.Grad(w)
    return ng.CF((g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0]))


def ceramic_strain(
    wood: Elastic, cut: str, thick_mm: float, disc_mm: float, mounting: disc.Mounting
) -> tuple[float, float]:
    """The ceramic's strain along plus across, the block bent along the grain and bent across it."""
    plan = quarter(0.5 * disc_mm * disc.CERAMIC_SHARE, 0.5 * disc_mm)
    into = 1.0 - np.geomspace(1.0, 0.03, LAYERS)
    heights = [float(z) for z in -thick_mm + thick_mm * into / into[-1]]
    materials: list[Domain] = [lambda _: "wood"] * (len(heights) - 1)
    stiff = {"wood": stiffness(wood, cut)}

    def add(name: str, thick: float, elastic: Elastic, reach: int) -> None:
        heights.append(heights[-1] + thick)
        materials.append(lambda domain: name if domain <= reach else None)
        stiff[name] = stiffness(elastic, "quartersawn")

    for number, layer in enumerate(mounting.layers):
        for _ in range(2):
            solid = even(2.0 * (1.0 + LAYER_NU) * layer.shear_gpa, LAYER_NU)
            add(f"layer {number}", 0.5 * layer.thick_mm, solid, 2)
    add("brass", disc.BRASS_MM, even(disc.BRASS_GPA, disc.BRASS_NU), 2)
    add("ceramic", disc.CERAMIC_MM, even(disc.CERAMIC_GPA, disc.CERAMIC_NU), 1)
    mesh = prisms(plan, heights, materials)
    space = ng.VectorH1(mesh, order=2)
    u, v = space.TnT()
    tensors = {name: ng.CF(tuple(c.flatten()), dims=(6, 6)) for name, c in stiff.items()}
    form = ng.BilinearForm(space)
    for name, tensor in tensors.items():
        form += (tensor * strain_of(u)) * strain_of(v) * ng.dx(definedon=mesh.Materials(name))
    with ng.TaskManager():
        form.Assemble()
        inverse = form.mat.Inverse(held(space, mesh, thick_mm), inverse="sparsecholesky")
    give = np.linalg.inv(stiff["wood"])
    region = ng.dx(definedon=mesh.Materials("ceramic"))
    volume = ng.Integrate(ng.CF(1.0) * region, mesh)
    found = []
    for way in (0, 1):
        bent = [float(s) * 2.0 / thick_mm for s in give[:3, way] / give[way, way]]
        far = ng.CF((*(s * (ng.z + 0.5 * thick_mm) for s in bent), 0, 0, 0))
        load = ng.LinearForm(space)
        for name, tensor in tensors.items():
            if name != "wood":
                load += -(tensor * far) * strain_of(v) * ng.dx(definedon=mesh.Materials(name))
        with ng.TaskManager():
            load.Assemble()
        change = ng.GridFunction(space)
        change.vec.data = inverse * load.vec
        total = strain_of(change) + far
        found.append(float(ng.Integrate((total[0] + total[1]) * region, mesh) / volume))
    return found[0], found[1]


def main() -> None:
    """Print all cases."""
    wood = species_table()["cherry, black"].elastic()
    for cut, thick, across in (
        ("flatsawn", 16.0, 27.0),
        ("flatsawn", 10.0, 20.0),
        ("quartersawn", 16.0, 27.0),
    ):
        nu, width = (wood.nu_lt, wood.e_t_gpa) if cut == "flatsawn" else (wood.nu_lr, wood.e_r_gpa)
        for mounting in disc.mountings(wood):
            if mounting.mass_g:
                continue
            share = np.array(disc.shares(mounting, wood, cut=cut, thick_mm=thick, disc_mm=across))
            told = (share @ (1.0, -nu), share @ (-nu * width / wood.e_l_gpa, 1.0))
            known = ceramic_strain(wood, cut, thick, across, mounting)
            beside = " ".join(
                f"{b:.4f} ({20.0 * math.log10(a / b):+.1f} dB)" for a, b in zip(told, known, strict=True)
            )
            print(
                f"{cut:12s} {thick:4.0f} mm, disc {across:.0f} mm, {mounting.name:22s} {beside}", flush=True
            )


if __name__ == "__main__":
    main()
