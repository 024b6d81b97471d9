"""Can this top be sawn, and will it hold?

`check_outline` refuses a drum whose slots leave too little wood, whose tongues do not fit their rows, or
whose bores meet air, walls or a slot. Each refusal names the tongue, row or bore and the nearest value that
works, rounded to the safe side. The limits are common practice or our own judgement, no source; they keep
the drawing meaningful and the wood in one piece, and do not promise a good instrument.

Parts that cannot be judged yet, because a tongue has no place or length, are passed over.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry import LineString, Point
from shapely.ops import nearest_points

from kerftone.drum.check_bow import check_bows, narrowest_mm, outward_mm
from kerftone.drum.design import Bore, Drum
from kerftone.drum.facing import NEAR_MM, facing, tip_gap_mm, too_near
from kerftone.drum.outline import Outline, outline
from kerftone.drum.plan_lines import Layout, layout
from kerftone.drum.seat import end_seat_mm, seat_mm, seat_name
from kerftone.errors import OutlineError
from kerftone.units import Units, format_length, least_length, most_length

MIN_ROOT_STRIP_MM = 5.0
"""Free wood between the slots' ends and the wall or ledge: less splits along the grain when struck."""
MIN_SIDE_STRIP_MM = 2.0
"""Free wood between the outer slots and the wall or ledge, so that the slots open into the box."""
MIN_TONGUE_WIDTH_MM = 10.0
"""A narrower tongue hardly leaves room for a bit or a mallet: own judgement."""
MIN_TONGUE_LENGTH_MM = 30.0
"""Twice the distance from the tip at which a tongue is struck."""
MIN_NECK_MM = 8.0
"""The narrowest place between a tongue's root and its tip, about half a top's thickness. Own judgement."""
MIN_FLAT_MM = 2.0
"""Flat wood between two rounded edges, so that a bit's fence or base has something to run on. Own judgement."""
MIN_BRIDGE_MM = 5.0
"""Wood between two slots in one line that are not one slot."""
MIN_BORE_RIM_MM = 1.0
"""Wood between a bore and a slot, wall or ledge."""
# Least wood over a bore, in mm and as a share: see below.
MIN_OVER_BORE_MM = 2.0
OVER_BORE_SHARE = 0.25
"""What must stay over a bore: this share of the thickness, and never less than MIN_OVER_BORE_MM."""

_SLACK = 1e-6
"""Rounding, in mm: nothing a maker could measure."""


@dataclass(frozen=True)
class _Words:
    """Lengths in the drum's own units; limits rounded to the side that still works."""

    units: Units

    def __call__(self, mm: float) -> str:
        return f"{mm:.1f} mm" if self.units == "mm" else format_length(mm, "in")

    def least(self, mm: float) -> str:
        return f"{_step_up(mm):.1f} mm" if self.units == "mm" else least_length(mm, "in")

    def most(self, mm: float) -> str:
        return f"{-_step_up(-mm):.1f} mm" if self.units == "mm" else most_length(mm, "in")


def _step_up(mm: float) -> float:
    return math.ceil(mm / 0.1 - _SLACK) * 0.1


def check_outline(drum: Drum) -> None:
    """Refuse a drum that cannot be sawn or would not hold together.

    Raises OutlineError, whose text says what was given, which limit it crosses and the nearest that works.
    Held by tests/drum/test_check.py.
    """
    words = _Words(drum.units)
    _check_margins(drum, words)
    if any(tongue.row is None or tongue.side is None for tongue in drum.tongues):
        return
    lines = layout(drum)
    _check_width(drum, lines, words)
    check_bows(drum, lines, words, width_mm=MIN_TONGUE_WIDTH_MM, side_mm=MIN_SIDE_STRIP_MM)
    _check_top(drum, lines, words)
    _check_round_over(drum, lines, words)
    _check_countersinks(drum, lines, words)
    for number in range(1, len(drum.tongues) + 1):
        _check_length(drum, number, lines, words)
    _check_facing(drum, lines, words)
    if any(tongue.length_mm is None for tongue in drum.tongues):
        return
    drawn = outline(drum)
    _check_bridges(drawn, words)
    _check_ends(drum, drawn, words)
    for number, bore in enumerate(drum.bores, start=1):
        _check_bore(drum, number, bore, drawn, words)


