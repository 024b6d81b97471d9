"""What a contact disc under the top hears: each note against the others, a knock, a hand, and by its mounting.

The disc answers to the strain of the wood under it (`sound/contact_disc.py`) and its load loses the lowest. Motions
are those of wood and air together, so that the air that a tongue presses on the bottom counts; a neighbour's motion,
the walls' and the box's are all in it.
What a knuckle or a hand does is own judgement, and called so: compare, do not measure by it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.shop import Face
from kerftone.errors import ShopError
from kerftone.jobs.modes_heard import air_of, modes_heard
from kerftone.jobs.prediction import NOTHING_KEPT, Prediction
from kerftone.modal.shelf import Shelf, name_of
from kerftone.shop.box import box_of
from kerftone.shop.pickup import (
    Signal,
    bass_of,
    check_disc,
    places_on,
    sample_points,
)
from kerftone.shop.verdict import Check
from kerftone.sound import decay
from kerftone.sound.contact_disc import Mounting, charges, mountings, passed, shares

if TYPE_CHECKING:
    from kerftone.jobs.air_asked import AirAsked
    from kerftone.modal.notes import NoteHeard
    from kerftone.modal.result import Array, Modes
    from kerftone.modal.solve import Solution

KNOCK_N_S, KNOCK_MS = 0.1, 4.0
"""A knuckle on the wall: its impulse and how long it touches. Own judgement."""
RUB_N2_HZ = 1e-6
"""A hand that slides over the wall: the force's density over frequency, 0.03 N in a band of 1 kHz. Own judgement."""
BLOW_N_S = 0.02
"""A mallet's blow: 11 g that come at 1 m/s and leave at nearly that."""
KNOCK_LOUD_DB, RUB_LOUD_DB = 12.0, -20.0
"""A knock that is louder over the quietest note, and a hand that is less far under it, are in the way: own
judgement."""
IN_WALL_MM = 0.1
"""Read this far under the wall's face, so that the point lies in an element."""
OVER_DISC = 12
"""So many points across a disc its strain is averaged over."""


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


@dataclass(frozen=True, kw_only=True)
class PickupHeard:
    """A drum through its pickup, its disc on this face and here. notes_db: each tongue's note against the loudest,
    in the file's order. knock_db, rub_db: a knuckle's knock and a sliding hand against the quietest note.
    mountings_db: what other ways to mount the disc give against glued flat, the mean of the notes."""

    on: Face
    place_mm: tuple[float, float]
    notes_db: tuple[float, ...]
    knock_db: float
    rub_db: float
    mountings_db: tuple[tuple[str, float], ...]

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "on": self.on,
            "x_mm": round(self.place_mm[0], 1),
            "y_mm": round(self.place_mm[1], 1),
            "notes_db": [round(db, 1) for db in self.notes_db],
            "knock_db": round(self.knock_db, 1),
            "rub_db": round(self.rub_db, 1),
            "mountings_db": {name: round(db, 1) for name, db in self.mountings_db},
        }

    def checks(self) -> tuple[Check, Check]:
        """What a knock does, and what other mountings would give, as the shop's checks."""
        knock = (
            f"a knuckle on the front wall is heard {_beside(self.knock_db)} the quietest note, a hand that slides "
            f"over the box {_beside(self.rub_db)} it; how hard is own judgement"
        )
        loud = self.knock_db > KNOCK_LOUD_DB or self.rub_db > RUB_LOUD_DB
        less = ", ".join(f"{name} {-db:.0f} dB less" for name, db in self.mountings_db if db < -1.0)
        return (
            Check(
                name="Pickup and knocks",
                verdict="mind" if loud else "good",
                numbers=knock,
                mend="a place where the quietest note is stronger: see Pickup's place." if loud else "",
            ),
            Check(
                name="Pickup's mounting", verdict="good", numbers=f"glued flat it hears all it can; {less}"
            ),
        )


