"""A contact disc under the top or on the bottom's inside: how low it hears, and where it hears all notes.

A disc is a small capacitor; with the load it feeds (volume control and amplifier together) it loses the low
notes below f = 1/(2 pi R C). A disc answers to the strain of the wood under it, so the best place has some strain
in every note's motion. Under the top that is great near one tongue's root and small for the others; the bottom moves
less, and much alike in all notes. The motions come from the model as plain numbers; nothing here solves.

Capacitances are from memory and scatter widely between makes: a range is shown, never one number.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point, box
from shapely.ops import nearest_points

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline
from kerftone.drum.shop import Face
from kerftone.errors import ShopError
from kerftone.shop.measure import Measure, measure_of
from kerftone.shop.verdict import Check

NF_PER_MM2 = (15.0 / 27.0**2, 25.0 / 27.0**2)
"""From memory: a passive disc 27 mm across has some 15 to 25 nF; by area for other sizes."""
RIM_MM = 1.5
"""Wood round the disc on all sides."""
ROOT_SHARE = 0.3
"""A disc may lie over this share of a tongue from its root: further out it loads and damps the note."""

PLACE = "Pickup's place"
FACES = {"top": "under the top", "bottom": "on the inside of the bottom"}
UNEVEN_DB = 12.0
"""A note that is weaker than the strongest by more is heard as missing: own judgement."""
UNEVEN_COSTS = 0.5
"""A place is judged by its weakest note, in dB, less this share of how far the notes lie apart there: an amplifier
lifts what is weak and even, nothing lifts one note alone. Own judgement."""
SLACK_MM = 0.5
"""A place typed as a fraction of an inch may lie this much beyond the line: it is less than a pencil's width."""

Array = NDArray[np.floating[Any]]
Spot = tuple[float, float]


def corner_hz(*, capacitance_nf: float, load_kohm: float) -> float:
    """Below what frequency this disc into this load grows weak: 3 dB down there, 6 dB an octave below.

    >>> round(corner_hz(capacitance_nf=1000.0, load_kohm=1.0), 3)
    159.155
    """
    return 1.0 / (2.0 * math.pi * capacitance_nf * 1e-9 * load_kohm * 1e3)


def loss_db(*, hz: float, corner: float) -> float:
    """How much weaker a note of this pitch is than one far above the corner, in dB, from 0 up."""
    return 10.0 * math.log10(1.0 + (corner / hz) ** 2)


@dataclass(frozen=True, kw_only=True)
class Bass:
    """How a disc and load treat the lowest note: corners for the most and the least capacitance expected."""

    capacitance_nf: tuple[float, float]
    load_kohm: float
    corner_hz: tuple[float, float]
    lowest_hz: float
    loss_db: tuple[float, float]


def bass_of(*, disc_mm: float, load_kohm: float, lowest_hz: float) -> Bass:
    """What the low corner does to the lowest note, best and worst case of the disc's capacitance.

    Parameters
    ----------
    disc_mm : float
        Diameter of the disc, in mm.
    load_kohm : float
        What it is connected to, in kOhm.
    lowest_hz : float
        The drum's lowest note, in Hz.
    """
    small, large = (share * disc_mm**2 for share in NF_PER_MM2)
    corners = (
        corner_hz(capacitance_nf=large, load_kohm=load_kohm),
        corner_hz(capacitance_nf=small, load_kohm=load_kohm),
    )
    losses = loss_db(hz=lowest_hz, corner=corners[0]), loss_db(hz=lowest_hz, corner=corners[1])
    return Bass(
        capacitance_nf=(small, large),
        load_kohm=load_kohm,
        corner_hz=corners,
        lowest_hz=lowest_hz,
        loss_db=losses,
    )


def loss_words(bass: Bass) -> str:
    """How much the lowest note loses, in words."""
    low, high = bass.loss_db
    if high < 0.1:
        return "next to nothing"
    return f"{low:.1f} to {high:.1f} dB" if high - low >= 0.1 else f"{high:.1f} dB"


@dataclass(frozen=True, kw_only=True)
class Signal:
    """What a disc's ceramic would have of each note at points of one face: points_mm (p, 2), signal (p, t), signed.

    All faces of a drum are on one scale.
    """

    on: Face
    points_mm: Array
    signal: Array