def over_bore_mm(thickness_mm: float) -> float:
    """How much wood must stay over a bore in a top this thick, in mm."""
    return max(MIN_OVER_BORE_MM, OVER_BORE_SHARE * thickness_mm)


def _place(drum: Drum, number: int) -> str:
    tongue = drum.tongues[number - 1]
    return f"Tongue {number} ({tongue.note}, row {tongue.row}, {tongue.side})"


def _check_margins(drum: Drum, words: _Words) -> None:
    """End and side margins against the walls, and against each other."""
    slots = drum.slots
    side = seat_name(drum)
    end = f"{side} and root bar" if drum.box.root_bar_mm > 0.0 else side
    hole = slots.stop_hole_mm if slots.stop_hole_mm > slots.kerf_mm else 0.0
    ends = (end_seat_mm(drum), end, MIN_ROOT_STRIP_MM)
    sides = (seat_mm(drum), side, MIN_SIDE_STRIP_MM)
    for name, margin, cut, (seat, glued, least) in (
        ("end_margin", slots.end_margin_mm, 0.5 * hole, ends),
        ("side_margin", slots.side_margin_mm, 0.5 * max(slots.kerf_mm, hole), sides),
    ):
        cut += max(tongue.lengthened_mm for tongue in drum.tongues) if name == "end_margin" else 0.0
        left, need = margin - cut - seat, seat + cut + least
        if left < least - _SLACK:
            what = "between the slots' ends" if name == "end_margin" else "between the outer slots"
            raise OutlineError(
                f"{name} is {words(margin)}, which leaves {words(left)} of free wood {what} and the "
                f"{glued} ({words(seat)}). At least {words(least)} must stay: make {name} "
                f"{words.least(need)} or more.",
                given=margin,
                limit=least,
                nearest=need,
                at=("slots", name),
            )
    span = drum.top.length_mm - 2.0 * slots.end_margin_mm
    need = MIN_TONGUE_LENGTH_MM + slots.kerf_mm
    if span < need - _SLACK:
        nearest = 0.5 * (drum.top.length_mm - need)
        raise OutlineError(
            f"end_margin is {words(slots.end_margin_mm)} at both ends of a top {words(drum.top.length_mm)} "
            f"long, which leaves {words(max(span, 0.0))} for tongues. The shortest tongue and a kerf need "
            f"{words(need)}: make end_margin {words.most(nearest)} or less, or the top "
            f"{words.least(drum.top.length_mm + need - span)} long.",
            given=slots.end_margin_mm,
            limit=need,
            nearest=nearest,
            at=("slots", "end_margin"),
        )


def _check_width(drum: Drum, lines: Layout, words: _Words) -> None:
    """Tongues wide enough between their slots, stop holes included."""
    cut = max(drum.slots.kerf_mm, drum.slots.stop_hole_mm)
    neck = lines.row_pitch_mm - cut
    if neck >= MIN_TONGUE_WIDTH_MM - _SLACK:
        return
    need = lines.rows * (MIN_TONGUE_WIDTH_MM + cut) + 2.0 * drum.slots.side_margin_mm
    most = int((drum.top.width_mm - 2.0 * drum.slots.side_margin_mm) / (MIN_TONGUE_WIDTH_MM + cut) + _SLACK)
    fewer = f", or use {most} row{'s' * (most != 1)} at most" if most >= 1 else ""
    raise OutlineError(
        f"{lines.rows} row{'s' * (lines.rows != 1)} on a top {words(drum.top.width_mm)} wide make tongues "
        f"{words(max(neck, 0.0))} wide at the narrowest. At least {words(MIN_TONGUE_WIDTH_MM)} must stay: "
        f"make the top {words.least(need)} wide{fewer}.",
        given=neck,
        limit=MIN_TONGUE_WIDTH_MM,
        nearest=need,
        at=("top", "width"),
    )


