"""Can this have happened? What is told to the log is held against the drum as it is at that moment.

Two kinds of refusal. What cannot be (a bore through the top, a tongue that is not there) is always refused. What is
doubtful (a bit the shop does not list, less wood left than the shop wants, a pitch far from what is likely) is
refused until the maker says that it is so: the log is for what happened, also when it should not have. Lengths in
mm, seen from above; tongues count from 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from shapely.geometry import Point
from shapely.ops import nearest_points

from kerftone.bench.facts import BoreMade
from kerftone.drum.bore_limits import between_mm, bore_limits, to_root_mm
from kerftone.drum.check import MIN_BORE_RIM_MM, check_outline
from kerftone.drum.design import Bore, Drum, Tongue
from kerftone.drum.outline import outline, tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.drum.tongue_named import on_paper, tongue_named
from kerftone.errors import EntryError, OutlineError, Remedy
from kerftone.tune.history import Lengthened, Trimmed, Weighted, after, same_hole
from kerftone.units import format_length, least_length, most_length

_SLACK = 1e-6
"""Rounding, in mm and in g: nothing a maker could measure."""
READ_MM = 0.5
"""Places are told and read to a whole millimetre or a 32nd of an inch: so much less wood beside a bore is no slip."""
"""Rounding of lengths in mm."""


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where along and across a tongue: from its root line, and from its front edge (None: the centre line)."""

    from_root_mm: float
    from_edge_mm: float | None = None


def tongue_of(drum: Drum, number: int) -> Tongue:
    """The tongue with this number. Raises EntryError when there is none."""
    return drum.tongues[tongue_named(drum, number) - 1]


def called(drum: Drum, number: int) -> str:
    """A tongue in words, as paper calls it: its place and note."""
    return on_paper(drum, number)


def spot_mm(drum: Drum, number: int, place: Place) -> tuple[float, float]:
    """Where on the board a place on a tongue is: x and y in mm from its left front corner, seen from above.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 1.
    place : Place
        On the tongue, in mm from its root and its edge.
    """
    x, y = layout(drum).spot_mm(tongue_of(drum, number), place.from_root_mm, place.from_edge_mm)
    return round(x, 4), round(y, 4)


def place_of(drum: Drum, number: int, bore: Bore) -> Place:
    """Where on its tongue a bore is: the other way round from `spot_mm`.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 1.
    bore : Bore
        In mm from the board's left front corner.
    """
    from_root, from_edge = layout(drum).place_mm(tongue_of(drum, number), bore.x_mm, bore.y_mm)
    return Place(from_root_mm=from_root, from_edge_mm=from_edge)


def bores_under(drum: Drum, number: int) -> tuple[Bore, ...]:
    """The bores whose middle is under this tongue."""
    shape = tongue_polygon(drum, drum.tongues[number - 1], layout(drum))
    return tuple(bore for bore in drum.bores if shape.covers(Point(bore.x_mm, bore.y_mm)))


def check_bore(drum: Drum, made: BoreMade, *, sure: bool) -> None:
    """Refuse a bore that cannot have been made in this drum as it is, or, unless `sure`, is doubtful.

    Raises EntryError. Held by tests/bench/test_limits.py.

    Parameters
    ----------
    drum : Drum
        The drum as it stands, in mm.
    made : BoreMade
        The bore as it was measured.
    sure : bool
        The maker says that it is so.
    """
    tongue_of(drum, made.tongue)
    if not sure:
        _check_bit(drum, made.bit_mm)
    depth = made.depth_mm if made.measured_mm is None else made.measured_mm
    _check_depth(drum, depth, sure=sure)
    bore = Bore(x_mm=made.x_mm, y_mm=made.y_mm, diameter_mm=made.bit_mm, depth_mm=depth)
    if _deepens(drum, bore):
        return
    _check_under(drum, made.tongue, bore)
    _check_web(drum, made.tongue, bore, sure=sure)
    if not sure:
        _check_root(drum, made.tongue, bore)
        _check_others(drum, bore)


def _words(drum: Drum, mm: float) -> str:
    return format_length(mm, drum.units)


def _check_bit(drum: Drum, bit_mm: float) -> None:
    bits = drum.shop.bits_mm
    if any(abs(bit - bit_mm) < 0.05 for bit in bits):
        return
    nearest = min(bits, key=lambda bit: abs(bit - bit_mm))
    raise EntryError(
        f"The bit is {_words(drum, bit_mm)} wide. The shop has {', '.join(_words(drum, bit) for bit in bits)}: the "
        f"nearest is {_words(drum, nearest)}. Add the bit to bits in [shop] of the drum file if you have it.",
        given=bit_mm,
        limit=list(bits),
        nearest=nearest,
        remedy=Remedy.BE_SURE,
    )


