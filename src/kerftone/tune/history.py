"""What has happened to one drum at the bench, as plain values in order: taps heard, wood taken or added.

The log keeps these facts (`bench/`); calibration and advice read them. A drum at any moment is its design as
first cut with every change since then. Tongues are numbered from 0 in the order of the drum file. Lengths in
mm, seen from above, x along the top and y across it from the left front corner; pitches in Hz.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from kerftone.drum.design import Bore, Drum, Tongue

Bottom = Literal["glued", "loose", "off", "table"]
"""Glued on; put in but not joined; off, open below in free air; off, the open side on a table."""
FILED_MM = 1.0
"""Up to so much a tip is taken back with a file or sandpaper; more is sawn. Own judgement, no source."""
SAME_HOLE_MM = 0.5
"""Two bores of one bit whose middles are nearer than this are one hole, bored deeper."""


@dataclass(frozen=True, kw_only=True)
class Tap:
    """A pitch heard from one tongue, and how the drum stood together just then.

    bottom: None where only the old words were told, bottom on (glued) or not (off): see `state`.
    """

    tongue: int
    hz: float
    plus_minus_cents: float = 1.5
    bottom_on: bool = True
    top_glued: bool = True
    bottom: Bottom | None = None

    @property
    def state(self) -> Bottom:
        """How the bottom was."""
        return self.bottom or bottom_told(self.bottom_on)


def bottom_told(on: bool) -> Bottom:
    """The state of the bottom where only "on" or "off" was told."""
    return "glued" if on else "off"


@dataclass(frozen=True, kw_only=True)
class Bored:
    """A pocket bored under a tongue. `measured`: its depth was measured, not only intended."""

    tongue: int
    bore: Bore
    measured: bool = False


@dataclass(frozen=True, kw_only=True)
class Lengthened:
    """Both slots beside a tongue sawn further at its root."""

    tongue: int
    by_mm: float


@dataclass(frozen=True, kw_only=True)
class Trimmed:
    """A tongue's tip taken back."""

    tongue: int
    by_mm: float


@dataclass(frozen=True, kw_only=True)
class Weighted:
    """A mass fixed under a tongue, `TIP_WEIGHT_MM` from its tip; negative when taken off again."""

    tongue: int
    grams: float


Change = Bored | Lengthened | Trimmed | Weighted
Event = Tap | Change


def after(drum: Drum, changes: Iterable[Event]) -> Drum:
    """What the drum is once all this has happened to it. Taps change nothing."""
    for change in changes:
        drum = _changed(drum, change)
    return drum


def states(drum: Drum, events: Iterable[Event]) -> tuple[Drum, ...]:
    """The drum as it began and as it was after each change."""
    changes = (event for event in events if not isinstance(event, Tap))
    return tuple(accumulate(changes, _changed, initial=drum))


def _changed(drum: Drum, event: Event) -> Drum:
    if isinstance(event, Tap):
        return drum
    if isinstance(event, Bored):
        return replace(drum, bores=_bored(drum.bores, event.bore))
    tongue = drum.tongues[event.tongue]
    return with_tongue(drum, event.tongue, _altered(tongue, event))


def _altered(tongue: Tongue, event: Lengthened | Trimmed | Weighted) -> Tongue:
    if isinstance(event, Lengthened):
        return replace(tongue, lengthened_mm=tongue.lengthened_mm + event.by_mm)
    if isinstance(event, Trimmed):
        assert tongue.length_mm is not None
        return replace(tongue, length_mm=tongue.length_mm - event.by_mm)
    return replace(tongue, weight_g=max(0.0, tongue.weight_g + event.grams))


def with_tongue(drum: Drum, number: int, tongue: Tongue) -> Drum:
    """The same drum with one tongue exchanged.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    tongue : Tongue
        The one to put in its place.
    """
    return replace(drum, tongues=(*drum.tongues[:number], tongue, *drum.tongues[number + 1 :]))


def _bored(bores: tuple[Bore, ...], new: Bore) -> tuple[Bore, ...]:
    """The bores with a new one; one in the same place and with the same bit becomes deeper instead."""
    for index, old in enumerate(bores):
        if same_hole(old, new):
            deeper = replace(old, depth_mm=max(old.depth_mm, new.depth_mm))
            return (*bores[:index], deeper, *bores[index + 1 :])
    return (*bores, new)


def same_hole(one: Bore, other: Bore) -> bool:
    """Whether the second bore only makes the first one deeper."""
    near = math.hypot(one.x_mm - other.x_mm, one.y_mm - other.y_mm) <= SAME_HOLE_MM
    return near and one.diameter_mm == other.diameter_mm


def depth_before(state: Drum, event: Bored) -> float:
    """How deep the hole of a bore was before it, in mm; 0 for a new one.

    Parameters
    ----------
    state : Drum
        The drum before it.
    event : Bored
        The bore.
    """
    return max((bore.depth_mm for bore in state.bores if same_hole(bore, event.bore)), default=0.0)


def is_tap_of(event: Event, tongue: int) -> bool:
    """Whether this is a tap of this tongue."""
    return isinstance(event, Tap) and event.tongue == tongue
