"""How much of the wood's strain does a contact disc's ceramic have? By finite elements, to hold the laminate against.

A quarter of a block of wood in pure bending, its face strained by 1, and on it (or in a pocket in it) the disc with
all that its mounting has below it and on its back: prisms of order 2, all layers in the mesh. What the disc changes
is solved for, so that the far field is exact. Prints for each mounting the ceramic's strain along plus across, block
bent along and bent across the grain, and how far what `sound/contact_disc.py` says is from it. The figures stand in
tests/sound/test_contact_disc.py.

    python benchmarks/contact_disc.py [a word of a mounting's name]
"""

from __future__ import annotations

import math
import sys
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
ROOM_MM = 1.5
"""Between the disc and the wall of its pocket."""
AIR = 1e-6
"""What fills a pocket, against wood: it only carries the mesh."""
Domain = Callable[[int], str | None]


def quarter(ceramic_mm: float, brass_mm: float) -> Any:
    """The plan: the ceramic (1), the brass beyond it (2), a pocket's room (3), the wood beyond (4); radii in mm."""
    plan = SplineGeometry()
    radii = [ceramic_mm, brass_mm, brass_mm + ROOM_MM]
    number = {"o": plan.AppendPoint(0, 0), "d": plan.AppendPoint(HALF_MM, HALF_MM)}
    for name, radius in zip("abcz", [*radii, HALF_MM], strict=True):
        number[name + "x"], number[name + "y"] = plan.AppendPoint(radius, 0), plan.AppendPoint(0, radius)
        if name != "z":
            number[name] = plan.AppendPoint(radius, radius)
    edges = [
        ("o", "ax", 1),
        ("ax", "bx", 2),
        ("bx", "cx", 3),
        ("cx", "zx", 4),
        ("zx", "d", 4),
        ("d", "zy", 4),
    ]
    edges += [("zy", "cy", 4), ("cy", "by", 3), ("by", "ay", 2), ("ay", "o", 1)]
    for first, last, domain in edges:
        plan.Append(["line", number[first], number[last]], leftdomain=domain, rightdomain=0)
    for inner, name in enumerate("abc", start=1):
        ends = [number[name + "x"], number[name], number[name + "y"]]
        plan.Append(["spline3", *ends], leftdomain=inner, rightdomain=inner + 1)
    for domain, size in ((1, FINE_MM), (2, 0.5 * FINE_MM), (3, ROOM_MM), (4, 2.0 * FINE_MM)):
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
    """The ceramic's strain along plus across, the block bent along the grain and bent across it.

    The whole block is bent by what bends plain wood; where its wood is gone, that pulls at what is there instead.
    """
    plan = quarter(0.5 * disc_mm * disc.CERAMIC_SHARE, 0.5 * disc_mm)
    floor = thick_mm - mounting.pocket_mm
    into = 1.0 - np.geomspace(1.0, 0.03, LAYERS)
    heights = [float(z) for z in -thick_mm + floor * into / into[-1]]
    materials: list[Domain] = [lambda _: "wood"] * (len(heights) - 1)
    stiff = {"wood": stiffness(wood, cut)}

    def rise(name: str, to_mm: float, reach: int) -> None:
        """One slice up to this height: of this material so far out, below the face air and wood beside it."""
        inside = to_mm < 1e-9
        heights.append(to_mm)
        materials.append(
            lambda domain: (
                name if domain <= reach else None if not inside else "air" if domain < 4 else "wood"
            )
        )

    def add(name: str, layer: disc.Layer, reach: int, count: int) -> None:
        stiff[name] = stiffness(layer.elastic, cut)
        low = heights[-1]
        for one in range(count):
            rise(name, low + layer.thick_mm * (one + 1) / count, reach)

    for number, layer in enumerate(mounting.layers):
        add(f"layer {number}", layer, 2, 2 if layer.thick_mm < 1.0 else 4)
    add("brass", disc.BRASS, 2, 1)
    add("ceramic", disc.CERAMIC, 1, 1)
    for number, layer in enumerate(mounting.behind):
        add(f"behind {number}", layer, 1, 2 if layer.thick_mm < 1.0 else 6)
    if mounting.pocket_mm:
        stiff["air"] = AIR * stiff["wood"]
        rise("air", 0.0, 3)
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
                gone = tensors["wood"] * far if mounting.pocket_mm else ng.CF((0,) * 6)
                load += (gone - tensor * far) * strain_of(v) * ng.dx(definedon=mesh.Materials(name))
        with ng.TaskManager():
            load.Assemble()
        change = ng.GridFunction(space)
        change.vec.data = inverse * load.vec
        total = strain_of(change) + far
        found.append(float(ng.Integrate((total[0] + total[1]) * region, mesh) / volume))
    return found[0], found[1]


def main() -> None:
    """Print all cases, or those whose mounting's name has a word that was given."""
    wood = species_table()["cherry, black"].elastic()
    for cut, thick, across in (
        ("flatsawn", 16.0, 27.0),
        ("flatsawn", 10.0, 20.0),
        ("quartersawn", 16.0, 27.0),
    ):
        nu, width = (wood.nu_lt, wood.e_t_gpa) if cut == "flatsawn" else (wood.nu_lr, wood.e_r_gpa)
        for mounting in disc.mountings(wood):
            if sys.argv[1:] and not any(word in mounting.name for word in sys.argv[1:]):
                continue
            share = np.array(disc.shares(mounting, wood, cut=cut, thick_mm=thick, disc_mm=across))
            told = (share @ (1.0, -nu), share @ (-nu * width / wood.e_l_gpa, 1.0))
            known = ceramic_strain(wood, cut, thick, across, mounting)
            beside = " ".join(
                f"{b:.5f} ({20.0 * math.log10(abs(a / b)):+.1f} dB)" for a, b in zip(told, known, strict=True)
            )
            print(f"{cut} {thick:.0f} mm, disc {across:.0f} mm, {mounting.name}: {beside}", flush=True)


if __name__ == "__main__":
    main()