@dataclass(frozen=True, kw_only=True)
class Places:
    """How well a disc hears the notes over one face.

    points_mm (p, 2); level_db (p, t): each note's signal there, on the scale of `Signal`; worth_db (p,): the weakest
    note's, less a share of how far they lie apart; allowed (p,): whether the disc fits there. best, worst: numbers of
    points, among the allowed; None when none is. given: the number of the point that the drum file asks for.
    """

    on: Face
    points_mm: Array
    level_db: Array
    worth_db: Array
    allowed: NDArray[np.bool_]
    best: int | None
    worst: int | None
    notes: tuple[str, ...]
    given: int | None = None

    @property
    def used(self) -> int | None:
        """The number of the point that the disc goes to: the drum file's, else the best."""
        return self.best if self.given is None else self.given

    def apart_db(self, number: int) -> float:
        """How far the weakest note lies under the strongest at this point, in dB."""
        return float(np.ptp(self.level_db[number]))

    def weakest(self, number: int) -> str:
        """The note that is weakest at this point."""
        return self.notes[int(np.argmin(self.level_db[number]))]


def sample_points(
    drawn: Outline, *, on: Face = "top", step_mm: float = 6.0, given_mm: Spot | None = None
) -> Array:
    """Points of a square net inside the walls, on the top's wood or all over the bottom.

    The place that the drum file gives, if any, comes last.

    Parameters
    ----------
    drawn : Outline
        The outline of the top, in mm.
    on : Face, optional
        The face that the disc is glued to.
    step_mm : float, optional
        The width of the net's meshes, in mm.
    given_mm : Spot | None, optional
        The place that the drum file gives, in mm.
    """
    wood = _face(drawn, on).buffer(-0.5)
    x0, y0, x1, y1 = wood.bounds
    xs = np.arange(x0 + 0.5 * step_mm, x1, step_mm)
    ys = np.arange(y0 + 0.5 * step_mm, y1, step_mm)
    points = [(x, y) for x in xs for y in ys if wood.contains(Point(x, y))]
    return np.array(points if given_mm is None else [*points, given_mm])


def check_disc(drum: Drum, drawn: Outline) -> None:
    """Refuse a given place where the disc does not lie on whole wood inside the walls, with the nearest that works.

    Raises ShopError. Held by tests/shop/test_pickup.py.
    """
    pickup, words = drum.making.pickup, measure_of(drum)
    if pickup is None:
        return
    if pickup.on == "bottom" and drum.bottom is None:
        raise ShopError(
            'The pickup\'s disc is to be glued on the bottom, and this drum has none. Write on = "top" in [pickup], '
            "or add a [bottom] table.",
            given=pickup.on,
            nearest="top",
        )
    if pickup.x_mm is None or pickup.y_mm is None:
        return
    room = _room(drawn, pickup.on, pickup.disc_mm, bores_of(drum))
    given = Point(pickup.x_mm, pickup.y_mm)
    if room.buffer(SLACK_MM).covers(given):
        return
    if room.is_empty:
        raise ShopError(
            f"No place on the {pickup.on} has room for a disc {words(pickup.disc_mm)} across. It needs whole wood "
            "inside the walls, off the outer part of the tongues: take a smaller one, or wider margins.",
            given=pickup.disc_mm,
        )
    near = nearest_points(room, given)[0]
    bar = "a root bar, " if drum.box.root_bar_mm else ""
    meets = f"a slot, a wall, {bar}a bore or the outer part of a tongue" if pickup.on == "top" else "a wall"
    raise ShopError(
        f"The disc lies {words(pickup.x_mm)} along and {words(pickup.y_mm)} across, where it meets {meets}. It needs "
        f"whole wood: the nearest that works is x = {words(near.x)}, y = {words(near.y)} in [pickup].",
        given=(pickup.x_mm, pickup.y_mm),
        nearest=(near.x, near.y),
    )


def place_check(used: Places, best: Places, words: Measure) -> Check | None:
    """Whether every note is well heard where the disc goes: the drum file's place, else the best there is.

    None where no place has room for the disc. Held by tests/shop/test_pickup.py.

    Parameters
    ----------
    used : Places
        Of the face that the disc is glued to.
    best : Places
        Of the face where notes are heard best; may be the same.
    words : Measure
        How the maker reads lengths.
    """
    if used.used is None or best.best is None:
        return None
    where = "the place in your drum file" if used.given is not None else f"the best place, {FACES[used.on]}"
    apart = used.apart_db(used.used)
    numbers = f"at {where} the notes lie within {apart:.0f} dB, {used.weakest(used.used)} the weakest"
    if apart <= UNEVEN_DB:
        return Check(name=PLACE, verdict="good", numbers=numbers)
    there = best.apart_db(best.best)
    if there <= UNEVEN_DB:
        x, y = best.points_mm[best.best]
        mend = (
            f"put its middle {FACES[best.on]}, {words(x)} along and {words(y)} across, where they lie within "
            f"{there:.0f} dB."
        )
    else:
        mend = (
            f"no place hears every note well, at the best they lie within {there:.0f} dB: a smaller disc, or a "
            f"second one beside the root of {used.weakest(used.used)}, wired side by side with the first."
        )
    return Check(name=PLACE, verdict="mind", numbers=numbers, mend=mend)


