"""Lengths, and places where they are free, so that every tongue sounds its aim.

One full solve at guessed lengths gives the frame. On it and a table of tongues (`modal/search.py`) arrangements are
compared, the best brought in tune and judged, also on boards of other wood. A second full solve confirms; by what it
says otherwise than the model, the model's aims are moved and the lengths found again, until every note is within a
cent or the full solves are used up. Nothing found is lost: what is off is said in cents.

Lengths in mm, pitches in Hz, errors in cents.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linear_sum_assignment
from threadpoolctl import threadpool_limits

from kerftone.air.answer import in_air
from kerftone.air.notes_in_air import InAir, tongues_in_air
from kerftone.air.place import BottomState
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.save import as_written
from kerftone.modal.notes import NoteHeard, read_notes, weights
from kerftone.modal.result import Array, Modes
from kerftone.modal.search import Place, SearchModel, search_model
from kerftone.modal.solve import Solution, solve
from kerftone.modal.threads import load_ahead, solver_threads
from kerftone.pitch import sharpened
from kerftone.tune.arrange import Task, arranged, judged
from kerftone.tune.before_search import (
    aims_hz,
    placed_drum,
    reach_mm,
    started_drum,
    task_for,
    without_lengths,
)
from kerftone.tune.boards import drawn_boards
from kerftone.tune.box_air import box_air
from kerftone.tune.candidate import CLEAR, Candidate
from kerftone.tune.newton import Tuned
from kerftone.tune.reach import OutOfReach, explain_crowding, refuse_twins

GOOD_CENTS = 1.0
"""Lengths this near are not solved again: a rule reads no finer. Own judgement."""
KEPT_CENTS = 5.0
"""Lengths off by no more than this are written, with what is off said: the wood is not known to a cent."""
FULL_SOLVES = 5
"""Spent on one arrangement at most, for each takes seconds; what is off then is said. Own judgement."""
ATTEMPTS = 3
"""So many arrangements are confirmed at most, where a full solve finds a note unclear that the model did not."""
BOARDS = 32
"""So many boards of other wood decide between the best arrangements; a power of two, as the draw asks."""
MOVED_CENTS, ANSWERS = 1.0, (0.5, 3.0)
"""A note moved by more shows how it answers, per cent it is moved; answers beyond these are not believed. Own
judgement."""
NEAR_CENTS = 60.0
"""In a full solve a tongue's own mode is looked for about so far from its aim."""
STRAY_CENTS, LEAST_FOR_LINE, LEAST_RANGE = 6.0, 4, 0.3
"""A tongue whose full solve is further from the model than others' by this does not count; a line needs so many
tongues over such a part of their middle pitch."""
STAYS_CENTS = 300.0
"""A tongue solved no further than this from its aim differs there from the model as it does here (own judgement)."""
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Fit:
    """A drum in tune by the model. `notes` are read from `solution`, a full solve of `drum`, and `air`, the finished
    drum's.

    off_cents (t,): how far each tongue's own mode is from its aim in that solve. kept: the arrangement kept; tried:
    all that were compared, the best first. sure: the share of boards of other wood on which it comes out clear, None
    if it does not on the board as drawn. Clarities are the least clear tongue's: of this drum, and of the worst and
    best arrangement tried (0 for one that cannot be brought in tune); None where the maker chose the places.
    """

    drum: Drum
    solution: Solution
    air: InAir
    notes: tuple[NoteHeard, ...]
    aims_hz: tuple[float, ...]
    off_cents: tuple[float, ...]
    full_solves: int
    kept: Candidate
    tried: tuple[Candidate, ...]
    model: SearchModel
    sure: float | None
    clarity_reached: float
    clarity_worst: float | None
    clarity_best: float | None

    @property
    def merit(self) -> tuple[float, ...]:
        """What is to be large."""
        return min(self.clarity_reached, CLEAR), -max(abs(cents) for cents in self.off_cents)


def _silent(words: str) -> None:
    del words


