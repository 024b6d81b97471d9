"""Plywood tops as the program solves them against the same with every ply meshed: how far off are the notes?

The one has one layer of prisms whose stiffness changes with height (`wood/laminate.py`), as `modes` solves it; the
other a layer of prisms for each ply, each of its own wood, all else alike. With `--even` a top of one even
material that bends alike is solved too. Drums are INVENTED.

`python benchmarks/plies.py` takes some minutes; `--plies 3 5` chooses which.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from itertools import pairwise
from typing import Any
from unittest.mock import patch

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal import band, solve
from kerftone.modal.floor import raise_floor
from kerftone.modal.mechanics import GPA
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness, Plan
from kerftone.modal.solid import Cells
from kerftone.modal.space import Parts
from kerftone.wood.laminate import layers

DRUM = """\
name = "Reed in plywood"
[top]
wood = "birch, yellow"
plies = [{plies}]
length = 400.0
width = 180.0
thickness = {thick}
[slots]
kerf = 3.0
end_margin = 45.0
side_margin = 32.0
[[tongues]]
note = "D4"
row = 1
side = "left"
length = 150.0
[[tongues]]
note = "A4"
row = 1
side = "right"
length = 110.0
[[tongues]]
note = "F4"
row = 2
side = "left"
length = 130.0
[[tongues]]
note = "C5"
row = 2
side = "right"
length = 95.0
[box]
wood = "ash, white"
wall = 16.0
height = 90.0
"""


def drum_of(count: int, thick_mm: float) -> Drum:
    """The drum with a top of so many plies of birch, one along and one across by turns."""
    each = thick_mm / count
    plies = ", ".join(f'[{each!r}, "{"across" if at % 2 else "along"}"]' for at in range(count))
    return parse_drum(DRUM.format(plies=plies, thick=thick_mm))


def meshed(drum: Drum, cut: Plan, *, layered: bool) -> Any:
    """The solid of this drum, a layer of its mesh for each ply."""
    del layered
    cells, top = Cells(), drum.top
    found = layers(top.plies, top.cut)
    levels = [0.0, *(top.thickness_mm * layer.high for layer in found[:-1]), top.thickness_mm]
    for triangle, region in zip(cut.triangles, cut.region, strict=True):
        wood, places = cut.regions[region], cut.points_mm[triangle]
        for at, (low, high) in enumerate(pairwise(levels)):
            lower, upper = ([(float(x), float(y), z) for x, y in places] for z in (low, high))
            cells.raise_column(f"{wood} ply {at}", lower, upper)
        cells.face(f"upper, {wood}", upper)
        cells.face("under", [(float(x), float(y), 0.0) for x, y in places])
    lines, marks = band.bands(drum), band._wall_levels(drum)
    stacks = band.Stacks(drum, sorted({*marks, *levels}), levels)
    lowest = stacks.floor - (drum.bottom.thickness_mm if drum.bottom is not None else 0.0)
    for quad in band._quads(cut, lines):
        pieces = stacks.pieces(quad)
        plain = [("rim" if name == "rim" else name, low, high) for name, low, high in pieces]
        named = Cells()
        band._raise(named, list(quad.corners), quad, plain, lowest)
        for name, low, high in pieces:
            ply = f"rim ply {int(np.searchsorted(levels, 0.5 * (low + high))) - 1}"
            corners = quad.corners
            cells.raise_column(
                ply if name == "rim" else name, [(*c, low) for c in corners], [(*c, high) for c in corners]
            )
        for name, faces in named.faces.items():
            for face in faces:
                cells.face(name, [named.points[n] for n in face])
    if drum.bottom is not None:
        raise_floor(cells, drum, cut.inner, band._inner_marks(cut), face="base")
    return cells.mesh()


def materials(drum: Drum, regions: tuple[str, ...]) -> Parts:
    """What that solid is made of."""
    even = _plain_materials(drum, regions)
    found, names = layers(drum.top.plies, drum.top.cut), [*regions, "rim"]
    stiffness = {f"{name} ply {at}": GPA * ply.stiffness for name in names for at, ply in enumerate(found)}
    rest = {name: one for name, one in even.stiffness.items() if name not in names}
    density = dict.fromkeys(stiffness, even.density["rim"]) | {name: even.density[name] for name in rest}
    return Parts({**stiffness, **rest}, density)


_plain_materials = solve.materials


def notes_hz(drum: Drum, fineness: Fineness) -> tuple[np.ndarray, float, int]:
    """The pitch of each tongue's note, extrapolated and at the finer order itself; seconds and unknowns."""
    solution = solve.solve(drum, 8, fineness=fineness)
    own = np.argmax(weights(solution.modes()), axis=1)
    both = np.sqrt(np.array([solution.values[own], solution.fine_values[own]])) / (2.0 * np.pi)
    return both, solution.seconds, solution.space.unknowns


def main() -> None:
    """Print how far off each note is, in cents."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plies", type=int, nargs="+", default=[3, 5, 9])
    parser.add_argument("--thick", type=float, default=12.0)
    parser.add_argument("--order", type=int, default=3)
    parser.add_argument("--even", action="store_true")
    options = parser.parse_args()
    fineness = Fineness(order=options.order)
    for count in options.plies:
        drum = drum_of(count, options.thick)
        here, seconds, unknowns = notes_hz(drum, fineness)
        print(
            f"{count} plies of {options.thick:g} mm: {here[0].round(2)} Hz, {seconds:.1f} s, {unknowns} unknowns"
        )
        if options.even:
            even = replace(drum, top=replace(drum.top, plies=()))
            print("  one even material:", (1200.0 * np.log2(notes_hz(even, fineness)[0] / here)).round(1)[0])
        with patch.object(solve, "build", meshed), patch.object(solve, "materials", materials):
            there, seconds, unknowns = notes_hz(drum, fineness)
        off = 1200.0 * np.log2(here / there)
        print(f"  cents off plies meshed ({seconds:.0f} s, {unknowns} unknowns): {off[0].round(2)}")
        print(f"  the same at the finer order itself: {off[1].round(2)}")


if __name__ == "__main__":
    main()
