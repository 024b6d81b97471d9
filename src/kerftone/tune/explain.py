"""Why a fitted drum's notes are as clear as they are: what pulls at each, and which tone of the box is near it.

Pulls come from the model on which the lengths were found. The tones of the box are the modes of the full solve that
are no tongue's note; how each would move with the box's height, walls and bottom comes from rough solves of drums so
changed. Cents, positive when sharp.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.errors import OutlineError
from kerftone.modal.result import Array, Modes
from kerftone.modal.solve import solve
from kerftone.tune.choose import ROUGH
from kerftone.tune.fit import Fit, own_modes

LEAST_PULL = 0.02
"""Pulls below this, in cents per cent, are not worth a line."""
TENTH = 0.1
"""Sizes are changed by this share to see what they do; own judgement."""
FOLLOWED_CENTS = 150.0
"""A tone of the box is followed no further than this when a size changes by a tenth."""


@dataclass(frozen=True, kw_only=True)
class Pull:
    """Another tongue that moves this one's note: cents per cent of its own note."""

    place: str
    note: str
    cents_per_cent: float


@dataclass(frozen=True, kw_only=True)
class BoxTone:
    """The tone of the box nearest a note.

    moves: cents it rises when a size grows by a tenth, by the size's name in the drum file; sizes whose change cannot
    be tried or followed are left out.
    """

    hz: float
    apart_cents: float
    moves: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Explained:
    """One tongue: what pulls at it, the strongest first, and the nearest tone of the box."""

    place: str
    note: str
    pulls: tuple[Pull, ...]
    tone: BoxTone | None


def explained(found: Fit) -> tuple[Explained, ...]:
    """Each tongue of a fitted drum, in the drum's order."""
    drum, pull = found.drum, found.kept.tuned.pull
    modes = found.solution.modes()
    tones = box_tones(modes, found.aims_hz)
    moves = _moves(drum, found.aims_hz)
    return tuple(
        Explained(
            place=tongue.place,
            note=tongue.note,
            pulls=tuple(
                Pull(
                    place=drum.tongues[other].place,
                    note=drum.tongues[other].note,
                    cents_per_cent=float(pull[number, other]),
                )
                for other in np.argsort(-abs(pull[number]))
                if abs(pull[number, other]) >= LEAST_PULL
            ),
            tone=_nearest(tones, aim, moves),
        )
        for number, (tongue, aim) in enumerate(zip(drum.tongues, found.aims_hz, strict=True))
    )


def box_tones(modes: Modes, aims_hz: tuple[float, ...]) -> Array:
    """The frequencies of the modes that are no tongue's note, Hz."""
    own = own_modes(modes, aims_hz)[0]
    return np.delete(modes.hz, own)


def _nearest(tones: Array, aim_hz: float, moves: dict[str, tuple[Array, Array]]) -> BoxTone | None:
    if not len(tones):
        return None
    apart = 1200.0 * np.log2(tones / aim_hz)
    at = int(abs(apart).argmin())
    moved = {name: _moved(float(tones[at]), *pair) for name, pair in moves.items()}
    return BoxTone(
        hz=float(tones[at]),
        apart_cents=float(apart[at]),
        moves={name: cents for name, cents in moved.items() if cents is not None},
    )


def _moved(hz: float, before: Array, after: Array) -> float | None:
    """How far the rough solve's tone that is nearest this one moves, cents; None where it cannot be followed."""
    if not len(before) or not len(after):
        return None
    old = before[abs(np.log(before / hz)).argmin()]
    cents = 1200.0 * np.log2(after / old)
    nearest = float(cents[abs(cents).argmin()])
    return nearest if abs(nearest) <= FOLLOWED_CENTS else None


def _moves(drum: Drum, aims_hz: tuple[float, ...]) -> dict[str, tuple[Array, Array]]:
    """The rough solve's tones before and after each size of the box grows by a tenth, by the size's name."""
    box = drum.box
    changed = {"height": replace(drum, box=replace(box, height_mm=(1 + TENTH) * box.height_mm))}
    # The walls grow outwards from the inside that the tongues' roots leave free.
    more = TENTH * box.wall_mm
    if box.mount == "on walls":
        top, slots = drum.top, drum.slots
        changed["wall"] = replace(
            drum,
            box=replace(box, wall_mm=box.wall_mm + more),
            top=replace(top, length_mm=top.length_mm + 2 * more, width_mm=top.width_mm + 2 * more),
            slots=replace(
                slots, end_margin_mm=slots.end_margin_mm + more, side_margin_mm=slots.side_margin_mm + more
            ),
            bores=tuple(replace(bore, x_mm=bore.x_mm + more, y_mm=bore.y_mm + more) for bore in drum.bores),
        )
    if drum.bottom is not None:
        thicker = replace(drum.bottom, thickness_mm=(1 + TENTH) * drum.bottom.thickness_mm)
        changed["bottom"] = replace(drum, bottom=thicker)
    base = _rough_tones(drum, aims_hz)
    found = {}
    for name, other in changed.items():
        try:
            check_outline(other)
        except OutlineError:
            continue
        found[name] = (base, _rough_tones(other, aims_hz))
    return found


def _rough_tones(drum: Drum, aims_hz: tuple[float, ...]) -> Array:
    return box_tones(solve(drum, fineness=ROUGH).modes(), aims_hz)
