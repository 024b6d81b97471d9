"""Which note each tongue sounds, and how purely.

A mode belongs to a tongue by what a strike there sets ringing. The weight of a mode for a tongue is the
square of its vertical motion at the strike point (what the blow puts in) times the square of the air volume
that tongue itself then pushes (what comes out): a mode in which the tongue is only carried along, or in which
it wriggles so that its halves cancel, weighs little. The heaviest mode is the note. `clarity` is that mode's
share of the weight of all modes below the tongue's first overtone: 1 is one pure note, 0.5 as much of other tones
as of the note.

The air pushed by the tongue, not by the whole drum, because neighbours moving the other way cancel each other
at a distance but not for the player; and because it makes the reading follow shapes, not mode numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array, Modes

HEARD_TO = 2.4
"""All that is heard up to so many times a note counts in its clarity: a little below a tongue's first overtone, which
is 2.5 times the note at the least."""
LEAST_MODES = 20
"""As many as are listed, so that a note is as clear whether few are asked for or many."""
RIVAL = 0.05
"""A mode with this share of the weight makes a note unclear."""
MOVES_ALONG = 0.3
"""A tongue shares a mode when it moves this much of what the struck tongue moves."""
SHOWN = 0.005
"""Partials under this share of the whole weight are not listed."""
MOST_PARTIALS = 8
"""As many as are told of one strike; own judgement."""
FOLLOWED_CENTS = 600.0
"""How far a note is looked for when its drum is changed."""
OVERTONE_FROM, OVERTONE_TO = 2.5, 9.0
"""Between how many times its note a tongue's first overtone is looked for: a plain clamped bar has it at 6.27."""


@dataclass(frozen=True, kw_only=True)
class NoteHeard:
    """What one tongue sounds. `number` and `mode` count from 0; partials are (Hz, share of the weight).

    borrowed_from: the place of the tongue whose note it sounds where it has none of its own, else empty.
    """

    number: int
    mode: int
    hz: float
    clarity: float
    shared_with: tuple[str, ...]
    partials: tuple[tuple[float, float], ...]
    borrowed_from: str = ""


def enough_modes(drum: Drum, count: int) -> int:
    """How many modes to find so that every tongue's note, and what else is heard with it, is among them."""
    return max(count, LEAST_MODES, 2 * len(drum.tongues) + 12)


def weights(modes: Modes) -> Array:
    """How much of each mode a strike on each tongue sounds (t, n), in no unit but comparable within a row."""
    return (modes.strike * modes.sweep) ** 2


def read_notes(drum: Drum, modes: Modes, own: Sequence[int] | None = None) -> tuple[NoteHeard, ...]:
    """What each tongue sounds when struck, in the order of the drum's tongues.

    Parameters
    ----------
    drum : Drum
        Whose tongues are struck.
    modes : Modes
        Its lowest modes.
    own : Sequence[int], optional
        Which mode is each tongue's note, from 0, where that is known; without it the heaviest.
    """
    heard = weights(modes)
    chosen = [int(row.argmax()) for row in heard] if own is None else own
    notes = tuple(_read(drum, modes, number, heard[number], mode) for number, mode in enumerate(chosen))
    return tuple(replace(note, borrowed_from=_owner(drum, modes, note, notes)) for note in notes)


def share_heard(row: Array, hz: Array, own: int) -> float:
    """The share of mode `own` in all that a strike sounds below the first overtone, from 0 to 1: the clarity.

    row (n,): the weight of each mode for the tongue struck. Modes that were not solved for do not count.

    Parameters
    ----------
    row : Array
        The weight of each mode for the tongue struck, (n,).
    hz : Array
        Of the modes, (n,), in Hz.
    own : int
        Which mode is its own.
    """
    return float(row[own] / row[hz < HEARD_TO * hz[own]].sum())


def _owner(drum: Drum, modes: Modes, note: NoteHeard, notes: tuple[NoteHeard, ...]) -> str:
    """The place of the tongue that moves most in this note, where that is another one that sounds it too."""
    same = [one.number for one in notes if one.mode == note.mode]
    most = max(same, key=lambda number: abs(modes.strike[number, note.mode]))
    return "" if most == note.number else drum.tongues[most].place


def notes_moved(before: Modes, now: Modes) -> Array:
    """How far each tongue's note moves when the drum is changed, in cents (t,).

    A note is followed as a motion of the tongues: where two modes share a tongue, a hair decides which of them is the
    heavier, and a small change would seem to make the note jump from the one to the other.
    """
    own = np.argmax(weights(before), axis=1)
    was, is_now = before.strike[:, own], now.strike
    sizes = 0.5 * ((was**2).sum(axis=0)[:, None] + (is_now**2).sum(axis=0))
    apart = 1200.0 * np.log2(now.hz / before.hz[own][:, None])
    alike = np.where(abs(apart) <= FOLLOWED_CENTS, abs(was.T @ is_now) / sizes, -1.0)
    return np.asarray(apart[np.arange(len(own)), alike.argmax(axis=1)])


def overtone(modes: Modes, number: int, note: int) -> int | None:
    """The mode that is this tongue's first overtone, its second bending; None if it is above the modes found.

    Of the modes that far above its note, the one that lifts its strike point most: twisting hardly lifts a point on
    the centre line, and what the neighbours do lifts it little.

    Parameters
    ----------
    modes : Modes
        Of the drum.
    number : int
        Which tongue, counted from 0.
    note : int
        What the tongue sounds.
    """
    ratio = modes.hz / modes.hz[note]
    lifts = np.where((ratio > OVERTONE_FROM) & (ratio < OVERTONE_TO), abs(modes.strike[number]), 0.0)
    return int(np.argmax(lifts)) if lifts.any() else None


def _read(drum: Drum, modes: Modes, number: int, row: Array, mode: int) -> NoteHeard:
    heard = np.where(modes.hz < HEARD_TO * modes.hz[mode], row, 0.0)
    order = np.argsort(-row)[:MOST_PARTIALS]
    whole = row / row.sum()
    return NoteHeard(
        number=number,
        mode=mode,
        hz=float(modes.hz[mode]),
        clarity=share_heard(row, modes.hz, mode),
        shared_with=_sharers(drum, modes, number, heard / heard.sum(), mode),
        partials=tuple((float(modes.hz[k]), float(whole[k])) for k in order if whole[k] >= SHOWN),
    )


def _sharers(drum: Drum, modes: Modes, number: int, shares: Array, mode: int) -> tuple[str, ...]:
    """The tongues that move in the modes which rival the note: none when nothing rivals it."""
    rivals = [k for k in np.flatnonzero(shares >= RIVAL) if k != mode]
    moved = abs(modes.strike[:, rivals])
    along = (moved >= MOVES_ALONG * moved[number]).any(axis=1) if rivals else np.zeros(len(moved), dtype=bool)
    return tuple(
        tongue.place for other, tongue in enumerate(drum.tongues) if other != number and along[other]
    )