def bores_of(drum: Drum) -> list[tuple[float, float, float]]:
    """The bores as `places_of` wants them."""
    return [(bore.x_mm, bore.y_mm, bore.diameter_mm) for bore in drum.bores]


def places_of(
    drawn: Outline,
    heard: Signal,
    *,
    notes: Sequence[str],
    disc_mm: float,
    bores: Sequence[tuple[float, float, float]] = (),
) -> Places:
    """Where a disc hears all notes, given what it would have of each at these points.

    The sign of the signal counts: under one disc, strains of opposite sign cancel, so it is averaged over the disc
    before its size is taken. `bores`: x, y, diameter. Held by tests/shop/test_pickup.py.

    Parameters
    ----------
    drawn : Outline
        The outline of the top, in mm.
    heard : Signal
        The face, its points and what is heard there.
    notes : Sequence[str]
        The notes, in the order of the tongues.
    disc_mm : float
        Diameter of the disc, in mm.
    bores : Sequence[tuple[float, float, float]], optional
        x, y and diameter of each, in mm.
    """
    points_mm = heard.points_mm
    gaps = np.hypot(*(points_mm[:, None, :] - points_mm[None, :, :]).transpose(2, 0, 1))
    under = gaps <= 0.5 * disc_mm
    mean = np.abs((under @ heard.signal) / under.sum(axis=1)[:, None])
    level = 20.0 * np.log10(np.maximum(mean, 1e-30))
    worth = level.min(axis=1) - UNEVEN_COSTS * np.ptp(level, axis=1)
    room = _room(drawn, heard.on, disc_mm, bores)
    allowed = np.array([room.covers(Point(x, y)) for x, y in points_mm], dtype=bool)
    numbers = np.flatnonzero(allowed)
    return Places(
        on=heard.on,
        points_mm=points_mm,
        level_db=level,
        worth_db=worth,
        allowed=allowed,
        best=int(numbers[np.argmax(worth[numbers])]) if len(numbers) else None,
        worst=int(numbers[np.argmin(worth[numbers])]) if len(numbers) else None,
        notes=tuple(notes),
    )


def places_on(drum: Drum, drawn: Outline, faces: Sequence[Signal]) -> tuple[Places, Places]:
    """Where the drum's pickup hears the notes: on the face that its disc goes to, and on the best face.

    The drum file's own place, if it has one, is the last point of its face. One that has none is free to go under the
    top or on the bottom, unless the file says the bottom.

    Parameters
    ----------
    drum : Drum
        With a pickup.
    drawn : Outline
        The outline of its top, in mm.
    faces : Sequence[Signal]
        What is heard over each face it has, one at least.
    """
    pickup = drum.making.pickup
    assert pickup is not None
    notes, bores = [tongue.note for tongue in drum.tongues], bores_of(drum)
    found = {
        face.on: places_of(drawn, face, notes=notes, disc_mm=pickup.disc_mm, bores=bores) for face in faces
    }
    best = reduce(better, found.values())
    placed = pickup.x_mm is not None
    used = found.get(pickup.on, best) if placed or pickup.on == "bottom" else best
    return (replace(used, given=len(used.points_mm) - 1) if placed else used), best


def better(one: Places, other: Places) -> Places:
    """That of two faces on which the notes are heard better at its best place."""
    if one.best is None or other.best is None:
        return one if other.best is None else other
    return one if one.worth_db[one.best] >= other.worth_db[other.best] else other


def _face(drawn: Outline, on: Face) -> Any:
    """The wood of this face inside the walls."""
    return drawn.top.intersection(drawn.box_inner) if on == "top" else drawn.wall_inner


def _room(drawn: Outline, on: Face, disc_mm: float, bores: Sequence[tuple[float, float, float]]) -> Any:
    """Where the middle of the disc may lie: on whole wood, under the top off bores and the outer part of the
    tongues."""
    wood = _face(drawn, on)
    if on == "bottom":
        return wood.buffer(-(0.5 * disc_mm + RIM_MM))
    for x, y, diameter in bores:
        wood = wood.difference(Point(x, y).buffer(0.5 * diameter))
    room = wood.buffer(-(0.5 * disc_mm + RIM_MM))
    lines = drawn.layout
    for tongue in drawn.tongues:
        x0, y0, x1, y1 = tongue.bounds
        left = abs(x0 - lines.root_left_mm) < 1e-6
        far = x0 + ROOT_SHARE * (x1 - x0) if left else x1 - ROOT_SHARE * (x1 - x0)
        outer = box(far, y0, x1, y1) if left else box(x0, y0, far, y1)
        room = room.difference(outer)
    return room
