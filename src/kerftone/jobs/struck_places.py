"""Where a drum can be struck beside its tongues: walls, the rails and ends of the top, the bottom; how that sounds.

A place is called as on paper: "front wall", "left end", "back rail", "bottom", or a tongue as anywhere (L1, D4, 3).
The rails are the wood of the top along the tongues, its ends the wood over and beside their roots. Each is struck in
its middle, square to its face, from outside. A blow off the tongues is heard as all that leaves the drum.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.plan_lines import layout
from kerftone.drum.seat import SKIN_MM, depth_mm, inside_mm
from kerftone.drum.sound_holes import placed_holes
from kerftone.drum.tongue_named import on_paper, tongue_named
from kerftone.errors import EntryError, KerftoneError

if TYPE_CHECKING:
    from kerftone.jobs.prediction import Prediction
    from kerftone.modal.result import Array, Modes
    from kerftone.modal.shelf import Shelf
    from kerftone.modal.solve import Solution
    from kerftone.sound.render import Spots

BESIDE_A_HOLE = 0.25
"""Where a sound hole is in the middle of its part, that is struck so much of its length from its left end."""
SIDES = ("front", "back", "left", "right")
_PART = re.compile(r"(wall|rail|end)\W*(front|back|left|right)|(front|back|left|right)\W*(wall|rail|end)")


@dataclass(frozen=True, kw_only=True)
class StruckPlace:
    """One place: what it is called, the tongue (from 0; None beside the tongues), the point in the drum's frame in
    mm, and the way out of the wood there."""

    name: str
    tongue: int | None
    at_mm: tuple[float, float, float]
    out: tuple[float, float, float] = (0.0, 0.0, 1.0)


def struck_places(drum: Drum, words: str) -> tuple[StruckPlace, ...]:
    """The places that are meant, with commas between them. Raises EntryError for one that is none.

    Parameters
    ----------
    drum : Drum
        With places and lengths for all tongues.
    words : str
        As typed.
    """
    beside = {place.name: place for place in places_beside(drum)}
    found = []
    for typed in (part.strip() for part in words.split(",")):
        name = _called(typed)
        if name is not None and name in beside:
            found.append(beside[name])
            continue
        try:
            number = tongue_named(drum, typed) - 1
        except EntryError as error:
            raise _no_place(typed, list(beside), error) from error
        x, y = outline(drum).strike_points[number]
        found.append(
            StruckPlace(name=on_paper(drum, number + 1), tongue=number, at_mm=(x, y, drum.top.thickness_mm))
        )
    return tuple(found)


def _called(typed: str) -> str | None:
    """A place beside the tongues by its one name, however it is typed: "wall:front" is the front wall."""
    words = typed.casefold()
    if re.fullmatch(r"(the )?(bottom|floor)", words):
        return "bottom"
    match = _PART.fullmatch(words.removeprefix("the "))
    if match is None:
        return None
    part, side = (match[1], match[2]) if match[1] else (match[4], match[3])
    return f"{side} {'end' if part == 'rail' and side in ('left', 'right') else part}"


def _no_place(typed: str, names: Sequence[str], error: KerftoneError) -> EntryError:
    return EntryError(
        f"Nothing on this drum is called {typed[:20]!r} that could be struck. {error.message.partition('. ')[2]} "
        f"Beside the tongues there are {', '.join(names)}.",
        given=typed,
        nearest=tuple(names),
    )


def places_beside(drum: Drum) -> tuple[StruckPlace, ...]:
    """Every place beside the tongues: the top's rails and ends, the walls, and the bottom where there is one."""
    lines, high = layout(drum), drum.top.thickness_mm
    wide, long = drum.top.width_mm, drum.top.length_mm
    front, back = (
        lines.slot(n).y_at(0.5 * long, off * drum.slots.kerf_mm) for n, off in ((0, -0.5), (lines.rows, 0.5))
    )
    over = {
        "front rail": (0.5 * long, 0.5 * front),
        "back rail": (0.5 * long, 0.5 * (wide + back)),
        "left end": (0.5 * lines.root_left_mm, 0.5 * wide),
        "right end": (0.5 * (long + lines.root_right_mm), 0.5 * wide),
    }
    found = [StruckPlace(name=name, tongue=None, at_mm=(x, y, high)) for name, (x, y) in over.items()]
    x0, y0, x1, y1 = outline(drum).box_outer.bounds
    level = -0.5 * inside_mm(drum)
    for name in SIDES:
        share = BESIDE_A_HOLE if any(one.hole.part == name for one in placed_holes(drum)) else 0.5
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        at, out = {
            "front": ((x, y0, level), (0.0, -1.0, 0.0)),
            "back": ((x, y1, level), (0.0, 1.0, 0.0)),
            "left": ((x0, y, level), (-1.0, 0.0, 0.0)),
            "right": ((x1, y, level), (1.0, 0.0, 0.0)),
        }[name]
        found.append(StruckPlace(name=f"{name} wall", tongue=None, at_mm=at, out=out))
    if drum.bottom is not None:
        share = BESIDE_A_HOLE if any(one.hole.part == "bottom" for one in placed_holes(drum)) else 0.5
        spot = (x0 + share * (x1 - x0), 0.5 * (y0 + y1), -depth_mm(drum))
        found.append(StruckPlace(name="bottom", tongue=None, at_mm=spot, out=(0.0, 0.0, -1.0)))
    return tuple(found)


