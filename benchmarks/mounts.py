"""Drums with a lip and on a ledge alone, solved without Kerftone's own mesh: makes tests/reference/mounts.json.

Each drum is made of solids (`calculix.solid`) and cut into quadratic tetrahedra. CalculiX finds the lowest modes, and
so does a plain finite-element model in NGSolve on the very same mesh, which must agree to tenths of a cent. Then
the order of the second is raised on that mesh, and what is left of the error is taken off by Aitken's formula, mode
by mode. Kerftone's bricks, prisms, pyramids and its extrapolation have no part in it.

`python benchmarks/mounts.py` shows, `--write` writes; `--only NAME` takes one drum.
"""

from __future__ import annotations

import argparse
import json
import math
from pathlib import Path
from typing import Any

import netgen.meshing as nm
import ngsolve as ng
import numpy as np
from scipy.optimize import brentq

import calculix
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.eigen import lanczos
from kerftone.modal.mechanics import stiffness
from kerftone.modal.solve import modes
from kerftone.modal.space import Mass, Parts, Space

OUT = Path(__file__).parents[1] / "tests" / "reference" / "mounts.json"
COUNT = 8
SAME_MESH_CENTS = 0.3
"""What CalculiX and the other model may differ by on one mesh."""
ORDERS = (2, 3, 4)

WOODS = """\
[top.elastic]
e_l = 12.8
e_r = 1.36
e_t = 0.72
g_lr = 1.09
g_lt = 0.79
g_rt = 0.27
nu_lr = 0.495
nu_lt = 0.632
nu_rt = 0.718
density = 610
[box.elastic]
e_l = 13.2
e_r = 1.65
e_t = 1.06
g_lr = 1.44
g_lt = 1.02
g_rt = 0.35
nu_lr = 0.371
nu_lt = 0.44
nu_rt = 0.684
density = 670
"""
"""The two woods of the other reference drums, without their headers' tables."""


def toml(name: str, top: str, slots: str, box: str, *, tongues: str, more: str = "") -> str:
    """A drum file: INVENTED drums, and notes that say nothing."""
    rows = []
    for at, tongue in enumerate(tongues.split(), start=1):
        row, side, length = tongue[1], {"L": "left", "R": "right"}[tongue[0]], tongue[2:]
        rows.append(
            f'[[tongues]]\nnote = "{"CDEFGAB"[at % 7]}3"\nrow = {row}\nside = "{side}"\nlength = {length}\n'
        )
    return (
        f'# INVENTED\nname = "{name}"\n[top]\nwood = "cherry, black"\n{top}\n[slots]\n{slots}\n'
        f'{"".join(rows)}[box]\nwood = "ash, white"\n{box}\n{more}{WOODS}'
    )


DRUMS = {
    "P1": toml(
        "P1",
        "length = 360.0\nwidth = 162.0\nthickness = 16.0\nlip = 6.0\nlip_thickness = 9.0",
        "kerf = 3.0\nend_margin = 28.0\nside_margin = 18.0",
        'wall = 14.0\nheight = 80.0\nmount = "on a lip"\nclearance = 0.5\nglued = "lip"',
        tongues="L1-140 L2-118 R1-150 R2-165".replace("-", ""),
    ),
    "P2": toml(
        "P2",
        "length = 300.0\nwidth = 120.0\nthickness = 13.0\nlip = 9.0\nlip_thickness = 5.0",
        "kerf = 2.0\nend_margin = 36.0\nside_margin = 24.0",
        'wall = 12.0\nheight = 60.0\nmount = "on a lip"\nclearance = 1.0\nstands = "free"',
        tongues="L1110 L2128 R1100 R295",
        more=(
            '[bottom]\nwood = "ash, white"\nthickness = 8.0\nfit = "on a lip"\nlip = 5.0\nlip_thickness = 4.0\n'
            "clearance = 0.75\nrecess = 3.0\n"
        ),
    ),
    "Q1": toml(
        "Q1",
        "length = 360.0\nwidth = 150.0\nthickness = 14.0",
        "kerf = 3.0\nend_margin = 26.0\nside_margin = 22.0",
        'wall = 18.0\nheight = 80.0\nmount = "in ledge"\nledge = 6.0\nclearance = 0.8\nglued = "ledge"',
        tongues="L1140 L2120 R1150 R2165",
    ),
    "Q2": toml(
        "Q2",
        "length = 310.0\nwidth = 130.0\nthickness = 12.0",
        "kerf = 2.5\nend_margin = 30.0\nside_margin = 20.0",
        'wall = 15.0\nheight = 65.0\nmount = "in ledge"\nledge = 9.0\nclearance = 0.4\nstands = "free"',
        tongues="L1120 L2100 R1105 R2132",
        more='[bottom]\nwood = "ash, white"\nthickness = 7.0\n',
    ),
}


def cents(hz: Any, from_hz: Any) -> Any:
    """How far apart, mode by mode."""
    return 1200.0 * np.log2(np.asarray(hz)[:COUNT] / np.asarray(from_hz)[:COUNT])