def fit(
    drum: Drum, progress: Progress = _silent, look: Look | None = None, *, attempts: int = ATTEMPTS
) -> Fit:
    """What lengths (and places, where free) make this drum sound its aims.

    Lengths already in the file are only a start. Raises OutlineError when the notes do not fit the board, with
    the nearest board, thickness or shift of the notes that takes them.

    Parameters
    ----------
    drum : Drum
        The drum, in mm, with notes.
    progress : Progress, optional
        Told what is being done.
    look : Look, optional
        What `looked` said of this very drum, where that is known.
    attempts : int, optional
        So many arrangements are confirmed at most.
    """
    aims = aims_hz(drum)
    refuse_twins(drum, aims)
    check_outline(without_lengths(drum))
    solution: Solution | None = None
    if look is None:
        progress("Solving the whole drum at guessed lengths (0 % done).")
        load_ahead("scipy.stats")
        solution = solve(started_drum(drum, aims))
    task, best, refusal = task_for(drum, aims), None, None
    rest: list[Candidate] = []
    spoilt: tuple[int, ...] = ()
    for attempt in range(attempts):
        # The rest of a row with one tongue belongs to the frame, which is right only for lengths near its own.
        again = attempt > 0 and _alone_in_a_row(drum)
        if look is None or again:
            progress(f"Comparing arrangements of the notes ({20 + 20 * attempt} % done).")
            look = looked(drum, solution)
        if attempt == 0 or again:
            rest, spoilt = list(look.tried), look.tried[0].spoilt
        if not _alone_in_a_row(drum):
            solution = None  # not needed again: the next solve may have its memory
        try:
            found = _confirmed(_Search(drum, look.model, task, look.tried), rest.pop(0), look.shift, progress)
        except OutOfReach as error:
            refusal = refusal or error
        else:
            solution = found.solution
            if best is None or found.merit > best.merit:
                best = found
        done = (
            best is not None and best.clarity_reached >= CLEAR and max(map(abs, best.off_cents)) <= GOOD_CENTS
        )
        if (
            done
            or not rest
            or not (rest[0].fits and rest[0].least >= CLEAR)
            or len(rest[0].spoilt) > len(spoilt)
        ):
            break
    if best is None:
        assert refusal is not None
        raise refusal
    return best


@dataclass(frozen=True, kw_only=True)
class Look:
    """What arrangements of a drum's notes come to on its model, the best first, before a full solve confirms one.

    shift (t,): how many cents a full solve is expected to sound above the model at each aim.
    """

    model: SearchModel
    shift: Array
    tried: tuple[Candidate, ...]


def looked(drum: Drum, solution: Solution | None = None) -> Look:
    """Compare the arrangements of a drum's notes on the frame of a full solve of it, with whatever lengths."""
    aims = aims_hz(drum)
    solution = solution or solve(started_drum(drum, aims))
    model = search_model(solution, reach_mm(drum, aims))
    stays = [tongue.row is not None for tongue in drum.tongues]
    shift = _defects(model, solution, aims, stays) + _expected_air(solution, aims)
    boards, own = drawn_boards(drum, BOARDS), task_for(drum, aims)
    task = replace(own, aims_hz=_shifted(aims, shift), air=box_air(solution.drum, boards))
    return Look(model=model, shift=shift, tried=tuple(arranged(model, task, boards)))


@dataclass(frozen=True)
class _Search:
    """What is looked for, and on what."""

    drum: Drum
    model: SearchModel
    task: Task
    tried: tuple[Candidate, ...]


