"""How the wood under a contact disc moves, and all over the faces it may be glued to: one solve, kept.

The bare wood's strain and lift in each mode of the wood alone; what a disc has of it is told in
`sound/contact_disc.py`, and what is heard of notes, knocks and hands in `pickup_heard.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.shop import Face
from kerftone.errors import ShopError
from kerftone.jobs.prediction import NOTHING_KEPT, Prediction
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.shelf import Shelf, name_of
from kerftone.shop.box import box_of
from kerftone.shop.pickup import check_disc, sample_points

if TYPE_CHECKING:
    from kerftone.jobs.air_asked import AirAsked
    from kerftone.modal.result import Array
    from kerftone.modal.solve import Solution

IN_WALL_MM = 0.1
"""Read this far under the wall's face, so that the point lies in an element."""
OVER_DISC = 12
"""So many points across a disc its strain is averaged over."""


@dataclass(frozen=True, kw_only=True)
class FaceMotions:
    """How one face is strained at points all over it (p, 2) in each mode: strain (p, n, 2) along and across. The drum
    file's own place, where it lies on this face, comes last."""

    on: Face
    points_mm: Array
    strain: Array


@dataclass(frozen=True, kw_only=True)
class BoxMotions:
    """What one solve says of a drum with a pickup, in each mode of the wood alone: its faces, and how far the front
    wall's middle goes in where it is knocked at (n,)."""

    faces: tuple[FaceMotions, ...]
    wall: Array


@dataclass(frozen=True, kw_only=True)
class DiscMotions:
    """How the wood under a disc moves in each mode of the wood alone: strain (n, 2) along and across, lift (n,), and
    how the front wall's middle goes in where it is knocked at (n,). place_mm: the disc's middle, seen from above,
    and on what."""

    on: Face
    place_mm: tuple[float, float]
    strain: Array
    lift: Array
    wall: Array


def check_pickup(drum: Drum, air: AirAsked | None) -> None:
    """Refuse a drum without a pickup, or with its disc where there is no wood for it, also on a bottom that is off.

    Parameters
    ----------
    drum : Drum
        As its file has it.
    air : AirAsked | None
        In which air, with the bottom how; None: in vacuo, as in the file.

    Raises
    ------
    ShopError
        With the nearest that works, where there is one.
    """
    if drum.making.pickup is None:
        raise ShopError(
            "The drum is to be heard through its pickup, but the drum file has none. Add a line [pickup] at its end "
            "to have one."
        )
    check_disc(drum, outline(drum))
    if drum.making.pickup.on == "bottom" and air is not None and air.state(drum) != "glued":
        raise ShopError(
            f"The pickup's disc is glued on the bottom, and the bottom is asked to be {air.state(drum)}: it does "
            "not move with the drum then. Ask for it glued on.",
            given=air.state(drum),
            nearest="glued",
        )


