"""What is written on the tongues, and how lengths are said.

Lengths are in the drum's own unit; inches as the nearest thirty-second, which is what a rule shows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from kerftone.draw.dimension import along
from kerftone.draw.sheet import Point, Tag, Text, height_that_fits, text_width_mm
from kerftone.draw.style import PAPER, SMALLEST_MM
from kerftone.drum.design import Drum, Tongue
from kerftone.drum.outline import Outline
from kerftone.shop.measure import measure_of
from kerftone.units import Units, format_length, inch_fraction

# Under this width there is no room for words above one another.
NARROW_MM = 20.0
RULE_PARTS = 32
"""Of an inch on a common rule; common practice, no source."""
LINE = 1.6
"""From line to line, in heights of capitals."""


def on_rule(mm: float, units: Units, *, with_unit: bool = True) -> str:
    """This length as a maker would find it on a rule: 150.3 mm, or 5 29/32 in.

    Parameters
    ----------
    mm : float
        The length, in mm.
    units : Units
        The maker's.
    with_unit : bool, optional
        Whether the unit is written.
    """
    if units == "in":
        fraction = inch_fraction(mm, parts=RULE_PARTS)
        return f"{fraction} in" if with_unit else fraction
    words = format_length(mm, "mm")
    return words if with_unit else words.removesuffix(" mm")


@dataclass(frozen=True, kw_only=True)
class Spot:
    """Where a tongue lies, for its words: root and tip x, centre line y, width, and the strike point's x.

    `beyond`: spans (x from, x to) of its row off the tongue, for the words of one that is too short for them.
    """

    root_x: float
    tip_x: float
    y: float
    width_mm: float
    strike_x: float
    beyond: tuple[tuple[float, float], ...] = ()

    @property
    def words_from_to(self) -> tuple[float, float]:
        """The span free for words: from the root to the strike mark, with a little air."""
        air = 3.0
        low, high = sorted((self.root_x, self.strike_x))
        return low + air, high - air - 0.1 * self.width_mm

    def named_at(self, x: float) -> Point:
        """Where a line from words at this x beside the tongue ends: on it, a little in from its nearer end."""
        near = min((self.root_x, self.tip_x), key=lambda end: abs(end - x))
        return near + (5.0 if near == min(self.root_x, self.tip_x) else -5.0), self.y


def tongue_words(drum: Drum, tongue: Tongue, spot: Spot) -> list[Text]:
    """The note, the place and the length of one tongue, as large as the tongue allows.

    Wherever on it they are whole: they move together along it. On a tongue too short for them they stand in its row
    beside it, and a line leads to it.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    tongue : Tongue
        The tongue, with its length.
    spot : Spot
        Where it lies, in mm.
    """
    length = f"{measure_of(drum).sawn_figure(tongue.length_mm or 0.0)} {drum.units}"
    low, high = spot.words_from_to
    one_line = f"{tongue.place} · {tongue.note} · {length}"
    if spot.width_mm < NARROW_MM or high - low < 3.0 * NARROW_MM:
        if text_width_mm(one_line, SMALLEST_MM) <= high - low:
            return _one_line(one_line, spot, low, high)
        return _stacked((f"{tongue.place} · {tongue.note}", length), tongue, spot)
    name_mm = max(SMALLEST_MM, 0.14 * spot.width_mm)
    note_mm = min(0.27 * spot.width_mm, 11.0)
    figure_mm = max(SMALLEST_MM, 0.14 * spot.width_mm)
    name_wide, note_wide = (
        text_width_mm(tongue.place, name_mm),
        text_width_mm(tongue.note, note_mm, bold=True),
    )
    head = name_wide + 2.0 + note_wide
    figure_mm = height_that_fits(length, width_mm=high - low, most_mm=figure_mm)
    if head > high - low:
        return _one_line(one_line, spot, low, high)
    wide = max(head, text_width_mm(length, figure_mm))
    middle, group = 0.5 * (low + high), f"tongue {tongue.place}"
    name_x = middle - 0.5 * head
    spots = _moves((name_x, spot.y + 0.06 * spot.width_mm), middle, wide, (low, high))
    return [
        Text(
            at=(name_x, spot.y + 0.06 * spot.width_mm),
            words=tongue.place,
            height_mm=name_mm,
            group=group,
            spots=spots,
        ),
        Text(
            at=(name_x + name_wide + 2.0, spot.y + 0.06 * spot.width_mm),
            words=tongue.note,
            height_mm=note_mm,
            bold=True,
            group=group,
        ),
        Text(
            at=(middle, spot.y - 0.24 * spot.width_mm),
            words=length,
            height_mm=figure_mm,
            anchor="middle",
            group=group,
        ),
    ]


def _moves(at: Point, middle: float, wide: float, room: tuple[float, float]) -> tuple[Point, ...]:
    """Where `at` may be when the middle of words this wide moves along this room."""
    places = along((room[0] - 2.0, 0.0), (room[1] + 2.0, 0.0), wide)
    return tuple((at[0] + x - middle, at[1]) for x, _ in places)


def _one_line(words: str, spot: Spot, low: float, high: float) -> list[Text]:
    """Everything on the centre line, for a narrow tongue; never under the smallest height."""
    most = max(SMALLEST_MM, 0.42 * spot.width_mm)
    height = max(SMALLEST_MM, height_that_fits(words, width_mm=0.8 * (high - low), most_mm=min(most, 6.0)))
    at = (0.5 * (low + high), spot.y - 0.5 * height)
    spots = _moves(at, at[0], text_width_mm(words, height), (low, high))
    return [Text(at=at, words=words, height_mm=height, anchor="middle", spots=spots)]


def _stacked(lines: tuple[str, str], tongue: Tongue, spot: Spot) -> list[Text]:
    """Two short lines: on the tongue where they fit, else in its row beside it, with a line to it."""
    low, high = spot.words_from_to
    wide = max(text_width_mm(line, SMALLEST_MM) for line in lines)
    rise = 0.5 * LINE * SMALLEST_MM
    group = f"tongue {tongue.place}"
    on_it = wide <= high - low and spot.width_mm >= 2.0 * LINE * SMALLEST_MM
    rooms = [(low, high)] if on_it else [r for r in spot.beyond if r[1] - r[0] > wide + 2.0][:1]
    middles = [x for a, b in rooms for x, _ in along((a - 1.0, 0.0), (b + 1.0, 0.0), wide)]
    ends = (spot.root_x, spot.tip_x)
    x = min(
        middles or [0.5 * (a + b) for a, b in rooms] or [0.5 * sum(ends)],
        key=lambda middle: 0.0 if on_it else min(abs(middle - end) for end in ends),
    )
    x = 0.5 * sum(rooms[0]) if on_it else x
    texts = [
        Text(
            at=(x, spot.y + up - 0.5 * SMALLEST_MM),
            words=line,
            height_mm=SMALLEST_MM,
            anchor="middle",
            group=group,
            plate=None if on_it else PAPER,
            leader=None if on_it else spot.named_at(x),
        )
        for up, line in ((rise, lines[0]), (-rise, lines[1]))
    ]
    return [replace(texts[0], spots=tuple((m, texts[0].at[1]) for m in middles)), texts[1]]


def rim_words(words: str, at: Point, long_mm: float, *, up_mm: float = 0.0) -> Text:
    """Words along an edge of a drawing this long, that may be said anywhere on it, or so much higher.

    Parameters
    ----------
    words : str
        What is said.
    at : Point
        Where they stand if nothing is in their way, in mm.
    long_mm : float
        Of the edge, in mm.
    up_mm : float, optional
        How much higher they may stand, in mm; 0 for not.
    """
    wide = text_width_mm(words, SMALLEST_MM, bold=True)
    last = max(at[0], long_mm - wide - at[0])
    count = max(1, int((last - at[0]) / 6.0))
    levels = (at[1],) if not up_mm else (at[1], at[1] + up_mm)
    spots = tuple((at[0] + (last - at[0]) * n / count, y) for y in levels for n in range(count + 1))
    return Text(at=at, words=words, height_mm=SMALLEST_MM, bold=True, spots=spots)


def tongue_tags(drum: Drum, drawn: Outline, *, from_below: bool = False) -> tuple[Tag, ...]:
    """Place and note of each tongue, for a small picture of the top.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    drawn : Outline
        The outline of the top, in mm.
    from_below : bool, optional
        Whether the top is seen from below.
    """
    tags = []
    for tongue, shape in zip(drum.tongues, drawn.tongues, strict=True):
        west, south, east, north = shape.bounds
        x = west + (0.42 if tongue.side == "left" else 0.58) * (east - west)  # clear of the mark near its tip
        at = (drum.top.length_mm - x if from_below else x, 0.5 * (south + north))
        words = f"{tongue.place} {tongue.note}"
        tags.append(Tag(at=at, words=words, room_mm=(east - west, north - south)))
    return tuple(tags)