def _check_depth(drum: Drum, depth_mm: float, *, sure: bool) -> None:
    thickness, limits = drum.top.thickness_mm, bore_limits(drum)
    hard = limits.refused.over_mm
    if depth_mm <= 0.0:
        raise EntryError(
            f"The bore is {_words(drum, depth_mm)} deep. A bore has a depth above 0, measured from the underside.",
            given=depth_mm,
            limit=0.0,
        )
    least = hard if sure else limits.asked.over_mm
    if depth_mm <= thickness - least + _SLACK:
        return
    left = max(thickness - depth_mm, 0.0)
    hopeless = sure or depth_mm > thickness - hard + _SLACK
    raise EntryError(
        f"The bore is {_words(drum, depth_mm)} deep in a {_words(drum, thickness)} top, leaving "
        f"{_words(drum, left)}. At least {_words(drum, least)} must stay: no deeper than "
        f"{most_length(thickness - least, drum.units)}.",
        given=depth_mm,
        limit=thickness - least,
        nearest=thickness - least,
        remedy=() if hopeless else Remedy.BE_SURE,
    )


def _deepens(drum: Drum, bore: Bore) -> bool:
    """Whether this goes on in a hole that is there. Raises EntryError when it would not deepen it."""
    for old in drum.bores:
        if not same_hole(old, bore):
            continue
        if bore.depth_mm <= old.depth_mm + _SLACK:
            raise EntryError(
                f"There is a bore {_words(drum, old.depth_mm)} deep here already, and {_words(drum, bore.depth_mm)} "
                "is no deeper. A depth is the whole depth from the underside, not what was added: give the whole "
                f"depth, more than {_words(drum, old.depth_mm)}, or void the earlier bore if it was a slip.",
                given=bore.depth_mm,
                limit=old.depth_mm,
            )
        return True
    return False


def _check_under(drum: Drum, number: int, bore: Bore) -> None:
    """The middle of a bore lies under its tongue."""
    lines, at = layout(drum), Point(bore.x_mm, bore.y_mm)
    shapes = [tongue_polygon(drum, tongue, lines) for tongue in drum.tongues]
    mine = shapes[number - 1]
    if mine.buffer(_SLACK).contains(at):
        return
    other = next((n for n, shape in enumerate(shapes, start=1) if shape.contains(at)), None)
    board = (0.0 <= at.x <= drum.top.length_mm) and (0.0 <= at.y <= drum.top.width_mm)
    where = f"under {called(drum, other)}" if other else "in no tongue" if board else "off the board"
    tongue = drum.tongues[number - 1]
    assert tongue.length_mm is not None
    assert tongue.row is not None
    radius, wide = 0.5 * bore.diameter_mm, lines.width_at_mm(tongue.row, at.x)
    raise EntryError(
        f"The bore's middle is {where}, not under {called(drum, number)}. That tongue is "
        f"{_words(drum, tongue.length_mm)} long from its root and {_words(drum, wide)} wide from "
        f"its front edge: keep this bit at least {least_length(radius + MIN_BORE_RIM_MM, drum.units)} inside both.",
        given=(bore.x_mm, bore.y_mm),
    )


def _check_web(drum: Drum, number: int, bore: Bore, *, sure: bool) -> None:
    """Enough wood between a bore and slots, tip and walls."""
    drawn = outline(drum)
    free = drawn.top.intersection(drawn.box_inner)
    centre, radius = Point(bore.x_mm, bore.y_mm), 0.5 * bore.diameter_mm
    web = (free.boundary.distance(centre) if free.contains(centre) else 0.0) - radius
    limits = bore_limits(drum)
    hard = limits.refused.edge_mm
    least = hard if sure else limits.asked.edge_mm
    if web >= least - (_SLACK if sure else READ_MM):
        return
    what = (
        f"breaks out by {_words(drum, -web)}"
        if web < 0.0
        else f"leaves {_words(drum, web)} of wood beside it"
    )
    slot = drawn.removed.distance(centre) <= free.boundary.distance(centre) + 0.01
    room = free.intersection(drawn.tongues[number - 1]).buffer(-0.01)
    inside = free.buffer(-(radius + least)).intersection(room)
    mend, nearest = "use a narrower bit", None
    if not inside.is_empty:
        spot = nearest_points(inside, centre)[0]
        there = place_of(drum, number, replace(bore, x_mm=spot.x, y_mm=spot.y))
        nearest = (there.from_root_mm, there.from_edge_mm)
        assert there.from_edge_mm is not None
        mend = (
            f"the nearest place is {_words(drum, there.from_root_mm)} from the root and "
            f"{_words(drum, there.from_edge_mm)} from the front edge"
        )
    hopeless = sure or web < hard - _SLACK
    raise EntryError(
        f"The bore, {_words(drum, bore.diameter_mm)} wide, {what}, towards {'a slot' if slot else 'the wall'}. At "
        f"least {_words(drum, least)} must stay there: {mend}.",
        given=web,
        limit=least,
        nearest=nearest,
        remedy=() if hopeless else Remedy.BE_SURE,
    )


