"""A drum before its lengths are looked for: its aims, a start that can be meshed, and how long tongues may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kerftone.drum.check import MIN_TONGUE_LENGTH_MM
from kerftone.drum.design import Drum
from kerftone.drum.ends import shortest_mm
from kerftone.drum.facing import row_spare_mm
from kerftone.modal.search import Place
from kerftone.pitch import sharpened
from kerftone.tune.arrange import Task
from kerftone.tune.lengths import SET_BACK, STIFF_SET_BACK, guess_length_mm
from kerftone.tune.off_knots import Corner, knot_field
from kerftone.tune.places import usual_places

SHORT_SET_BACK, LONG_SET_BACK = 0.5, 5.0
"""How far a tongue's sounding length may reach behind its root, in thicknesses: what a table must cover."""


def aims_hz(drum: Drum) -> tuple[float, ...]:
    """What each tongue is cut to sound: its note, off by the drum's allowance."""
    return tuple(sharpened(hz, drum.tuning.aim_cents) for hz in drum.targets_hz)


def started_drum(drum: Drum, aims: Sequence[float]) -> Drum:
    """The drum with every tongue placed and of a length that can be sawn: a start need only be fit to mesh."""
    lengths = [
        max(
            *(MIN_TONGUE_LENGTH_MM, shortest_mm(drum.end_of(tongue))),
            _guess_mm(drum, hz) if tongue.length_mm is None else tongue.length_mm,
        )
        for tongue, hz in zip(drum.tongues, aims, strict=True)
    ]
    placed = placed_drum(drum, usual_places(drum, lengths))
    room, spare = 0.97 * room_mm(drum), row_spare_mm(drum)
    for row in {tongue.row for tongue in placed.tongues}:
        inside = [number for number, tongue in enumerate(placed.tongues) if tongue.row == row]
        together = sum(lengths[number] for number in inside)
        for number in inside:
            lengths[number] *= min(1.0, (room + min(0.0, spare.get(row or 0, 0.0))) / together)
    return placed.with_lengths(tuple(lengths))


def task_for(drum: Drum, aims: Sequence[float], corners_mm: Sequence[Corner] = ((0.0, 0.0),)) -> Task:
    """What is to be arranged on this drum.

    Parameters
    ----------
    drum : Drum
        With notes; with places where they are the maker's.
    aims : Sequence[float]
        The pitch each note is to have, in Hz (t,).
    corners_mm : Sequence[Corner], optional
        Where the top's left front corner may lie on the board its knots are measured on.
    """
    return Task(
        aims_hz=tuple(aims),
        fixed=tuple(
            (t.row, t.side) if t.row is not None and t.side is not None else None for t in drum.tongues
        ),
        room_mm=room_mm(drum),
        guess=lambda hz: _guess_mm(drum, hz),
        spare_mm=row_spare_mm(drum),
        knots=knot_field(drum, corners_mm),
    )


def _guess_mm(drum: Drum, hz: float) -> float:
    return guess_length_mm(drum.top, hz, set_back=STIFF_SET_BACK if drum.box.root_bar_mm else SET_BACK)


def reach_mm(drum: Drum, aims: Sequence[float]) -> tuple[float, float]:
    """The shortest and the longest tongue that these notes may ask for, with other wood too."""
    short = guess_length_mm(drum.top, max(aims), set_back=LONG_SET_BACK)
    long = guess_length_mm(drum.top, min(aims), set_back=SHORT_SET_BACK)
    return max(MIN_TONGUE_LENGTH_MM, 0.9 * short), 1.1 * max(long, 2.0 * MIN_TONGUE_LENGTH_MM)


def room_mm(drum: Drum) -> float:
    """How long two facing tongues may be together."""
    return drum.top.length_mm - 2 * drum.slots.end_margin_mm - drum.slots.kerf_mm


def without_lengths(drum: Drum) -> Drum:
    """The drum with no length given."""
    return replace(drum, tongues=tuple(replace(tongue, length_mm=None) for tongue in drum.tongues))


def placed_drum(drum: Drum, places: Sequence[Place]) -> Drum:
    """The drum with its tongues in these places, in the file's order."""
    pairs = zip(drum.tongues, places, strict=True)
    return replace(drum, tongues=tuple(replace(t, row=row, side=side) for t, (row, side) in pairs))