def _confirmed(search: _Search, best: Candidate, shift: Array, progress: Progress) -> Fit:
    """An arrangement by full solves, its lengths moved by what those say otherwise than the model."""
    aims, drum = search.task.aims_hz, search.drum
    found, closest, solves = best.tuned, None, 1
    step: Array = np.zeros(len(aims))
    before = step
    while solves < FULL_SOLVES:
        solves += 1
        made = _made(drum, found)
        _check_reached(made, aims, best)
        progress(f"Confirming with a solve of the whole drum ({40 + 10 * solves} % done).")
        solution = solve(made)
        air = finished_air(solution)
        own, off = own_modes(solution.modes(), aims)
        off = off + air_cents(solution, air, own)
        worst = int(abs(off).argmax())
        progress(f"The worst tongue, {made.tongues[worst].note}, is {off[worst]:+.1f} cents off its aim.")
        if closest is None or abs(off).max() < abs(closest[2]).max():
            closest = solution, air, off
        if abs(off).max() <= GOOD_CENTS:
            break
        step, before = _next_step(step, before, off), off
        shift = shift + step
        with threadpool_limits(1):
            moved = replace(search.task.plain, aims_hz=_shifted(aims, shift))
            found = judged(search.model, moved, found.places, found.lengths_mm).tuned
    assert closest is not None
    solution, air, off = closest
    if abs(off).max() > KEPT_CENTS:
        raise _not_reached(solution.drum, off)
    return _fit_of(search, best, (solution, air), off, solves)


def _next_step(step: Array, before: Array, off: Array) -> Array:
    """How far to move each note on the model, now that it is so far off by a full solve, by the secant of the last
    move.

    A note that shares its tongue with another tone answers more, or less, than it is moved: with the whole of what it
    is off it would swing to and fro. Held by tests/tune/test_fit.py.

    Parameters
    ----------
    step : Array
        How far each was moved last, (t,), in cents; 0: not yet.
    before : Array
        How far off it then was, (t,), in cents.
    off : Array
        How far off it is now, (t,), in cents.
    """
    moved = np.abs(step) > MOVED_CENTS
    answer = np.where(moved, (before - off) / np.where(moved, step, 1.0), 1.0)
    return np.asarray(np.clip(off / np.clip(answer, *ANSWERS), -NEAR_CENTS, NEAR_CENTS))


def _fit_of(search: _Search, best: Candidate, sounds: tuple[Solution, InAir], off: Array, solves: int) -> Fit:
    solution, air = sounds
    notes = tuple(one.heard for one in tongues_in_air(solution.drum, solution.modes(), air))
    reached = min(note.clarity for note in notes)
    free = any(place is None for place in search.task.fixed)
    seen = [one.least for one in search.tried]
    return Fit(
        drum=solution.drum,
        solution=solution,
        air=air,
        notes=notes,
        aims_hz=search.task.aims_hz,
        off_cents=tuple(float(cents) for cents in off),
        full_solves=solves,
        kept=best,
        tried=search.tried,
        model=search.model,
        sure=None if math.isnan(best.sure) else best.sure,
        clarity_reached=reached,
        clarity_worst=min(*seen, reached) if free else None,
        # On the model the best and the worst may look otherwise than in the full solve.
        clarity_best=max(*seen, reached) if free else None,
    )


def _alone_in_a_row(drum: Drum) -> bool:
    return len(drum.tongues) % 2 == 1 or any(tongue.row is not None for tongue in drum.tongues)


def own_modes(modes: Modes, aims: Sequence[float]) -> tuple[list[int], Array]:
    """Which mode is each tongue's own (no two share one), and how many cents it is off its aim.

    Of the modes that a tongue sounds, one near its aim is taken before one further off.
    """
    heard = weights(modes)
    off = 1200.0 * np.log2(modes.hz[None, :] / np.asarray(aims)[:, None])
    share = heard / np.maximum(heard.sum(axis=1, keepdims=True), 1e-300)
    # Besides what is heard a little for nearness alone, so that a silent mode far off is never taken.
    merit = (share + 1e-3) * np.exp(-0.5 * (off / NEAR_CENTS) ** 2) + 1e-6 * share
    _, columns = linear_sum_assignment(-merit)
    own = [int(column) for column in columns]
    return own, off[np.arange(len(own)), own]