def _check_root(drum: Drum, number: int, bore: Bore) -> None:
    """A bore that reaches to the root is doubtful: there the tongue bends most and carries most."""
    web, least = to_root_mm(drum, number - 1, bore), bore_limits(drum).asked.root_mm
    if least is None or web >= least - _SLACK:
        return
    does = f"leaves {_words(drum, web)} of wood to" if web >= 0.0 else f"reaches {_words(drum, -web)} past"
    nearest = 0.5 * bore.diameter_mm + least
    raise EntryError(
        f"The bore, {_words(drum, bore.diameter_mm)} wide, {does} the root line of {called(drum, number)}. At least "
        f"{_words(drum, least)} should stay there: no nearer than {least_length(nearest, drum.units)} from the root "
        "to its middle.",
        given=web,
        limit=least,
        nearest=nearest,
        remedy=Remedy.BE_SURE,
    )


def _check_others(drum: Drum, bore: Bore) -> None:
    """A bore that breaks into another one or nearly so is doubtful: more often a wrong number than a wish."""
    least = bore_limits(drum).asked.between_mm
    if least is None:
        return
    for old in drum.bores:
        gap = between_mm(old, bore)
        if gap < least - _SLACK:
            apart = math.hypot(old.x_mm - bore.x_mm, old.y_mm - bore.y_mm)
            what = "break into" if gap < 0.0 else f"leave {_words(drum, gap)} of wood to"
            raise EntryError(
                f"The bore would {what} the one {_words(drum, old.diameter_mm)} wide whose middle is "
                f"{_words(drum, apart)} away. Bores stand {_words(drum, least)} clear of each other, or one is made "
                "deeper in the very same place with the same bit: check the numbers.",
                given=gap,
                limit=least,
                remedy=Remedy.BE_SURE,
            )


def check_change(drum: Drum, change: Lengthened | Trimmed | Weighted) -> None:
    """Refuse a change that takes nothing, or leaves a drum that cannot be. Raises EntryError.

    Held by tests/bench/test_limits.py.
    """
    number = change.tongue + 1
    tongue = tongue_of(drum, number)
    if isinstance(change, Weighted):
        if change.grams == 0.0 or tongue.weight_g + change.grams < -_SLACK:
            raise EntryError(
                f"The weight is {change.grams:g} g, and {called(drum, number)} carries {tongue.weight_g:g} g. A "
                "weight added is above 0; one taken off is below 0 and no more than is there: the most that comes "
                f"off is {-tongue.weight_g:g} g.",
                given=change.grams,
                limit=-tongue.weight_g,
            )
        return
    if change.by_mm <= 0.0:
        raise EntryError(
            f"{_words(drum, change.by_mm)} is taken off {called(drum, number)}. Wood comes off, never on: give a "
            "length above 0.",
            given=change.by_mm,
            limit=0.0,
        )
    done = "lengthening its slots" if isinstance(change, Lengthened) else "trimming it"
    try:
        if isinstance(change, Trimmed) and change.by_mm >= (tongue.length_mm or 0.0):
            raise OutlineError(f"Nothing would be left of its {_words(drum, tongue.length_mm or 0.0)}.")
        check_outline(after(drum, [change]))
    except OutlineError as error:
        raise EntryError(
            f"{called(drum, number)}: {done} by {_words(drum, change.by_mm)} cannot be. {error.message} "
            "Check the number given.",
            given=change.by_mm,
            limit=error.limit,
            nearest=error.nearest,
        ) from error
