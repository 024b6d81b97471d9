"""How far each note falls when a glue joint gives a little, to first order.

The model's joints hold perfectly. A joint that gives is taken as so many mm more of the wood next to it, all over its
area: a spring for each piece of area, as stiff as that wood. Stress is without bound at the edge of a joint, and its
square hardly has an integral along it; so the strain is taken from the layer of wood on both sides of the joint, as
thick as the disturbance that is asked about is wide, and not from the joint's own face. Two joints are told apart:
what carries the top (walls, ledge and edges, or lip, and root bars under it), and what carries the bottom.

Places are told as in the band: how far outwards of the walls' inner face, and how high above the top's underside, in
mm. Held by tests/modal/test_joints.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import ngsolve as ng
import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.seat import drop_mm, over_mm
from kerftone.modal.band_columns import PRESSED
from kerftone.modal.in_mesh import in_mesh
from kerftone.modal.mechanics import strain
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import CENTS_PER_LN, field_of
from kerftone.modal.solve import Solution
from kerftone.modal.threads import together

_Place = Callable[[float, float, float], tuple[float, float, float]]
REACH_MM = 5.0
"""How far on each side of a joint the wood counts to it: half of `SPOTS_MM` in `tune/glue.py`, since what a dry spot
disturbs dies away within about its distance from the next."""
STEP_MM = 8.0
"""How far apart places along a joint are at most."""
ACROSS, THROUGH = 4, 2
"""Places across a joint, and through each half of its layer (Gauss). With two and a half times as many each way the
answers for five drums of all mounts moved by 4 % at most."""


@dataclass(frozen=True)
class Face:
    """Where two parts are glued: lying, from one place outwards to another; or standing, from one height to another.

    out, high: (from, to), the same twice in one of them. reach: how far the layer goes on both sides, against and
    along the axis across the face. ends: only in the end walls.
    """

    out: tuple[float, float]
    high: tuple[float, float]
    reach: tuple[float, float]
    ends: bool = False

    @property
    def lying(self) -> bool:
        """Whether it is level."""
        return self.high[0] == self.high[1]

    def places(self) -> tuple[Array, Array]:
        """Places (p, 2) in the section of the layer, and how much of it each stands for (p,), mm²."""
        (low, top), reach = (self.out if self.lying else self.high), self.reach
        at = self.high[0] if self.lying else self.out[0]
        u, wide = _gauss(low, top, ACROSS)
        halves = [_gauss(at - reach[0], at, THROUGH), _gauss(at, at + reach[1], THROUGH)]
        v, thick = (np.concatenate([half[k] for half in halves]) for k in (0, 1))
        first, second = (grid.ravel() for grid in np.meshgrid(u, v, indexing="ij"))
        places = np.column_stack([first, second] if self.lying else [second, first])
        return places, np.outer(wide, thick).ravel()


def _gauss(low: float, high: float, count: int) -> tuple[Array, Array]:
    places, weights = np.polynomial.legendre.leggauss(count)
    half = 0.5 * (high - low)
    return low + half * (places + 1.0), half * weights


def joint_faces(drum: Drum) -> dict[str, tuple[Face, ...]]:
    """Where the top of this drum is glued, unless it is only clamped, and where its bottom, if it has one."""
    box, bottom, over, drop = drum.box, drum.bottom, over_mm(drum), drop_mm(drum)
    under = min(REACH_MM, 0.5 * box.height_mm)
    above = (under, min(REACH_MM, drum.top.thickness_mm - drop))
    top = [Face((0.0, over), (drop, drop), above)]
    if box.mount == "in ledge" and box.glued == "ledge and edges":
        beside = (min(REACH_MM, over), min(REACH_MM, box.wall_mm - over))
        top.append(Face((over, over), (0.0, drum.top.thickness_mm), beside))
    if box.root_bar_mm > 0.0:
        bar = (min(REACH_MM, box.root_bar_height_mm), min(REACH_MM, drum.top.thickness_mm))
        top.append(Face((-box.root_bar_mm, 0.0), (0.0, 0.0), bar, ends=True))
    found = {} if box.clamped else {"top": tuple(top)}
    if bottom is not None:
        lip = bottom.fit == "on a lip"
        reach = (min(REACH_MM, bottom.lip_thickness_mm if lip else bottom.thickness_mm), under)
        floor = drop - box.height_mm
        found["bottom"] = (Face((0.0, bottom.lip_mm if lip else box.wall_mm), (floor, floor), reach),)
    return found


def joint_slopes(solution: Solution, numbers: Sequence[int]) -> dict[str, Array]:
    """How many cents each of these modes falls for each mm of wood that a joint gives more, by joint (modes,).

    For "clamps", where the top is only clamped: for each natural logarithm by which its springs are softer. First
    order: λ is twice the strain energy, and a layer h thick that becomes 1 mm thicker under the same stress takes 1/h
    of its energy from it.
    """
    drum, space = solution.drum, solution.space
    clamps = {"clamps": _clamps(solution, numbers)} if drum.box.clamped else {}
    if not joint_faces(drum):
        return clamps
    names, points, weights = [], [], []
    for name, faces in joint_faces(drum).items():
        for face in faces:
            places, volumes = _layer(drum, face)
            names += [name] * len(places)
            points.append(places)
            weights.append(volumes / sum(face.reach))
    at = in_mesh(space.mesh, 1e-3 * np.concatenate(points))
    each, of = np.concatenate(weights), np.array(names)

    def falls(number: int) -> Array:
        e = strain(field_of(space, solution.shapes[number]))
        # Compiled, the strain is found once at each place and not once for each of its products: nine times as fast.
        energy = np.ravel(ng.InnerProduct(space.c * e, e).Compile()(at)) * each
        share = CENTS_PER_LN / (2.0 * solution.fine_values[number])
        return np.array([share * energy[of == name].sum() for name in dict.fromkeys(names)])

    found = np.array(together([partial(falls, number) for number in numbers]))
    return clamps | dict(zip(dict.fromkeys(names), found.T, strict=True))


def _clamps(solution: Solution, numbers: Sequence[int]) -> Array:
    """How many cents each mode falls for each natural logarithm by which the springs under the top are softer."""
    space = solution.space
    where, found = space.mesh.Materials(PRESSED), []
    for number in numbers:
        e = strain(field_of(space, solution.shapes[number]))
        energy = ng.Integrate(ng.InnerProduct(space.c * e, e).Compile(), where, order=2 * space.order)
        found.append(CENTS_PER_LN * energy / (2.0 * solution.fine_values[number]))
    return np.array(found)


def _layer(drum: Drum, face: Face) -> tuple[Array, Array]:
    """Places in a joint's layer all round the box (p, 3), mm, and the volume that each stands for (p,), m³."""
    section, areas = face.places()
    points, volumes = [], []
    for low, high, place in _walls(drum, face):
        steps = max(2, round((high - low) / STEP_MM))
        along = low + (np.arange(steps) + 0.5) * (high - low) / steps
        for out_z, area in zip(section, areas, strict=True):
            points.append(np.array([place(float(u), *map(float, out_z)) for u in along]))
            volumes.append(np.full(steps, 1e-9 * area * (high - low) / steps))
    return np.concatenate(points), np.concatenate(volumes)


def _walls(drum: Drum, face: Face) -> Iterable[tuple[float, float, _Place]]:
    """Each wall: from where to where the joint runs along it, and where a place of the section is in the drum."""
    over, long, wide = over_mm(drum), drum.top.length_mm, drum.top.width_mm
    inner = (over, wide - over)
    yield *inner, lambda u, out, z: (over - out, u, z)
    yield *inner, lambda u, out, z: (long - over + out, u, z)
    if not face.ends:
        ends = (over - face.out[1], long - over + face.out[1])
        yield *ends, lambda u, out, z: (u, over - out, z)
        yield *ends, lambda u, out, z: (u, wide - over + out, z)
