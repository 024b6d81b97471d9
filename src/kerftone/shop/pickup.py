"""A contact disc under the top: how low it hears, and where it hears all notes.

A disc is a small capacitor; with the load it feeds (volume control and amplifier together) it loses the low
notes below f = 1/(2 pi R C). A disc answers to the strain of the wood under it, so the best place has some strain
in every note's motion. The motions come from the model as plain numbers; nothing here solves.

Capacitances are from memory and scatter widely between makes: a range is shown, never one number.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point, box
from shapely.ops import nearest_points

from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline
from kerftone.errors import ShopError
from kerftone.shop.check import Check
from kerftone.shop.measure import Measure, measure_of

NF_PER_MM2 = (15.0 / 27.0**2, 25.0 / 27.0**2)
"""From memory: a passive disc 27 mm across has some 15 to 25 nF; by area for other sizes."""
RIM_MM = 1.5
"""Wood round the disc on all sides."""
ROOT_SHARE = 0.3
"""A disc may lie over this share of a tongue from its root: further out it loads and damps the note."""

PLACE = "Pickup's place"
HEARD_LEAST = 0.25
"""A note that has less than this share of its best, 12 dB down, is heard as missing: own judgement."""
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
class Places:
    """How well a disc hears the notes over the top.

    points_mm (p, 2); even (p,): from 0 to 1, the least share any note has there of what it has at its own best
    place; allowed (p,): whether the disc fits there. best, worst: numbers of points, among the allowed;
    None when none is. given: the number of the point that the drum file asks for. shares (p, t): per tongue.
    """

    points_mm: Array
    even: Array
    allowed: NDArray[np.bool_]
    shares: Array
    best: int | None
    worst: int | None
    notes: tuple[str, ...]
    given: int | None = None


def sample_points(drawn: Outline, *, step_mm: float = 6.0, given_mm: Spot | None = None) -> Array:
    """Points of a square net on the wood inside the walls, where a disc's strain is to be asked for.

    The place that the drum file gives, if any, comes last.

    Parameters
    ----------
    drawn : Outline
        The outline of the top, in mm.
    step_mm : float, optional
        The width of the net's meshes, in mm.
    given_mm : Spot | None, optional
        The place that the drum file gives, in mm.
    """
    wood = drawn.top.intersection(drawn.box_inner).buffer(-0.5)
    x0, y0, x1, y1 = drawn.box_inner.bounds
    xs = np.arange(x0 + 0.5 * step_mm, x1, step_mm)
    ys = np.arange(y0 + 0.5 * step_mm, y1, step_mm)
    points = [(x, y) for x in xs for y in ys if wood.contains(Point(x, y))]
    return np.array(points if given_mm is None else [*points, given_mm])


def check_disc(drum: Drum, drawn: Outline) -> None:
    """Refuse a given place where the disc does not lie on whole wood inside the walls, with the nearest that works.

    Raises ShopError. Held by tests/shop/test_pickup.py.
    """
    pickup, words = drum.making.pickup, measure_of(drum)
    if pickup is None or pickup.x_mm is None or pickup.y_mm is None:
        return
    room = _room(drawn, pickup.disc_mm, bores_of(drum))
    given = Point(pickup.x_mm, pickup.y_mm)
    if room.buffer(SLACK_MM).covers(given):
        return
    if room.is_empty:
        raise ShopError(
            f"No place on the top has room for a disc {words(pickup.disc_mm)} across. It needs whole wood inside the "
            "walls, off the outer part of the tongues: take a smaller one, or wider margins.",
            given=pickup.disc_mm,
        )
    near = nearest_points(room, given)[0]
    bar = "a root bar, " if drum.box.root_bar_mm else ""
    raise ShopError(
        f"The disc lies {words(pickup.x_mm)} along and {words(pickup.y_mm)} across, where it meets a slot, a wall, "
        f"{bar}a bore or the outer part of a tongue. It needs whole wood: the nearest that works is x = "
        f"{words(near.x)}, y = {words(near.y)} in [pickup].",
        given=(pickup.x_mm, pickup.y_mm),
        nearest=(near.x, near.y),
    )


def place_check(places: Places, words: Measure) -> Check | None:
    """Whether every note is well heard where the disc goes: the drum file's place, else the best there is.

    None where no place has room for the disc. Held by tests/shop/test_pickup.py.
    """
    used = places.best if places.given is None else places.given
    if used is None or places.best is None:
        return None
    weakest = int(np.argmin(places.shares[used]))
    least = float(places.shares[used][weakest])
    where = "the place in your drum file" if places.given is not None else "the best place on this top"
    numbers = (
        f"at {where} {places.notes[weakest]} is heard at {least:.0%} of its best, every other note better"
    )
    if least >= HEARD_LEAST:
        return Check(name=PLACE, verdict="good", numbers=numbers)
    best = float(places.even[places.best])
    if best >= HEARD_LEAST:
        x, y = places.points_mm[places.best]
        mend = (
            f"put its middle {words(x)} along and {words(y)} across, where the weakest note has {best:.0%}."
        )
    else:
        mend = (
            f"no place hears every note well, the best has {best:.0%}: a smaller disc, or a second one beside the "
            f"root of {places.notes[weakest]}, wired side by side with the first."
        )
    return Check(name=PLACE, verdict="mind", numbers=numbers, mend=mend)


def bores_of(drum: Drum) -> list[tuple[float, float, float]]:
    """The bores as `places_of` wants them."""
    return [(bore.x_mm, bore.y_mm, bore.diameter_mm) for bore in drum.bores]


def places_of(
    drawn: Outline,
    *,
    points_mm: Array,
    strain: Array,
    notes: Sequence[str],
    disc_mm: float,
    bores: Sequence[tuple[float, float, float]] = (),
) -> Places:
    """Where a disc hears all notes, given the strain (p, t) of the underside at these points for each note.

    The sign of `strain` counts: under one disc, strains of opposite sign cancel, so it is averaged over the disc
    before its size is taken. `bores`: x, y, diameter. Held by tests/shop/test_pickup.py.

    Parameters
    ----------
    drawn : Outline
        The outline of the top, in mm.
    points_mm : Array
        (p, 2), in mm.
    strain : Array
        Of the underside there for each note, (p, t), signed.
    notes : Sequence[str]
        The notes, in the order of the tongues.
    disc_mm : float
        Diameter of the disc, in mm.
    bores : Sequence[tuple[float, float, float]], optional
        x, y and diameter of each, in mm.
    """
    gaps = np.hypot(*(points_mm[:, None, :] - points_mm[None, :, :]).transpose(2, 0, 1))
    under = gaps <= 0.5 * disc_mm
    signal = np.abs((under @ strain) / under.sum(axis=1)[:, None])
    room = _room(drawn, disc_mm, bores)
    allowed = np.array([room.covers(Point(x, y)) for x, y in points_mm], dtype=bool)
    pool = signal[allowed] if allowed.any() else signal
    shares = np.clip(signal / np.maximum(pool.max(axis=0), 1e-300), 0.0, 1.0)
    even = shares.min(axis=1)
    numbers = np.flatnonzero(allowed)
    best = int(numbers[np.argmax(even[numbers])]) if len(numbers) else None
    worst = int(numbers[np.argmin(even[numbers])]) if len(numbers) else None
    return Places(
        points_mm=points_mm,
        even=even,
        allowed=allowed,
        shares=shares,
        best=best,
        worst=worst,
        notes=tuple(notes),
    )


def _room(drawn: Outline, disc_mm: float, bores: Sequence[tuple[float, float, float]]) -> Any:
    """Where the middle of the disc may lie: on whole wood, off bores, off the outer part of the tongues."""
    wood = drawn.top.intersection(drawn.box_inner)
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