def faces_heard(drum: Drum, solution: Solution, notes: Sequence[NoteHeard]) -> tuple[Signal, ...]:
    """What a disc glued flat would have of one same blow on each tongue, over the top and, where there is one, the
    bottom. The place in the drum file comes last on its face.

    Parameters
    ----------
    drum : Drum
        With a pickup.
    solution : Solution
        The solved drum.
    notes : Sequence[NoteHeard]
        One for each tongue, as read in the solution.
    """
    pickup = drum.making.pickup
    assert pickup is not None
    drawn = outline(drum)
    given = None if pickup.x_mm is None or pickup.y_mm is None else (pickup.x_mm, pickup.y_mm)
    solved, modes = solution.modes(), [note.mode for note in notes]
    hz = np.asarray(solved.hz)[modes]
    per_blow = solved.strike[range(len(modes)), modes] / hz * passed(hz, _corner_hz(drum))
    found = []
    for on in _faces(drum):
        points = sample_points(drawn, on=on, given_mm=given if on == pickup.on else None)
        strain = _strain(drum, solution, on, points, modes)
        found.append(Signal(on=on, points_mm=points, signal=strain @ np.array(_glued(drum, on)) * per_blow))
    return tuple(found)


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


def disc_motions(prediction: Prediction, count: int, shelf: Shelf = NOTHING_KEPT) -> DiscMotions:
    """How the wood under the pickup's disc moves in the prediction's modes; kept on the shelf.

    Where the drum file has no place for it, the best there is. Raises ShopError without a pickup, or without room.

    Parameters
    ----------
    prediction : Prediction
        Of a drum with a pickup.
    count : int
        How many modes were asked for.
    shelf : Shelf, optional
        Where the answer is kept.
    """
    drum = prediction.drum
    check_pickup(drum, prediction.air)
    wood = drum if prediction.air is None else prediction.air.wood(drum)
    name = name_of("under the disc", wood, count)
    kept = shelf.arrays(name)
    if kept is None or not {"place", "strain", "lift", "wall"} <= kept.keys():
        kept = _motions(prediction, wood, count)
        shelf.keep_arrays(name, kept)
    x, y, below = (float(value) for value in kept["place"])
    return DiscMotions(
        on="bottom" if below else "top",
        place_mm=(x, y),
        strain=kept["strain"],
        lift=kept["lift"],
        wall=kept["wall"],
    )


def through_pickup(prediction: Prediction, motions: DiscMotions) -> Modes:
    """The modes as the disc, glued flat, and its load pass them on, for `sound/render.py` to strike."""
    drum, modes = prediction.drum, modes_heard(prediction)
    disc = _in_air(prediction, motions)
    charge = _charges(drum, modes, disc, _mountings(drum)[0]) * passed(modes.hz, _corner_hz(drum))
    heard = -charge / (2.0 * math.pi * np.asarray(modes.hz)) ** 2
    return replace(modes, sweep=np.tile(heard, (len(modes.strike), 1)))


def pickup_heard(prediction: Prediction, motions: DiscMotions) -> PickupHeard:
    """How loud the notes, a knock and a hand are through the pickup, and what other mountings would give."""
    drum, air = prediction.drum, prediction.in_air
    modes, disc = modes_heard(prediction), _in_air(prediction, motions)
    hz = np.asarray(modes.hz, dtype=np.float64)
    omega = 2.0 * math.pi * hz
    owns = [one.heard.mode for one in prediction.tongues] if air is None else [int(own) for own in air.owns]
    signals = [
        _charges(drum, modes, disc, mounting) * passed(hz, _corner_hz(drum)) for mounting in _mountings(drum)
    ]
    notes, *others = (
        np.abs([modes.strike[number, own] * signal[own] / omega[own] for number, own in enumerate(owns)])
        for signal in signals
    )
    blows = BLOW_N_S * np.maximum(notes, 1e-300)
    # A half sine's spectrum, 1 at its foot; a mode's answer to a noise of density G is G / (8 zeta omega³), its
    # integral.
    turns = 1e-3 * hz * KNOCK_MS
    shape = np.abs(0.25 * math.pi * (np.sinc(turns - 0.5) + np.sinc(turns + 0.5)))
    knock = KNOCK_N_S * float(np.linalg.norm(signals[0] * disc.wall / omega * shape))
    loss = decay.wood_loss(hz, drum.top) + decay.radiation_loss(
        hz, np.asarray(modes.volume, dtype=np.float64), air_of(prediction)
    )
    rub = float(np.linalg.norm(signals[0] * disc.wall * np.sqrt(RUB_N2_HZ / (4.0 * loss * omega**3))))
    return PickupHeard(
        on=motions.on,
        place_mm=motions.place_mm,
        notes_db=tuple(_db(one / blows.max()) for one in blows),
        knock_db=_db(knock / blows.min()),
        rub_db=_db(rub / blows.min()),
        mountings_db=tuple(
            (mounting.name, float(np.mean([_db(ratio) for ratio in other / np.maximum(notes, 1e-300)])))
            for mounting, other in zip(_mountings(drum)[1:], others, strict=True)
        ),
    )


