"""The same drum in CalculiX: quadratic tetrahedra, each part with its grain, lowest modes.

The solid is built from the drawn outline with netgen's OCC kernel and meshed in tetrahedra; edges between
corners are straight, so a bore is as round as its chords. CalculiX reads millimetres, tonnes, seconds and
MPa here, the customary consistent set. Needs the Debian package calculix-ccx; only benchmarks use it.
"""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import netgen.occ as occ
import numpy as np
import shapely
from numpy.typing import NDArray

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline
from kerftone.modal.mechanics import flat_axes, wall_axes
from kerftone.wood.elastic import Elastic

Array = NDArray[Any]
EDGES = ((0, 1), (1, 2), (2, 0), (0, 3), (1, 3), (2, 3))
"""The order in which C3D10 lists the middles of its sides, after its corners."""
MPA_PER_GPA = 1e3
TONNES_PER_MM3 = 1e-12
"""One kg/m³ in tonnes per cubic millimetre."""
THREADS = 2
NEAR_MM = 1e-6
SLOT_END = 17.5
GLUE_EDGE = 4.67
GRADING = 0.6
"""Sides at slot ends and at the glue are so many times shorter than the longest, and grow so quickly from there.

Chosen in CalculiX's favour on W1, from ten settings compared by their error for their unknowns: 18 cents at
136 thousand unknowns, where even meshes err by 26 at 207 thousand. A better setting may well exist.
"""


class CalculixError(Exception):
    """CalculiX is not there, took too long, or gave no frequencies."""


@dataclass(frozen=True)
class Tetrahedra:
    """Points in mm; ten points a cell, corners first; the part each cell belongs to."""

    points: Array
    cells: Array
    parts: tuple[str, ...]
    part_of: Array

    @property
    def unknowns(self) -> int:
        return 3 * len(self.points)


@dataclass(frozen=True)
class Run:
    """What one run of CalculiX gave, and its wall time from input file to answer."""

    hz: Array
    unknowns: int
    seconds: float


def available() -> bool:
    """Is CalculiX installed?"""
    return shutil.which("ccx") is not None


def solid(drum: Drum) -> Any:
    """Top, walls, root bars and bottom of a drum as one body of parts that share their glued faces.

    Made from the words of docs/model.md on the three mounts, not from `modal/`: what a clearance leaves open is open.
    """
    drawn, t, box = outline(drum), drum.top.thickness_mm, drum.box
    drop = t - drum.top.lip_thickness_mm if box.mount == "on a lip" else 0.0
    low = drop - box.height_mm
    top = _raised(drawn.top, 0.0, t)
    if drop:
        body = shapely.box(*drawn.wall_inner.bounds).buffer(-box.clearance_mm, join_style="mitre")
        top -= _raised(shapely.box(*drawn.board.bounds).difference(body), 0.0, drop)
    for bore in drum.bores:
        pocket = occ.Cylinder(
            occ.Pnt(bore.x_mm, bore.y_mm, -1.0), occ.Z, r=bore.diameter_mm / 2, h=bore.depth_mm + 1.0
        )
        top -= pocket
    parts = [top.mat("top")]
    x0, y0, x1, y1 = drawn.wall_inner.bounds
    ox0, oy0, ox1, oy1 = drawn.box_outer.bounds
    strips = [
        ("x", (ox0, oy0, ox1, y0)),
        ("x", (ox0, y1, ox1, oy1)),
        ("y", (ox0, y0, x0, y1)),
        ("y", (x1, y0, ox1, y1)),
    ]
    hollow = drawn.board
    if box.glued == "ledge":
        hollow = hollow.buffer(box.clearance_mm, join_style="mitre")
    for along, bounds in strips:
        strip = shapely.box(*bounds)
        parts.append(_raised(strip, low, drop).mat(f"wall {along}"))
        beside = strip.difference(hollow)
        if not beside.is_empty and box.mount == "in ledge":
            parts.append(_raised(beside, 0.0, t).mat(f"wall {along}"))
        foot = strip.difference(_rabbet(drum, drawn))
        if drum.bottom is not None and drum.bottom.fit == "on a lip" and not foot.is_empty:
            reach = drum.bottom.lip_thickness_mm + drum.bottom.recess_mm
            parts.append(_raised(foot, low - reach, low).mat(f"wall {along}"))
    wide, high = box.root_bar_mm, box.root_bar_height_mm
    if wide > 0.0:
        bars = (shapely.box(x0, y0, x0 + wide, y1), shapely.box(x1 - wide, y0, x1, y1))
        parts += [_raised(bar, -high, 0.0).mat("wall y") for bar in bars]
    if drum.bottom is not None:
        parts.append(_bottom(drum, drawn, low).mat("bottom"))
    return occ.Glue(parts)


def _rabbet(drum: Drum, drawn: Outline) -> Any:
    """What the rabbet for a bottom on a lip leaves free inside the walls, seen from above."""
    bottom = drum.bottom
    reach = bottom.lip_mm + bottom.clearance_mm if bottom is not None else 0.0
    return drawn.wall_inner.buffer(reach, join_style="mitre")


