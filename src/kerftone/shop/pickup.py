"""A contact disc under the top or on the bottom's inside: where it hears all notes, and knocks not too much.

How low it hears is told in `pickup_bass.py`. A disc answers to the strain of the wood under it, so the best place has
some strain in every note's motion. Under the top that is great near one tongue's root and small for the others; the
bottom moves less, and much alike in all notes. The motions come from the model as plain numbers; nothing here solves.
"""

from __future__ import annotations

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
KNOCK_COSTS, QUIET_DB = 0.3, -12.0
"""And less this share of how far a knock on the wall is heard over its weakest note; one so far under it is down.
Own judgement."""
SLACK_MM = 0.5
"""A place typed as a fraction of an inch may lie this much beyond the line: it is less than a pencil's width."""

Array = NDArray[np.floating[Any]]
Spot = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Signal:
    """What a disc's ceramic would have of each note at points of one face: points_mm (p, 2), signal (p, t), signed.

    knock, rub (p, m): and what it would have in each of some modes of a knock on the wall, and of a hand that slides
    over it; None where that is not asked. All faces of a drum are on one scale.
    """

    on: Face
    points_mm: Array
    signal: Array
    knock: Array | None = None
    rub: Array | None = None


@dataclass(frozen=True, kw_only=True)
class Places:
    """How well a disc hears the notes over one face.

    points_mm (p, 2); level_db (p, t): each note's signal there, on the scale of `Signal`; worth_db (p,): see
    `worth_db`; allowed (p,): whether the disc fits there. best, worst: numbers of points, among the allowed; None
    when none is. given: the number of the point that the drum file asks for. knock_db, rub_db (p,): a knock on the
    wall and a hand that slides over it against the weakest note there; None where that is not known.
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
    knock_db: Array | None = None
    rub_db: Array | None = None

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

    def heard_words(self, number: int) -> str:
        """What is heard at this point: how even the notes are, and how loud a knock and a hand."""
        words = f"the notes lie within {self.apart_db(number):.0f} dB, {self.weakest(number)} the weakest"
        if self.knock_db is None or self.rub_db is None:
            return words
        knock, rub = (beside(float(of[number])) for of in (self.knock_db, self.rub_db))
        return f"{words}; a knuckle on the wall is heard {knock} it, a hand that slides over it {rub} it"


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
    numbers = f"at {where} {used.heard_words(used.used)}"
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


def beside(db: float) -> str:
    """How far one thing is heard over or under another, in words."""
    return f"{abs(db):.0f} dB {'over' if db > 0.0 else 'under'}"


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
    sides_played: bool = False,
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
    sides_played : bool, optional
        Whether knocks on the walls are to be heard as a note is.
    """
    points_mm = heard.points_mm
    gaps = np.hypot(*(points_mm[:, None, :] - points_mm[None, :, :]).transpose(2, 0, 1))
    under = (gaps <= 0.5 * disc_mm) / (gaps <= 0.5 * disc_mm).sum(axis=1)[:, None]
    level = _level_db(np.abs(under @ heard.signal))
    noises = [
        None if of is None else _level_db(np.linalg.norm(under @ of, axis=1))
        for of in (heard.knock, heard.rub)
    ]
    worth = worth_db(level, noises[0], sides_played=sides_played)
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
        knock_db=None if noises[0] is None else noises[0] - level.min(axis=1),
        rub_db=None if noises[1] is None else noises[1] - level.min(axis=1),
    )


def _level_db(signal: Array) -> Array:
    return np.asarray(20.0 * np.log10(np.maximum(signal, 1e-30)))


def worth_db(level_db: Array, knock_db: Array | None = None, *, sides_played: bool = False) -> Array:
    """How good places or mountings are: the weakest note, less a share of how far the notes lie apart and of how far
    a knock is heard over the weakest. Where the sides are played, a knock counts as one more note instead (p,).

    Parameters
    ----------
    level_db : Array
        Of each note, (p, t).
    knock_db : Array | None, optional
        Of a knock, on the same scale (p,); None leaves it out.
    sides_played : bool, optional
        Whether knocks on the walls are to be heard as a note is.
    """
    if knock_db is not None and sides_played:
        level_db, knock_db = np.column_stack([level_db, knock_db]), None
    weakest = level_db.min(axis=1)
    costs = UNEVEN_COSTS * np.ptp(level_db, axis=1)
    if knock_db is not None:
        costs = costs + KNOCK_COSTS * np.maximum(knock_db - weakest, QUIET_DB)
    return np.asarray(weakest - costs)


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
    played = pickup.sides == "played"
    found = {
        face.on: places_of(drawn, face, notes=notes, disc_mm=pickup.disc_mm, bores=bores, sides_played=played)
        for face in faces
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