def _check_round_over(drum: Drum, lines: Layout, words: _Words) -> None:
    """A flat between the rounded edges of every tongue, and wood under them."""
    slots, cut = drum.slots, max(drum.slots.kerf_mm, drum.slots.stop_hole_mm)
    strip = slots.side_margin_mm - 0.5 * cut - outward_mm(lines.bows_mm) - drum.box.round_over_mm
    narrow = min(narrowest_mm(lines, row, cut) for row in range(1, lines.rows + 1))
    most = min(0.5 * drum.top.thickness_mm, 0.5 * (narrow - MIN_FLAT_MM), strip - MIN_FLAT_MM)
    if slots.round_over_mm <= most + _SLACK:
        return
    mend = f"make it {words.most(most)} or less" if most > 0.0 else "leave it out"
    raise OutlineError(
        f"round_over of the slots is {words(slots.round_over_mm)}. Half the thickness of the top must stay under it, "
        f"and {words(MIN_FLAT_MM)} of flat wood between two rounded edges: {mend}.",
        given=slots.round_over_mm,
        limit=most,
        nearest=max(most, 0.0),
        at=("slots", "round_over"),
    )


def _check_countersinks(drum: Drum, lines: Layout, words: _Words) -> None:
    """Wider than the stop holes, no deeper than half the top at 90 degrees, and flat wood between them."""
    slots = drum.slots
    wide, hole = slots.countersink_mm, slots.stop_hole_mm
    if not wide:
        return
    if hole <= slots.kerf_mm or wide <= hole:
        raise OutlineError(
            f"countersink is {words(wide)}, and stop_hole {words(hole)}. Only stop holes wider than the kerf, "
            f"{words(slots.kerf_mm)}, are countersunk, and wider than they are: "
            f"make countersink {words.least(max(hole, slots.kerf_mm) + MIN_FLAT_MM)} or more, or leave it out.",
            given=wide,
            limit=hole,
            at=("slots", "countersink"),
        )
    strip = slots.side_margin_mm - drum.box.round_over_mm
    most = min(hole + drum.top.thickness_mm, lines.row_pitch_mm - MIN_FLAT_MM, 2.0 * (strip - MIN_FLAT_MM))
    if wide > most + _SLACK:
        raise OutlineError(
            f"countersink is {words(wide)}. Half the thickness of the top must stay under it, and "
            f"{words(MIN_FLAT_MM)} of flat wood beside it: make it {words.most(most)} or less.",
            given=wide,
            limit=most,
            nearest=most,
            at=("slots", "countersink"),
        )


def _check_top(drum: Drum, lines: Layout, words: _Words) -> None:
    """Where most rows do not fit, it is not their tongues that are wrong: the top's length is."""
    kerf, needs = drum.slots.kerf_mm, []
    for row in range(1, lines.rows + 1):
        lengths = [tongue.length_mm for tongue in drum.tongues if tongue.row == row]
        known = [mm for mm in lengths if mm is not None]
        if known:
            needs.append(sum(known) + kerf)
    short = [need for need in needs if need > lines.span_mm + _SLACK]
    if len(short) < 2 or 2 * len(short) <= len(needs):
        return
    least = max(needs) + 2.0 * drum.slots.end_margin_mm
    raise OutlineError(
        f"The top is {words(drum.top.length_mm)} long, and {len(short)} of its {len(needs)} rows of tongues do not "
        f"fit. The longest needs {words(max(needs))} between the root lines, and end_margin twice "
        f"{words(2.0 * drum.slots.end_margin_mm)}: if the length of the top is a slip, write {words.least(least)} or "
        "more; else find the lengths anew.",
        given=drum.top.length_mm,
        limit=least,
        nearest=least,
        at=("top", "length"),
    )


