"""What a contact disc under the top hears: each note against the others, a knock, a hand, and by its mounting.

The disc answers to the strain of the wood under it (`sound/contact_disc.py`, `disc_motions.py`) and its load loses
the lowest. Motions are those of wood and air together, so that the air that a tongue presses on the bottom counts; a
neighbour's motion, the walls' and the box's are all in it. Places are compared in those of the wood alone.
What a knuckle or a hand does is own judgement, and called so: compare, do not measure by it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.outline import outline
from kerftone.drum.shop import Face
from kerftone.errors import ShopError
from kerftone.jobs.disc_motions import DiscMotions, UnderDisc, thick_mm
from kerftone.jobs.modes_heard import air_of, modes_heard
from kerftone.jobs.prediction import Prediction
from kerftone.shop.pickup import Signal, beside, places_on, worth_db
from kerftone.shop.pickup_bass import bass_of
from kerftone.shop.verdict import Check
from kerftone.sound import decay
from kerftone.sound.contact_disc import Mounting, charges, mountings, passed, shares

if TYPE_CHECKING:
    from kerftone.modal.result import Array, Modes

KNOCK_N_S, KNOCK_MS = 0.1, 4.0
"""A knuckle on the wall: its impulse and how long it touches. Own judgement."""
RUB_N2 = 3e-4
"""A hand that slides over the wall: its force's density over frequency is so much over the frequency, 0.03 N from
30 Hz to 1 kHz. That a finger sliding on a smooth flat surface makes noise that falls as 1/f is measured (Wiertlewski,
Hudin and Hayward, On the 1/f Noise and Non-Integer Harmonic Decay of the Interaction of a Finger Sliding on Flat and
Sinusoidal Surfaces, 2011: its abstract was read); how strong it is on wood is own judgement."""
BLOW_N_S = 0.02
"""A mallet's blow: 11 g that come at 1 m/s and leave at nearly that."""
KNOCK_LOUD_DB, RUB_LOUD_DB = 12.0, -20.0
"""A knock that is louder over the quietest note, and a hand that is less far under it, are in the way: own
judgement."""
LOUDER_DB = 1.0
"""Less is not told as a difference."""


@dataclass(frozen=True, kw_only=True)
class MountHeard:
    """One way to mount the disc: level_db, the mean of the notes against the drum's own mounting; notes_db, each
    against the loudest; a knuckle's knock and a sliding hand against the quietest note. worth_db: as of a place."""

    name: str
    level_db: float
    notes_db: tuple[float, ...]
    knock_db: float
    rub_db: float
    worth_db: float

    @property
    def apart_db(self) -> float:
        """How far the weakest note lies under the strongest."""
        return -min(self.notes_db)

    def against(self, own: MountHeard) -> str:
        """How this one does against the drum's own, in words: what is alike is left out."""
        words = f"{self.name} {_level(self.level_db)}"
        if abs(self.apart_db - own.apart_db) >= LOUDER_DB:
            words += f", notes within {self.apart_db:.0f} dB"
        if abs(self.knock_db - own.knock_db) >= LOUDER_DB:
            words += f", a knock {beside(self.knock_db)} the quietest"
        if abs(self.rub_db - own.rub_db) >= LOUDER_DB:
            words += f", a hand {beside(self.rub_db)} it"
        return words