def lifts_of(solution: Solution, places: Sequence[StruckPlace]) -> Array:
    """How far each mode of the wood moves each place out of the wood (p, n), kg^-1/2."""
    from kerftone.modal.band import in_band
    from kerftone.modal.surface import motions_of

    at, out = (np.array([getattr(place, name) for place in places]) for name in ("at_mm", "out"))
    points = in_band(solution.drum, at - SKIN_MM * out, SKIN_MM)
    moved = motions_of(solution).at(points)[: len(solution.hz)]
    return np.asarray(np.einsum("npk,pk->pn", moved, out))


def spots_of(prediction: Prediction, places: Sequence[StruckPlace], lifts: Array) -> tuple[Modes, Spots]:
    """The motions that are heard, and how a blow on each place drives and sounds them.

    Parameters
    ----------
    prediction : Prediction
        The drum's notes, in air or in vacuo.
    places : Sequence[StruckPlace]
        Where it is struck.
    lifts : Array
        How far each mode of the wood moves each place, (p, n), in kg^-1/2.
    """
    from kerftone.jobs.modes_heard import modes_heard
    from kerftone.sound.render import Spots

    modes, air = modes_heard(prediction), prediction.in_air
    wood = len(modes.hz) if air is None else air.parts.shape[1]
    lift = np.asarray(lifts, dtype=np.float64)[:, :wood]
    if air is not None:  # what is heard of a motion is the same whoever is struck
        return modes, Spots(lift=lift @ air.parts.T, push=np.tile(modes.sweep[0], (len(places), 1)))
    push = [modes.volume if place.tongue is None else modes.sweep[place.tongue] for place in places]
    return modes, Spots(lift=lift, push=np.array(push))


def struck(prediction: Prediction, places: Sequence[StruckPlace], shelf: Shelf) -> Modes:
    """The motions as heard when these places are struck, one row of `strike` and `sweep` a place, in their order.

    Parameters
    ----------
    prediction : Prediction
        The drum's notes, in air or in vacuo.
    places : Sequence[StruckPlace]
        Where it is struck.
    shelf : Shelf
        Where the lifts may be already.
    """
    from kerftone.modal.shelf import name_of

    drum, air = prediction.drum, prediction.air
    wood, count = drum if air is None else air.wood(drum), len(prediction.modes.hz)
    name = name_of("struck", wood, count, *(place.name for place in places))
    kept = shelf.arrays(name)
    if kept is None or "lifts" not in kept:
        from kerftone.modal.solve import solve

        kept = {"lifts": lifts_of(prediction.live or solve(wood, count), places)}
        shelf.keep_arrays(name, kept)
    modes, spots = spots_of(prediction, places, np.asarray(kept["lifts"]))
    return replace(modes, strike=spots.lift, sweep=spots.push)