def _defects(model: SearchModel, solution: Solution, aims: Sequence[float], stays: Sequence[bool]) -> Array:
    """How many cents the full solve is expected to sound above the model at each of these pitches.

    Read off the solved drum's own tongues, whatever they sound: on stiff roots it is a straight line over pitch
    within half a cent. A tongue far off that line has another mode for its note in the one than in
    the other, and is left out. One that `stays` in its place and is near its aim already keeps its own difference.
    """
    drum = solution.drum
    places: list[Place] = [(t.row, t.side) for t in drum.tongues if t.row is not None and t.side is not None]
    lengths = [tongue.length_mm or 0.0 for tongue in drum.tongues]
    whole = solution.modes()
    parts = model.read(model.fitted(places, lengths), 1.2 * float(whole.hz[-1]))
    most, same = (np.argmax(weights(modes), axis=1) for modes in (whole, parts))
    pitches = whole.hz[most] / float(np.mean(aims))
    cents = 1200.0 * np.log2(whole.hz[most] / parts.hz[same])
    sound = abs(cents - np.median(cents)) <= STRAY_CENTS
    if sound.sum() < LEAST_FOR_LINE or np.ptp(pitches[sound]) < LEAST_RANGE:
        line = np.full(len(aims), np.median(cents))
    else:
        slope, level = np.polyfit(pitches[sound], cents[sound], 1)
        line = level + slope * np.asarray(aims) / float(np.mean(aims))
    near = abs(1200.0 * np.log2(whole.hz[most] / np.asarray(aims))) <= STAYS_CENTS
    return np.where(sound & near & np.asarray(stays), cents, line)


def finished_air(solution: Solution, *, notes_only: bool = False) -> InAir:
    """The finished drum in air: its bottom glued on, or where it has none open below; see `in_air`."""
    state = BottomState.OFF if solution.drum.bottom is None else BottomState.GLUED
    with solver_threads():
        return in_air(solution, state, notes_only=notes_only)


def air_cents(solution: Solution, air: InAir, modes: Sequence[int]) -> Array:
    """How far air moves each of these modes of the wood, in cents.

    Parameters
    ----------
    solution : Solution
        The solved drum, in vacuo.
    air : InAir
        The same in air.
    modes : Sequence[int]
        Modes of the wood, from 0.
    """
    return np.array([1200.0 * math.log2(air.hz_of(mode) / solution.hz[mode]) for mode in modes])


def _expected_air(solution: Solution, aims: Sequence[float]) -> Array:
    """How far air is expected to move a tongue at each of these pitches, from a drum with whatever lengths.

    As far as its own notes of such pitches are moved; what differs from place to place is told by the solve that
    confirms.
    """
    own = [note.mode for note in read_notes(solution.drum, solution.modes())]
    air = finished_air(solution, notes_only=True)
    moved, pitches = air_cents(solution, air, own), solution.hz[own]
    order = np.argsort(pitches)
    return np.asarray(np.interp(aims, pitches[order], moved[order]))


def _shifted(aims: Sequence[float], defect_cents: Array) -> tuple[float, ...]:
    return tuple(sharpened(hz, -float(cents)) for hz, cents in zip(aims, defect_cents, strict=True))


def _made(drum: Drum, found: Tuned) -> Drum:
    """The drum with these lengths as its file will state them, so that what is solved is what is written."""
    made = placed_drum(drum, found.places).with_lengths(found.lengths_mm)
    return replace(made, tongues=tuple(as_written(tongue, made.units) for tongue in made.tongues))


def _check_reached(drum: Drum, aims: Sequence[float], best: Candidate) -> None:
    """Refuse lengths that the board cannot hold, with what would, and notes that the model cannot reach."""
    explain_crowding(drum, aims)
    check_outline(drum)
    if not best.tuned.settled:
        off = np.nan_to_num(best.tuned.off_cents, nan=np.inf, posinf=np.inf, neginf=np.inf)
        worst = int(abs(off).argmax())
        raise OutOfReach(
            f"Tongue {worst + 1} ({drum.tongues[worst].note}) cannot be brought to its note in any place "
            "that is free: the wood at the tongues' roots gives way too much.",
            "Stiffer walls or root bars, or notes further apart, may help.",
            found=drum,
            tongue=worst,
        )


def _not_reached(drum: Drum, off: Array) -> OutOfReach:
    worst = int(abs(off).argmax())
    return OutOfReach(
        f"Tongue {worst + 1} ({drum.tongues[worst].note}) stays {off[worst]:+.1f} cents off its aim.",
        given=float(off[worst]),
        limit=KEPT_CENTS,
        found=drum,
        tongue=worst,
    )