@dataclass(frozen=True, kw_only=True)
class PickupHeard:
    """A drum through its pickup, its disc on this face and here: as it is mounted, and mounted otherwise."""

    on: Face
    place_mm: tuple[float, float]
    own: MountHeard
    others: tuple[MountHeard, ...]
    sides_played: bool

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "on": self.on,
            "x_mm": round(self.place_mm[0], 1),
            "y_mm": round(self.place_mm[1], 1),
            "notes_db": [round(db, 1) for db in self.own.notes_db],
            "knock_db": round(self.own.knock_db, 1),
            "rub_db": round(self.own.rub_db, 1),
            "mountings": [
                {
                    "name": one.name,
                    "level_db": round(one.level_db, 1),
                    "apart_db": round(one.apart_db, 1),
                    "knock_db": round(one.knock_db, 1),
                    "rub_db": round(one.rub_db, 1),
                }
                for one in (self.own, *self.others)
            ],
        }

    def checks(self) -> tuple[Check, Check]:
        """What a knock does, and what other mountings would give, as the shop's checks."""
        own = self.own
        knock = (
            f"a knuckle on the front wall is heard {beside(own.knock_db)} the quietest note, a hand that slides "
            f"over the box {beside(own.rub_db)} it; how hard is own judgement"
        )
        loud = own.rub_db > RUB_LOUD_DB or (own.knock_db > KNOCK_LOUD_DB and not self.sides_played)
        faint = self.sides_played and own.knock_db < -KNOCK_LOUD_DB
        mend = "a place where the quietest note is stronger: see Pickup's place." if loud else ""
        if faint and not loud:
            mend = (
                "the sides are to be played and are hardly heard: see Pickup's place for one nearer a wall."
            )
        best = max((own, *self.others), key=lambda one: one.worth_db)
        each = "; ".join(one.against(own) for one in self.others)
        told = f"{own.name} the notes lie within {own.apart_db:.0f} dB. Against it {each}"
        better = best.worth_db > own.worth_db + LOUDER_DB
        return (
            Check(
                name="Pickup and knocks",
                verdict="mind" if loud or faint else "good",
                numbers=knock,
                mend=mend,
            ),
            Check(
                name="Pickup's mounting",
                verdict="mind" if better else "good",
                numbers=told,
                mend=f"{best.name} it hears the notes better." if better else "",
            ),
        )


@dataclass(frozen=True, kw_only=True)
class Drives:
    """What moves the modes: owns (t,), which mode is each tongue's note; how far a blow on each tongue moves it
    (t,), and a knock and a hand on the wall each mode (n,); what the load leaves (n,)."""

    owns: list[int]
    notes: Array
    knock: Array
    rub: Array

    def levels(self, charge: Array) -> tuple[Array, float, float]:
        """The notes (t,), a knock and a hand through a disc that has so much charge of each mode (n,)."""
        return (
            np.maximum(np.abs(charge[self.owns] * self.notes), 1e-300),
            float(np.linalg.norm(charge * self.knock)),
            float(np.linalg.norm(charge * self.rub)),
        )


def drives(prediction: Prediction, modes: Modes, owns: list[int], wall: Array) -> Drives:
    """What a mallet, a knuckle and a hand do to these modes, less what the disc's load loses.

    Parameters
    ----------
    prediction : Prediction
        Of a drum with a pickup.
    modes : Modes
        Of its wood alone, or of wood and air.
    owns : list[int]
        Which of them is each tongue's note.
    wall : Array
        How far the front wall goes in where it is knocked at, (n,).
    """
    drum = prediction.drum
    hz = np.asarray(modes.hz, dtype=np.float64)
    omega, left = 2.0 * math.pi * hz, passed(hz, _corner_hz(drum))
    # A half sine's spectrum, 1 at its foot; a mode's answer to a noise of density G is G / (8 zeta omega³), its
    # integral.
    turns = 1e-3 * hz * KNOCK_MS
    shape = np.abs(0.25 * math.pi * (np.sinc(turns - 0.5) + np.sinc(turns + 0.5)))
    loss = decay.wood_loss(hz, drum.top) + decay.radiation_loss(
        hz, np.asarray(modes.volume, dtype=np.float64), air_of(prediction)
    )
    return Drives(
        owns=owns,
        notes=BLOW_N_S * modes.strike[range(len(owns)), owns] * (left / omega)[owns],
        knock=KNOCK_N_S * wall * shape * left / omega,
        rub=wall * left * np.sqrt(RUB_N2 / hz / (4.0 * loss * omega**3)),
    )


def faces_heard(prediction: Prediction, under: UnderDisc) -> tuple[Signal, ...]:
    """What a disc, mounted as the drum file says, would have of one same blow on each tongue, of a knock and of a
    hand, over the top and, where there is one, the bottom. The place in the drum file comes last on its face.

    Parameters
    ----------
    prediction : Prediction
        Of a drum with a pickup.
    under : UnderDisc
        How its wood moves.
    """
    drum, box = prediction.drum, under.box()
    owns = [tongue.heard.mode for tongue in prediction.tongues]
    driven = drives(prediction, prediction.modes, owns, box.wall)
    found = []
    for face in box.faces:
        charge = face.strain @ np.array(_shares(drum, face.on, _mountings(drum)[0]))
        found.append(
            Signal(
                on=face.on,
                points_mm=face.points_mm,
                signal=charge[:, owns] * driven.notes,
                knock=charge * driven.knock,
                rub=charge * driven.rub,
            )
        )
    return tuple(found)


