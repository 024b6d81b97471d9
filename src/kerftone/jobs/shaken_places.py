"""How hard the places where something may buzz are shaken by a blow on each tongue; kept beside the drum's solve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.seat import SKIN_MM, depth_mm, inside_mm
from kerftone.jobs.prediction import LISTED, NOTHING_KEPT
from kerftone.jobs.progress import Progress
from kerftone.jobs.solved_once import SolvedOnce
from kerftone.modal.result import Array
from kerftone.modal.shelf import Shelf, name_of
from kerftone.shop.buzz import Shakes

STROKE_M_S = 1.0
"""The speed of a medium stroke, as in the preview of the sound."""
FLOOR_POINTS = 5
"""So many places along and across the floor are looked at; the hardest shaken counts."""
CORNERS, FLOOR, WALLS = 4, FLOOR_POINTS**2, 4
"""How many places each: under the corners, on the floor, in the walls' middles."""


def places_mm(drum: Drum) -> tuple[Array, Array]:
    """The places in the wood (p, 3) and the direction in which each is looked at (p, 3): corners, floor, walls."""
    drawn = outline(drum)
    x0, y0, x1, y1 = drawn.box_outer.bounds
    in_x0, in_y0, in_x1, in_y1 = drawn.wall_inner.bounds
    half = 0.5 * drum.box.wall_mm
    low, floor = SKIN_MM - depth_mm(drum), -inside_mm(drum) - SKIN_MM
    corners = [(x, y, low) for x in (x0 + half, x1 - half) for y in (y0 + half, y1 - half)]
    shares = (np.arange(FLOOR_POINTS) + 0.5) / FLOOR_POINTS
    flat = [(in_x0 + u * (in_x1 - in_x0), in_y0 + v * (in_y1 - in_y0), floor) for u in shares for v in shares]
    if drum.bottom is None:
        flat = [corners[0]] * FLOOR
    middle, height = (0.5 * (x0 + x1), 0.5 * (y0 + y1)), -0.5 * inside_mm(drum)
    walls = [(x0 + half, middle[1], height), (x1 - half, middle[1], height)]
    walls += [(middle[0], y0 + half, height), (middle[0], y1 - half, height)]
    ways = [(0.0, 0.0, 1.0)] * (CORNERS + FLOOR) + [(1.0, 0.0, 0.0)] * 2 + [(0.0, 1.0, 0.0)] * 2
    return np.array([*corners, *flat, *walls]), np.array(ways)


def shakes_of(once: SolvedOnce, progress: Progress, shelf: Shelf = NOTHING_KEPT) -> Shakes:
    """How hard each kind of place is shaken, from the shelf or by a solve of the drum.

    Parameters
    ----------
    once : SolvedOnce
        The drum, with places and lengths for all tongues.
    progress : Progress
        Told what is being done; by it the work is stopped.
    shelf : Shelf, optional
        Where it is kept.
    """
    drum = once.drum
    name = name_of("shaken", drum, drum.making.mallets.ball)
    kept = shelf.arrays(name)
    if kept is None or not {"m_s2", "mm"} <= set(kept):
        if once.live is None:
            progress("Solving the drum for what a blow shakes; this takes some seconds.")
        kept = _solved(once)
        shelf.keep_arrays(name, kept)
    force, way = kept["m_s2"], kept["mm"]
    kinds = np.split(force, np.cumsum([CORNERS, FLOOR]))
    return Shakes(
        corners_mm=tuple(way[:CORNERS].max(axis=0)),
        rim_m_s2=tuple(kinds[0].max(axis=0)),
        floor_m_s2=tuple(kinds[1].max(axis=0)),
        walls_m_s2=tuple(kinds[2].max(axis=0)),
    )


def _solved(once: SolvedOnce) -> dict[str, Array]:
    from kerftone.modal.band import in_band
    from kerftone.modal.notes import enough_modes
    from kerftone.modal.surface import motions_of
    from kerftone.sound.mallet import mallet_named
    from kerftone.sound.shaken import shaken

    solution = once.solution()
    drum, modes = once.drum, solution.modes()
    # As many as any solve has, so that the answer does not hang on what else was asked.
    count = enough_modes(drum, LISTED)
    places, ways = places_mm(drum)
    moved = motions_of(solution).at(in_band(drum, places, SKIN_MM))[:count]
    lift = np.einsum("npk,pk->pn", moved, ways)
    mallet = mallet_named(drum.making.mallets.ball)
    few = replace(
        modes, hz=modes.hz[:count], strike=modes.strike[:, :count], sweep=modes.sweep[:, :count],
        volume=modes.volume[:count],
    )  # fmt: skip
    found = shaken(few, drum.top, lift, mallet=mallet, speed_m_s=STROKE_M_S)
    return {"m_s2": found.m_s2, "mm": found.mm}