def _check_length(drum: Drum, number: int, lines: Layout, words: _Words) -> None:
    """One tongue against the shortest that can be struck and the longest its row can take."""
    length = drum.tongues[number - 1].length_mm
    if length is None:
        return
    if length < MIN_TONGUE_LENGTH_MM - _SLACK:
        raise OutlineError(
            f"{_place(drum, number)} is {words(length)} long. A tongue needs {words(MIN_TONGUE_LENGTH_MM)} "
            f"to be struck near its tip: make it {words.least(MIN_TONGUE_LENGTH_MM)} or longer.",
            given=length,
            limit=MIN_TONGUE_LENGTH_MM,
            nearest=MIN_TONGUE_LENGTH_MM,
            at=("tongues", number - 1, "length"),
        )
    longest = lines.span_mm - drum.slots.kerf_mm
    if length > longest + _SLACK:
        raise OutlineError(
            f"{_place(drum, number)} is {words(length)} long. From root line to root line there are "
            f"{words(lines.span_mm)}, and the kerf at its tip takes {words(drum.slots.kerf_mm)}: make it "
            f"{words.most(longest)} or shorter.",
            given=length,
            limit=longest,
            nearest=longest,
            at=("tongues", number - 1, "length"),
        )


def _check_facing(drum: Drum, lines: Layout, words: _Words) -> None:
    """Two tongues in a row must leave a kerf between their tips."""
    for number, tongue in enumerate(drum.tongues, start=1):
        found = facing(drum, number - 1)
        other = None if found is None else found + 1
        if other is None or other < number:
            continue
        mine, its = tongue.length_mm, drum.tongues[other - 1].length_mm
        if mine is None or its is None:
            continue
        gap, kerf = lines.span_mm - mine - its, drum.slots.kerf_mm
        if gap >= kerf - _SLACK:
            continue
        need = tip_gap_mm(drum, number - 1, other - 1)
        if gap >= need - NEAR_MM:
            continue
        between = f"leaves {words(gap)} between the tips" if gap >= 0 else f"overlaps by {words(-gap)}"
        nearest = lines.span_mm - need - its
        raise OutlineError(
            f"{_place(drum, number)}, {words(mine)} long, faces tongue {other} "
            f"({drum.tongues[other - 1].note}), {words(its)} long, and {between}. A kerf of {words(kerf)} "
            f"must part them: take {words.least(need - gap)} off the two together.",
            given=gap,
            limit=need,
            nearest=nearest,
            at=("tongues", number - 1, "length"),
        )


def _check_bridges(drawn: Outline, words: _Words) -> None:
    """Slots in one line are one slot, or have sound wood between them."""
    for (_, end, y), (start, _, next_y) in pairwise(drawn.slot_lines):
        between = LineString([(end, y), (start, y)])
        if y == next_y and any(between.intersects(tongue) for tongue in drawn.tongues):
            continue  # an end that reaches out of its row lies there
        if y == next_y and start - end < MIN_BRIDGE_MM - _SLACK:
            raise OutlineError(
                f"Two slots in one line, {words(y)} from the front edge, end {words(start - end)} apart. "
                f"At least {words(MIN_BRIDGE_MM)} of wood must stay between them: shorten a tongue beside "
                f"them by {words.least(MIN_BRIDGE_MM - start + end)}, or lengthen one until the slots meet.",
                given=start - end,
                limit=MIN_BRIDGE_MM,
                nearest=MIN_BRIDGE_MM,
            )