def _in_air(prediction: Prediction, motions: DiscMotions) -> DiscMotions:
    """The same in each mode of wood and air together."""
    if prediction.in_air is None:
        return motions
    parts = prediction.in_air.parts
    count = parts.shape[1]
    return replace(
        motions,
        strain=parts @ motions.strain[:count],
        lift=parts @ motions.lift[:count],
        wall=parts @ motions.wall[:count],
    )


def _motions(prediction: Prediction, wood: Drum, count: int) -> dict[str, Array]:
    """What `disc_motions` keeps, from the live solve or a new one."""
    from kerftone.modal.solve import solve
    from kerftone.modal.surface import motions_of

    solution = prediction.live if prediction.live is not None else solve(wood, count)
    pickup = wood.making.pickup
    assert pickup is not None
    if pickup.x_mm is not None and pickup.y_mm is not None:
        on, place = pickup.on, (pickup.x_mm, pickup.y_mm)
    else:
        on, place = _best_place(wood, solution)
    radius = 0.5 * pickup.disc_mm
    net = np.linspace(-radius, radius, OVER_DISC)
    points = np.array([(x, y) for x in net for y in net if math.hypot(x, y) <= 0.98 * radius]) + place
    modes = list(range(len(solution.hz)))
    x0, y0, x1, _ = outline(wood).box_outer.bounds
    deep = 0.5 * wood.top.thickness_mm if on == "top" else _bottom_face_mm(wood) - 0.5 * _thick_mm(wood, on)
    inside = np.array([[*place, deep]])
    front = np.array([[0.5 * (x0 + x1), y0 + IN_WALL_MM, -0.4 * wood.box.height_mm]])
    moved = motions_of(solution)
    wall = moved.at(front)[: len(modes), 0, 1]
    return {
        "place": np.array([*place, float(on == "bottom")]),
        "strain": _strain(wood, solution, on, points, modes).mean(axis=0),
        "lift": moved.at(inside)[: len(modes), 0, 2],
        "wall": wall,
    }


def _best_place(drum: Drum, solution: Solution) -> tuple[Face, tuple[float, float]]:
    """Where a disc of this size hears the notes best. Raises ShopError where none has room."""
    from kerftone.modal.notes import read_notes

    used, _ = places_on(drum, outline(drum), faces_heard(drum, solution, read_notes(drum, solution.modes())))
    if used.best is None:
        raise ShopError("No place has room for the pickup's disc: use a smaller one.")
    x, y = used.points_mm[used.best]
    return used.on, (float(x), float(y))


def _thick_mm(drum: Drum, on: Face) -> float:
    return drum.top.thickness_mm if on == "top" or drum.bottom is None else drum.bottom.thickness_mm


def _charges(drum: Drum, modes: Modes, motions: DiscMotions, mounting: Mounting) -> Array:
    pickup = drum.making.pickup
    assert pickup is not None
    return charges(
        mounting,
        pickup.disc_mm,
        share=_shares(drum, motions.on, mounting),
        strain=motions.strain,
        lift=motions.lift,
        hz=np.asarray(modes.hz),
    )


def _mountings(drum: Drum) -> tuple[Mounting, ...]:
    return mountings(drum.top.elastic)


def _glued(drum: Drum, on: Face) -> tuple[float, float]:
    return _shares(drum, on, _mountings(drum)[0])


def _shares(drum: Drum, on: Face, mounting: Mounting) -> tuple[float, float]:
    pickup = drum.making.pickup
    part = drum.bottom if on == "bottom" and drum.bottom is not None else drum.top
    assert pickup is not None
    return shares(mounting, part.elastic, cut=part.cut, thick_mm=part.thickness_mm, disc_mm=pickup.disc_mm)


def _corner_hz(drum: Drum) -> float:
    """The load's corner, in the middle of what discs have."""
    pickup = drum.making.pickup
    assert pickup is not None
    bass = bass_of(disc_mm=pickup.disc_mm, load_kohm=pickup.load_kohm, lowest_hz=min(drum.targets_hz))
    return math.sqrt(bass.corner_hz[0] * bass.corner_hz[1])


def _beside(db: float) -> str:
    return f"{abs(db):.0f} dB {'over' if db > 0.0 else 'under'}"


def _db(ratio: float) -> float:
    return 20.0 * math.log10(max(abs(ratio), 1e-15))