class UnderDisc:
    """How the wood of one drum with a pickup moves, from the shelf or by a solve.

    once: the drum as far as its wood moves together, for other questions of the same work.
    """

    def __init__(self, prediction: Prediction, shelf: Shelf = NOTHING_KEPT) -> None:
        """For the modes of this prediction. Raises ShopError, see `check_pickup`."""
        drum = prediction.drum
        check_pickup(drum, prediction.air)
        wood = drum if prediction.air is None else prediction.air.wood(drum)
        self.once = SolvedOnce(wood, len(prediction.modes.hz), prediction.live)
        self._shelf = shelf

    def box(self) -> BoxMotions:
        """How the faces are strained, and how the wall that is knocked at moves."""
        name = name_of("faces for a disc", self.once.drum, self.once.count)
        kept = self._shelf.arrays(name) or {}
        wanted = [f"{on} {part}" for on in _faces(self.once.drum) for part in ("points", "strain")]
        if not {"wall", *wanted} <= kept.keys():
            kept = self._read_box()
            self._shelf.keep_arrays(name, kept)
        faces = tuple(
            FaceMotions(
                on=on,
                points_mm=kept[f"{on} points"],
                strain=kept[f"{on} strain"],
            )
            for on in _faces(self.once.drum)
        )
        return BoxMotions(faces=faces, wall=kept["wall"])

    def disc(self, on: Face, place_mm: tuple[float, float]) -> DiscMotions:
        """How the wood under a disc there moves.

        Parameters
        ----------
        on : Face
            The face that it is glued to.
        place_mm : tuple[float, float]
            Its middle, seen from above.
        """
        name = name_of("under the disc", self.once.drum, self.once.count, on, place_mm)
        kept = self._shelf.arrays(name) or {}
        if not {"strain", "lift"} <= kept.keys():
            kept = self._read_disc(on, place_mm)
            self._shelf.keep_arrays(name, kept)
        return DiscMotions(
            on=on, place_mm=place_mm, strain=kept["strain"], lift=kept["lift"], wall=self.box().wall
        )

    def _read_box(self) -> dict[str, Array]:
        from kerftone.modal.surface import motions_of

        solution, drum = self.once.solution(), self.once.drum
        drawn = outline(drum)
        pickup = drum.making.pickup
        assert pickup is not None
        modes = list(range(len(solution.hz)))
        x0, y0, x1, _ = drawn.box_outer.bounds
        front = np.array([[0.5 * (x0 + x1), y0 + IN_WALL_MM, -0.4 * drum.box.height_mm]])
        kept = {
            "wall": motions_of(solution).at(front)[: len(solution.hz), 0, 1],
        }
        given = None if pickup.x_mm is None or pickup.y_mm is None else (pickup.x_mm, pickup.y_mm)
        for on in _faces(drum):
            points = sample_points(drawn, on=on, given_mm=given if on == pickup.on else None)
            strain = _strain(drum, solution, on, points, modes)
            kept |= {f"{on} points": points, f"{on} strain": strain.astype(np.float32)}
        return kept

    def _read_disc(self, on: Face, place_mm: tuple[float, float]) -> dict[str, Array]:
        from kerftone.modal.surface import motions_of

        solution, drum = self.once.solution(), self.once.drum
        pickup = drum.making.pickup
        assert pickup is not None
        radius = 0.5 * pickup.disc_mm
        net = np.linspace(-radius, radius, OVER_DISC)
        points = np.array([(x, y) for x in net for y in net if math.hypot(x, y) <= 0.98 * radius]) + place_mm
        modes = list(range(len(solution.hz)))
        deep = (
            0.5 * drum.top.thickness_mm if on == "top" else _bottom_face_mm(drum) - 0.5 * thick_mm(drum, on)
        )
        inside = np.array([[*place_mm, deep]])
        return {
            "strain": _strain(drum, solution, on, points, modes).mean(axis=0),
            "lift": motions_of(solution).at(inside)[: len(modes), 0, 2],
        }


def thick_mm(drum: Drum, on: Face) -> float:
    """How thick the wood is that the disc is glued to, in mm."""
    return drum.top.thickness_mm if on == "top" or drum.bottom is None else drum.bottom.thickness_mm


def _faces(drum: Drum) -> tuple[Face, ...]:
    return ("top",) if drum.bottom is None else ("top", "bottom")


def _strain(drum: Drum, solution: Solution, on: Face, points_mm: Array, modes: list[int]) -> Array:
    """The bare face's strain along and across at these points, (p, m, 2)."""
    from kerftone.modal.underside_strain import inside_strain, underside_strain

    if on == "top":
        return underside_strain(solution, points_mm, modes)
    return inside_strain(solution, points_mm, _bottom_face_mm(drum), modes)


def _bottom_face_mm(drum: Drum) -> float:
    """The height of the bottom's inner face over the top's underside."""
    box = box_of(drum)
    assert box.bottom_mm is not None
    return box.bottom_low_mm + box.bottom_mm[2] - box.flush_mm