def _check_ends(drum: Drum, drawn: Outline, words: _Words) -> None:
    """Ends of any shape: a kerf from tongues of other rows, inside the walls, and nowhere too thin to hold."""
    kerf = drum.slots.kerf_mm
    near = too_near(drum, drawn)
    if near is not None:
        one, other, apart = near
        raise OutlineError(
            f"{_place(drum, one + 1)} and tongue {other + 1} ({drum.tongues[other].note}) come within "
            f"{words(max(apart, 0.0))} of each other. A kerf of {words(kerf)} must part them: keep the ends "
            f"{words.least(kerf - apart)} further apart there, or shorten one of the two.",
            given=apart,
            limit=kerf,
            nearest=kerf,
            at=_at_end(drum, one if drum.tongues[other].end is None else other),
        )
    _, low, _, high = drawn.box_inner.bounds
    room = low + kerf + MIN_SIDE_STRIP_MM, high - kerf - MIN_SIDE_STRIP_MM
    for number, shape in enumerate(drawn.tongues, start=1):
        name = f"The end of tongue {number} ({drum.tongues[number - 1].note})"
        out = max(room[0] - shape.bounds[1], shape.bounds[3] - room[1])
        if out > NEAR_MM:
            raise OutlineError(
                f"{name} reaches {words.least(out)} too far towards the {seat_name(drum)}. A kerf and "
                f"{words(MIN_SIDE_STRIP_MM)} of wood must stay beside it: draw it {words.least(out)} narrower there.",
                given=out,
                limit=0.0,
                at=_at_end(drum, number - 1),
            )
        if shape.buffer(-0.5 * MIN_NECK_MM).geom_type == "MultiPolygon":
            raise OutlineError(
                f"{name} hangs on less than {words(MIN_NECK_MM)} of wood. A neck that thin breaks when it is struck: "
                f"make it {words.least(MIN_NECK_MM)} wide or more.",
                limit=MIN_NECK_MM,
                nearest=MIN_NECK_MM,
                at=_at_end(drum, number - 1),
            )


def _at_end(drum: Drum, number: int) -> tuple[str | int, ...]:
    """The key that says in what shape a tongue (from 0) ends."""
    own = drum.tongues[number].end is not None
    return ("tongues", number, "end") if own else ("slots", "tongue_end")


def _check_bore(drum: Drum, number: int, bore: Bore, drawn: Outline, words: _Words) -> None:
    """One bore: deep enough wood over it, and wood all round it."""
    stays, thickness = over_bore_mm(drum.top.thickness_mm), drum.top.thickness_mm
    deepest = thickness - stays
    if bore.depth_mm > deepest + _SLACK:
        raise OutlineError(
            f"Bore {number} is {words(bore.depth_mm)} deep in a {words(thickness)} top, leaving "
            f"{words(max(thickness - bore.depth_mm, 0.0))}. At least {words.least(stays)} must stay: bore "
            f"no deeper than {words.most(deepest)}.",
            given=bore.depth_mm,
            limit=deepest,
            nearest=deepest,
        )
    free = drawn.top.intersection(drawn.box_inner)
    centre, radius = Point(bore.x_mm, bore.y_mm), 0.5 * bore.diameter_mm
    rim = free.boundary.distance(centre) if free.contains(centre) else -1.0
    if rim >= radius + MIN_BORE_RIM_MM - _SLACK:
        return
    if not drawn.board.buffer(_SLACK).contains(centre.buffer(radius)):
        what = "lies partly off the board"
    elif drawn.removed.distance(centre) < radius + MIN_BORE_RIM_MM:
        what = "meets a slot or the gap at a tip"
    else:
        at_bar = drawn.wall_inner.buffer(-radius - MIN_BORE_RIM_MM + _SLACK).contains(centre)
        what = f"meets the {'root bar' if at_bar else seat_name(drum)}"
    mends = []
    room = free.buffer(-(radius + MIN_BORE_RIM_MM + 0.1))
    if not room.is_empty:
        spot = nearest_points(room, centre)[0]
        mends.append(f"move it to x {words(spot.x)}, y {words(spot.y)}")
    if rim - MIN_BORE_RIM_MM > 1.0:
        mends.append(f"make it {words.most(2.0 * (rim - MIN_BORE_RIM_MM))} across or less")
    raise OutlineError(
        f"Bore {number}, {words(bore.diameter_mm)} across at x {words(bore.x_mm)}, y {words(bore.y_mm)}, "
        f"{what}. It needs {words(MIN_BORE_RIM_MM)} of wood all round, inside the box: "
        f"{' or '.join(mends) if mends else 'leave it out'}.",
        given=(bore.x_mm, bore.y_mm),
        limit=MIN_BORE_RIM_MM,
        nearest=(spot.x, spot.y) if not room.is_empty else None,
    )
