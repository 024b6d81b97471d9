"""When the notes do not fit the board: which, by how much, and what would take them.

The lengths are the model's; what would take them is worked out from how a bar scales (`lengths.py`) with the
root's set-back that the model showed, so thickness and shift of the notes are said as "about". A longer
board keeps the lengths nearly as they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Unpack

from kerftone.drum.check import MIN_TONGUE_LENGTH_MM
from kerftone.drum.design import Drum
from kerftone.drum.facing import row_spare_mm
from kerftone.drum.plan_lines import layout
from kerftone.errors import Behind, OutlineError
from kerftone.pitch import cents
from kerftone.tune.lengths import guess_length_mm
from kerftone.units import format_length


class OutOfReach(OutlineError):
    """The notes cannot be had on this board.

    `fact` says why; the message says besides what would help on paper. `found` is the drum with the best lengths
    there are, None where none were looked for; `short_mm` by how much its fullest row is too short; `tongue` the
    number, from 0, of the one that stands in the way.
    """

    works_with: Drum | None = None
    """A drum that works, on the model; None where none was looked for or found."""

    def __init__(
        self,
        fact: str,
        offers: str = "",
        *,
        found: Drum | None = None,
        short_mm: float = 0.0,
        tongue: int | None = None,
        **behind: Unpack[Behind],
    ) -> None:
        """Keep the text with and without the offers, the numbers and the drum."""
        super().__init__(f"{fact} {offers}".strip(), **behind)
        self.fact = fact
        self.found = found
        self.short_mm = short_mm
        self.tongue = tongue

    def saying(self, words: str) -> OutOfReach:
        """The same refusal in other words."""
        return OutOfReach(
            words,
            found=self.found,
            short_mm=self.short_mm,
            tongue=self.tongue,
            given=self.given,
            limit=self.limit,
            nearest=self.nearest,
        )


THINNEST = 0.3
"""No thickness under this share of the present one is offered."""
STEPS = 200
"""How finely that is tried; own judgement."""
EASE_MM = 5.0
"""A longer board changes the lengths a little: the one offered has this much to spare."""


TWIN_CENTS = 50.0
"""Two notes nearer than this are one note twice: no scale has so small a step."""


def refuse_twins(drum: Drum, aims: Sequence[float]) -> None:
    """Raise OutOfReach when two tongues are to sound one and the same note.

    They would share it through the wood at their roots. By the model of a four-note drum their two tones are 8 to 14
    cents apart across the drum, and 50 side by side.
    """
    order = sorted(range(len(aims)), key=lambda number: aims[number])
    for one, other in pairwise(order):
        if cents(aims[other], aims[one]) < TWIN_CENTS:
            first, second = sorted((one, other))
            raise OutOfReach(
                f"Tongues {first + 1} and {second + 1} are to sound one and the same note, "
                f"{drum.tongues[second].note}. Two tongues of one pitch share it through the wood at their roots: "
                "whichever is struck, two tones sound that beat. Notes must be a semitone apart at least.",
                "Take another note for one of them, or leave it out.",
                tongue=second,
            )


def explain_crowding(drum: Drum, aims: Sequence[float]) -> None:
    """Raise OutOfReach when tongues of these lengths cannot lie in their rows, or are too short to strike."""
    _check_short(drum)
    rows = sorted({tongue.row for tongue in drum.tongues if tongue.row is not None})
    crowded = [(_excess_mm(drum, row), row) for row in rows if _excess_mm(drum, row) > 1e-6]
    if not crowded:
        return
    excess, row = max(crowded)
    inside = [n for n, tongue in enumerate(drum.tongues) if tongue.row == row]
    words = " and ".join(f"{drum.tongues[n].note} needs {_length(drum, n)}" for n in inside)
    room = layout(drum).span_mm - drum.slots.kerf_mm + row_spare_mm(drum).get(row, 0.0)
    board = drum.top.length_mm + excess + EASE_MM
    offers = [f"a top {_up(drum, board)} long"]
    thin = _thickness_that_fits(drum, aims, inside, room)
    if thin is not None:
        offers.append(f"one about {format_length(thin, drum.units)} thick")
    shift = _semitones_that_fit(drum, aims, inside, room)
    if shift is not None:
        offers.append(f"all notes about {shift} semitone{'s' * (shift != 1)} higher")
    raise OutOfReach(
        f"Row {row} cannot hold its notes: {words}, and a kerf between. From root line to root line there is room "
        f"for {format_length(room, drum.units)}, {format_length(excess, drum.units)} too little.",
        f"It would take {', or '.join(offers)}; or other notes in one row, where the places are yours to choose.",
        given=room + excess,
        limit=room,
        nearest=board,
        found=drum,
        short_mm=excess,
        tongue=max(inside, key=lambda n: drum.tongues[n].length_mm or 0.0),
    )


def _excess_mm(drum: Drum, row: int) -> float:
    """By how much a row's tongues and the kerf between them are longer than the row."""
    lengths = [tongue.length_mm or 0.0 for tongue in drum.tongues if tongue.row == row]
    return sum(lengths) + drum.slots.kerf_mm - row_spare_mm(drum).get(row, 0.0) - layout(drum).span_mm