def _bottom(drum: Drum, drawn: Outline, low: float) -> Any:
    """The bottom under the walls, or with its lip in their rabbet and its body up between them."""
    bottom = drum.bottom
    assert bottom is not None
    if bottom.fit != "on a lip":
        return _raised(drawn.box_outer, low - bottom.thickness_mm, low)
    lip = drawn.wall_inner.buffer(bottom.lip_mm, join_style="mitre")
    body = drawn.wall_inner.buffer(-bottom.clearance_mm, join_style="mitre")
    under = low - bottom.lip_thickness_mm
    return _raised(lip, under, low) + _raised(body, under, under + bottom.thickness_mm)


def _raised(polygon: Any, low: float, high: float) -> Any:
    """A polygon, holes and all, drawn up from one height to another."""
    face = _face(polygon.exterior.coords, low)
    for hole in polygon.interiors:
        face -= _face(hole.coords, low)
    return face.Extrude(occ.Vec(0.0, 0.0, high - low))


def _face(coordinates: Any, z: float) -> Any:
    corners = [occ.Pnt(x, y, z) for x, y in coordinates[:-1]]
    sides = [occ.Segment(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    return occ.Face(occ.Wire(sides))


def _refine(body: Any, drum: Drum, longest_mm: float) -> None:
    """Ask for short sides where stress has no bound: up the ends of the slots, and along the inner glue edge.

    With a lip that edge is on the walls' upper edge, and beside it is the corner from which the body hangs.
    A bottom on a lip has such edges too.
    """
    drawn = outline(drum)
    drop = drum.top.thickness_mm - drum.top.lip_thickness_mm if drum.box.mount == "on a lip" else 0.0
    x0, y0, x1, y1 = drawn.box_inner.bounds
    near = drum.box.clearance_mm + NEAR_MM if drop else NEAR_MM
    roots = (drawn.layout.root_left_mm, drawn.layout.root_right_mm)
    for edge in body.edges:
        (ax, ay, az), (bx, by, bz) = ((p.x, p.y, p.z) for p in (edge.start, edge.end))
        upright = math.hypot(ax - bx, ay - by) < NEAR_MM
        if upright and min(az, bz) > -NEAR_MM and min(abs(ax - x) for x in roots) < NEAR_MM:
            edge.maxh = longest_mm / SLOT_END
        glued = max(abs(az - drop), abs(bz - drop)) < NEAR_MM
        along_x = abs(ay - by) < NEAR_MM and min(abs(ay - y) for y in (y0, y1)) < near
        along_y = abs(ax - bx) < NEAR_MM and min(abs(ax - x) for x in (x0, x1)) < near
        if glued and not upright and (along_x or along_y):
            edge.maxh = longest_mm / GLUE_EDGE
        if not upright and _at_lip_of_bottom(drum, drawn, ((ax, ay, az), (bx, by, bz))):
            edge.maxh = longest_mm / GLUE_EDGE


def _at_lip_of_bottom(drum: Drum, drawn: Outline, ends: tuple[tuple[float, float, float], ...]) -> bool:
    """Whether an edge is where a bottom on a lip turns: the two edges of its glue, and the corner of its body."""
    bottom = drum.bottom
    if bottom is None or bottom.fit != "on a lip":
        return False
    drop = drum.top.thickness_mm - drum.top.lip_thickness_mm if drum.box.mount == "on a lip" else 0.0
    x0, y0, x1, y1 = drawn.wall_inner.bounds
    for reach in (-bottom.clearance_mm, 0.0, bottom.lip_mm):
        out = [max(x0 - x, x - x1, y0 - y, y - y1) for x, y, _ in ends]
        at_floor = max(abs(z - drop + drum.box.height_mm) for _, _, z in ends) < NEAR_MM
        if at_floor and max(abs(far - reach) for far in out) < NEAR_MM:
            return True
    return False


def tetrahedra(drum: Drum, *, longest_mm: float) -> Tetrahedra:
    """The drum cut into quadratic tetrahedra whose sides are no longer than this, finer where it is sharp."""
    body = solid(drum)
    _refine(body, drum, longest_mm)
    mesh = occ.OCCGeometry(body).GenerateMesh(maxh=longest_mm, grading=GRADING)
    corners = mesh.Coordinates()
    listed = mesh.Elements3D().NumPy()
    cells = listed["nodes"][:, :4].astype(np.int64) - 1
    a, b, c, d = corners[cells].transpose(1, 0, 2)
    inside_out = np.einsum("ij,ij->i", np.cross(b - a, c - a), d - a) < 0.0
    cells[inside_out] = cells[inside_out][:, [0, 2, 1, 3]]
    sides = np.sort(np.concatenate([cells[:, list(edge)] for edge in EDGES]), axis=1)
    unique, number = np.unique(sides, axis=0, return_inverse=True)
    middles = number.reshape(6, -1).T + len(corners)
    names = [mesh.GetMaterial(index) for index in range(1, int(listed["index"].max()) + 1)]
    parts = tuple(dict.fromkeys(names))
    part_of = np.array([parts.index(name) for name in names])[listed["index"] - 1]
    points = np.concatenate([corners, corners[unique].mean(axis=1)])
    return Tetrahedra(points, np.concatenate([cells, middles], axis=1), parts, part_of)


def woods(drum: Drum) -> dict[str, tuple[Elastic, Array]]:
    """What each part is made of, and where its L, R and T point."""
    found = {
        "top": (drum.top.elastic, flat_axes(drum.top.cut, drum.top.grain_angle_deg)),
        "wall x": (drum.box.elastic, wall_axes(0)),
        "wall y": (drum.box.elastic, wall_axes(1)),
    }
    if drum.bottom is not None:
        found["bottom"] = (drum.bottom.elastic, flat_axes(drum.bottom.cut))
    return found


def input_lines(
    mesh: Tetrahedra, woods: dict[str, tuple[Elastic, Array]], *, held: bool, count: int
) -> Iterator[str]:
    """The text of an input file: mesh, materials in their own axes, the lowest face held, frequencies."""
    yield "*NODE, NSET=all"
    for number, (x, y, z) in enumerate(mesh.points, start=1):
        yield f"{number}, {x:.9g}, {y:.9g}, {z:.9g}"
    for part, name in enumerate(mesh.parts):
        label = name.replace(" ", "_")
        yield f"*ELEMENT, TYPE=C3D10, ELSET={label}"
        for number in np.flatnonzero(mesh.part_of == part):
            yield ", ".join(str(n) for n in (number + 1, *(mesh.cells[number] + 1)))
        elastic, axes = woods[name]
        yield f"*ORIENTATION, NAME=axes_{label}, SYSTEM=RECTANGULAR"
        yield ", ".join(f"{value:.12g}" for value in (*axes[0], *axes[1]))
        yield f"*MATERIAL, NAME=wood_{label}"
        yield "*ELASTIC, TYPE=ENGINEERING CONSTANTS"
        yield from _constants(elastic)
        yield "*DENSITY"
        yield f"{elastic.density_kg_m3 * TONNES_PER_MM3:.12g}"
        yield f"*SOLID SECTION, ELSET={label}, MATERIAL=wood_{label}, ORIENTATION=axes_{label}"
    if held:
        yield "*NSET, NSET=base"
        low = mesh.points[:, 2].min()
        yield from (f"{number + 1}," for number in np.flatnonzero(mesh.points[:, 2] < low + 1e-6))
        yield "*BOUNDARY"
        yield "base, 1, 3"
    yield from ("*STEP", "*FREQUENCY", f"{count},", "*END STEP")


def _constants(elastic: Elastic) -> Iterator[str]:
    """E1 E2 E3 nu12 nu13 nu23 G12 G13 and, on a line of its own, G23; 1, 2, 3 are L, R, T."""
    moduli = [elastic.e_l_gpa, elastic.e_r_gpa, elastic.e_t_gpa]
    shears = [elastic.g_lr_gpa, elastic.g_lt_gpa, elastic.g_rt_gpa]
    ratios = [elastic.nu_lr, elastic.nu_lt, elastic.nu_rt]
    in_mpa = [f"{value * MPA_PER_GPA:.12g}" for value in moduli + shears]
    yield ", ".join([*in_mpa[:3], *map(str, ratios), *in_mpa[3:5]])
    yield in_mpa[5]


def run(
    mesh: Tetrahedra,
    woods: dict[str, tuple[Elastic, Array]],
    *,
    held: bool,
    count: int,
    most_seconds: float = 240.0,
) -> Run:
    """Solve this mesh with CalculiX on two threads. Raises CalculixError."""
    if not available():
        raise CalculixError("ccx is not installed: apt-get install calculix-ccx")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "drum.inp").write_text(
            "\n".join(input_lines(mesh, woods, held=held, count=count)) + "\n"
        )
        threads = {"OMP_NUM_THREADS": str(THREADS), "CCX_NPROC_EQUATION_SOLVER": str(THREADS)}
        began = time.perf_counter()
        try:
            done = subprocess.run(
                ["ccx", "drum"],
                cwd=folder,
                env=os.environ | threads,
                capture_output=True,
                text=True,
                timeout=most_seconds,
                check=False,
            )
        except subprocess.TimeoutExpired as late:
            raise CalculixError(f"not done after {most_seconds:.0f} s") from late
        seconds = time.perf_counter() - began
        table = Path(folder) / "drum.dat"
        hz = frequencies(table.read_text()) if table.exists() else np.array([])
        if not len(hz):
            raise CalculixError(f"no frequencies: {done.stdout[-800:]}{done.stderr[-800:]}")
    return Run(hz[:count], mesh.unknowns, seconds)


def frequencies(table: str) -> Array:
    """The frequencies, Hz, in a CalculiX .dat file: the fourth column of its table of eigenvalues."""
    number = r"[-+]?\d+(?:\.\d*)?(?:E[-+]?\d+)?"
    rows = re.findall(rf"^\s*\d+\s+{number}\s+{number}\s+({number})\s+{number}\s*$", table, re.MULTILINE)
    return np.array([float(hz) for hz in rows])