def disc_motions(prediction: Prediction, under: UnderDisc) -> DiscMotions:
    """How the wood under the pickup's disc moves, where the drum file has it, or at the best place there is.

    Raises ShopError where no place has room.

    Parameters
    ----------
    prediction : Prediction
        Of a drum with a pickup.
    under : UnderDisc
        How its wood moves.
    """
    drum = prediction.drum
    pickup = drum.making.pickup
    assert pickup is not None
    if pickup.x_mm is not None and pickup.y_mm is not None:
        return under.disc(pickup.on, (pickup.x_mm, pickup.y_mm))
    used, _ = places_on(drum, outline(drum), faces_heard(prediction, under))
    if used.best is None:
        raise ShopError("No place has room for the pickup's disc: use a smaller one.")
    x, y = used.points_mm[used.best]
    return under.disc(used.on, (round(float(x), 3), round(float(y), 3)))


def through_pickup(prediction: Prediction, motions: DiscMotions) -> Modes:
    """The modes as the disc, as it is mounted, and its load pass them on, for `sound/render.py` to strike."""
    drum, modes = prediction.drum, modes_heard(prediction)
    disc = _in_air(prediction, motions)
    charge = _charges(drum, modes, disc, _mountings(drum)[0]) * passed(modes.hz, _corner_hz(drum))
    heard = -charge / (2.0 * math.pi * np.asarray(modes.hz)) ** 2
    return replace(modes, sweep=np.tile(heard, (len(modes.strike), 1)))


def pickup_heard(prediction: Prediction, motions: DiscMotions) -> PickupHeard:
    """How loud the notes, a knock and a hand are through the pickup, as it is mounted and mounted otherwise."""
    drum, air = prediction.drum, prediction.in_air
    modes, disc = modes_heard(prediction), _in_air(prediction, motions)
    owns = [one.heard.mode for one in prediction.tongues] if air is None else [int(own) for own in air.owns]
    driven = drives(prediction, modes, owns, disc.wall)
    pickup = drum.making.pickup
    assert pickup is not None
    played = pickup.sides == "played"
    found: list[MountHeard] = []
    first: Array | None = None
    for mounting in _mountings(drum):
        notes, knock, rub = driven.levels(_charges(drum, modes, disc, mounting))
        first = notes if first is None else first
        levels = 20.0 * np.log10(notes)
        worth = worth_db(levels[None, :], np.array([_db(knock)]), sides_played=played)
        found.append(
            MountHeard(
                name=mounting.name,
                level_db=float(np.mean(levels - 20.0 * np.log10(first))),
                notes_db=tuple(float(db) for db in levels - levels.max()),
                knock_db=_db(knock / float(notes.min())),
                rub_db=_db(rub / float(notes.min())),
                worth_db=float(worth[0]),
            )
        )
    return PickupHeard(
        on=motions.on,
        place_mm=motions.place_mm,
        own=found[0],
        others=tuple(found[1:]),
        sides_played=played,
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
    """The drum's own mounting first, then the others."""
    pickup = drum.making.pickup
    assert pickup is not None
    return mountings(drum.top.elastic, pocket_mm=pickup.recess_mm)


def _shares(drum: Drum, on: Face, mounting: Mounting) -> tuple[float, float]:
    pickup = drum.making.pickup
    part = drum.bottom if on == "bottom" and drum.bottom is not None else drum.top
    assert pickup is not None
    return shares(mounting, part.elastic, cut=part.cut, thick_mm=thick_mm(drum, on), disc_mm=pickup.disc_mm)


def _corner_hz(drum: Drum) -> float:
    """The load's corner, in the middle of what discs have."""
    pickup = drum.making.pickup
    assert pickup is not None
    bass = bass_of(disc_mm=pickup.disc_mm, load_kohm=pickup.load_kohm, lowest_hz=min(drum.targets_hz))
    return math.sqrt(bass.corner_hz[0] * bass.corner_hz[1])


def _level(db: float) -> str:
    """How loud against the drum's own mounting, in words."""
    if abs(db) < LOUDER_DB:
        return "as loud"
    return f"{abs(db):.0f} dB {'louder' if db > 0.0 else 'less'}"


def _db(ratio: float) -> float:
    return 20.0 * math.log10(max(abs(ratio), 1e-15))