def by_order(drum: Drum, tets: calculix.Tetrahedra, order: int) -> Any:
    """The lowest modes on this mesh with elements of this order."""
    mesh = nm.Mesh()
    mesh.dim = 3
    corners = tets.cells[:, :4]
    mesh.AddPoints(tets.points[: corners.max() + 1] * 1e-3)
    for number, name in enumerate(tets.parts, start=1):
        chosen = corners[tets.part_of == number - 1].astype(np.int32)
        mesh.AddElements(dim=3, index=number, data=chosen, base=0)
        mesh.SetMaterial(number, name)
    low = tets.points[:, 2].min()
    mesh.Add(nm.FaceDescriptor(bc=1, domin=1, surfnr=1))
    down = [cell[face] for cell in corners for face in FACES if np.ptp(tets.points[cell[face], 2]) < 1e-6]
    standing = [face for face in down if tets.points[face[0], 2] < low + 1e-6]
    mesh.AddElements(dim=2, index=1, data=np.array(standing, dtype=np.int32), base=0)
    mesh.SetBCName(0, "base")
    woods = calculix.woods(drum)
    parts = Parts(
        {name: stiffness(wood, axes) for name, (wood, axes) in woods.items()},
        {name: wood.density_kg_m3 for name, (wood, _) in woods.items()},
    )
    held = "base" if drum.box.stands == "held" else None
    space = Space(ng.Mesh(mesh), parts, order=order, held=held)
    shift = 0.0 if held else (2.0 * math.pi * 80.0) ** 2
    inverse, mass = space.blocks(shift).inverse(), Mass(space.mass())
    start = np.random.default_rng(0).standard_normal(space.unknowns) * space.free()
    values, _ = lanczos(inverse, mass, start, count=COUNT + (6 if shift else 0) + 4)
    hz = np.sqrt(np.maximum(values - shift, 0.0)) / (2.0 * math.pi)
    return hz[hz > 5.0][:COUNT], space.unknowns


FACES = ([0, 1, 2], [0, 1, 3], [0, 2, 3], [1, 2, 3])


def converged(found: list[Any]) -> tuple[Any, Any]:
    """Where three orders lead, and how sure that is, in cents.

    The edges make the error fall as a power of the order, which three orders give, mode by mode. On W2 of modes.json,
    meshed alike, the end so found is 1.2 cents sharp on average and 2.0 at most; Aitken's formula, for an error that
    falls by one factor, 2.9 and 4.1. The ± is half of what the two differ by, and one cent.
    """
    logs = [np.log(hz) for hz in found]
    end = np.array([_power_law(*three) for three in zip(*logs, strict=True)])
    one, two, three = logs
    aitken = three - (three - two) ** 2 / np.maximum(abs(two - one) - abs(three - two), 1e-9)
    return np.exp(end), 1.0 + 0.5 * abs(cents(np.exp(aitken), np.exp(end)))


def _power_law(one: float, two: float, three: float) -> float:
    """The limit of a + b order^-c through the three orders."""
    ratio = (two - three) / (one - two)
    p, q, r = (float(order) for order in ORDERS)

    def off(power: float) -> float:
        return float((q**-power - r**-power) / (p**-power - q**-power) - ratio)

    power = brentq(off, 0.3, 12.0)
    return float(three - (two - three) / (q**-power - r**-power) * r**-power)


def show(name: str, longest_mm: float) -> dict[str, Any]:
    """One drum by CalculiX, by order, and by Kerftone."""
    drum = parse_drum(DRUMS[name])
    tets = calculix.tetrahedra(drum, longest_mm=longest_mm)
    ccx = calculix.run(
        tets, calculix.woods(drum), held=drum.box.stands == "held", count=COUNT + 6, most_seconds=900.0
    )
    outside = ccx.hz[ccx.hz > 5.0][:COUNT]
    found, unknowns = zip(*(by_order(drum, tets, order) for order in ORDERS), strict=True)
    same = abs(cents(found[0], outside)).max()
    assert same < SAME_MESH_CENTS, f"CalculiX and order 2 differ by {same:.3f} cents"
    end, rest = converged(list(found))
    ours = modes(drum, COUNT).hz
    print(f"{name}: {ccx.unknowns} unknowns by CalculiX; order {ORDERS[-1]}: {unknowns[-1]}")
    print(f"  same mesh and order, largest difference: {same:.3f} cents")
    for order, hz in zip(ORDERS, found, strict=True):
        print(f"  order {order}, cents from the end: {np.round(cents(hz, end), 1)}")
    print(f"  end, Hz: {np.round(end, 2)}")
    print(f"  Kerftone, cents off: {np.round(cents(ours, end), 2)}", flush=True)
    return {
        "name": name,
        "toml": DRUMS[name],
        "modes_hz": [round(float(hz), 3) for hz in end],
        "plus_minus_cents": [round(float(c), 2) for c in rest],
        "calculix": {"unknowns": ccx.unknowns, "modes_hz": [round(float(hz), 3) for hz in outside]},
        "orders": {str(o): [round(float(x), 3) for x in hz] for o, hz in zip(ORDERS, found, strict=True)},
    }


def main() -> None:
    """Show what was asked for, and write it."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--only", nargs="+", choices=tuple(DRUMS))
    options.add_argument("--longest-mm", type=float, default=30.0)
    options.add_argument("--write", action="store_true")
    given = options.parse_args()
    made = [show(name, given.longest_mm) for name in given.only or DRUMS]
    if given.write:
        OUT.write_text(
            json.dumps({"_about": " ".join((__doc__ or "").split()), "drums": made}, indent=1) + "\n"
        )


if __name__ == "__main__":
    main()