def _length(drum: Drum, number: int) -> str:
    return format_length(drum.tongues[number].length_mm or 0.0, drum.units)


def _up(drum: Drum, mm: float) -> str:
    """A length rounded to the next 5 mm or 1/4 in that still works."""
    step = 5.0 if drum.units == "mm" else 6.35
    return format_length(math.ceil(mm / step - 1e-9) * step, drum.units)


def _set_back_mm(drum: Drum, number: int, hz: float) -> float:
    """How much longer than cut the tongue sounds, by the model's length."""
    return guess_length_mm(drum.top, hz, set_back=0.0) - (drum.tongues[number].length_mm or 0.0)


def _thickness_that_fits(
    drum: Drum, aims: Sequence[float], inside: Sequence[int], room_mm: float
) -> float | None:
    """The largest thickness, to 0.1 mm, in which these tongues fit their row; None when there is none."""
    for step in range(1, STEPS + 1):
        share = 1.0 - (1.0 - THINNEST) * step / STEPS
        total = 0.0
        for number in inside:
            back = _set_back_mm(drum, number, aims[number])
            whole = back + (drum.tongues[number].length_mm or 0.0)
            total += math.sqrt(share) * whole - share * back
        if total <= room_mm:
            return math.floor(share * drum.top.thickness_mm * 10.0) / 10.0
    return None


def _semitones_that_fit(
    drum: Drum, aims: Sequence[float], inside: Sequence[int], room_mm: float
) -> int | None:
    """The fewest semitones up that make these tongues fit their row; None when two octaves do not."""
    for shift in range(1, 25):
        total = 0.0
        for number in inside:
            back = _set_back_mm(drum, number, aims[number])
            total += (back + (drum.tongues[number].length_mm or 0.0)) * 2.0 ** (-shift / 24.0) - back
        if total <= room_mm:
            return shift
    return None


def _check_short(drum: Drum) -> None:
    """A tongue at the shortest length there is has a note too high for this board."""
    for number, tongue in enumerate(drum.tongues, start=1):
        length = tongue.length_mm or 0.0
        if length <= MIN_TONGUE_LENGTH_MM + 1e-6:
            raise OutOfReach(
                f"Tongue {number} ({tongue.note}) would have to be shorter than "
                f"{format_length(MIN_TONGUE_LENGTH_MM, drum.units)}, the least that can be struck near its tip.",
                f"A top thicker than {format_length(drum.top.thickness_mm, drum.units)} makes tongues longer, "
                "or take a lower note.",
                given=length,
                limit=MIN_TONGUE_LENGTH_MM,
                found=drum,
                tongue=number - 1,
            )
