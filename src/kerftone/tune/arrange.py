"""Which note goes where, and how long its tongue must then be, on a model that answers in milliseconds.

First each note is put in tune in each place with no other tongue there: a smooth problem with one unknown. From
these solutions follows, to first order, how much each note would move the tongue of every other (`mixing`), so that
thousands of arrangements can be compared by arithmetic. The best are brought in tune together by Newton's method
and judged by their modes. Nothing has to be recognised on the way: see `modal/search.py`.

Lengths in mm, pitches in Hz, errors in cents.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from kerftone.modal.notes import HEARD_TO, share_heard, weights
from kerftone.modal.result import Array, Modes
from kerftone.modal.search import Board, Place, SearchModel
from kerftone.tune.box_air import BoxAir, longer_by
from kerftone.tune.candidate import CLEAR, CLEAR_ON, Candidate
from kerftone.tune.newton import Tuned, tuned
from kerftone.tune.off_knots import KnotField
from kerftone.tune.places import distinct

OUTRIGHT = 8
"""Up to this many free tongues every arrangement is compared."""
STARTS, PURE = 60, 0.02
"""Above that, so many starts, each bettered by exchanging two tongues at a time; what is no less clear than this
by first order is kept, for then it is the box that decides."""
FACING_SLACK_MM = 1.0
"""Room kept in a row beyond the kerf while arranging, as lengths still change a little."""
LEAST_GAP = 0.002
"""Two notes nearer than this share of their eigenvalue count as so near."""
MARGIN = (0.975, 1.025)
"""A good arrangement stays clear with the frame so many times as stiff: its tones some 20 cents lower or higher."""
UNREACHED_MM = 10_000.0
"""Stands for the length of a tongue for which the table has none."""
MOST_TRIED, MOST_OF_ALL, MOST_PATIENT, ENOUGH = 200, 320, 12, 8
"""So many arrangements are brought in tune at most, fewer once enough are clear."""
FEW_FINALISTS, FINALISTS = 4, 8
"""So many of the best are tried on other boards: more than the first only while none is clear on enough of them."""


@dataclass(frozen=True, kw_only=True)
class Alone:
    """Each note in each place with no other tongue in the drum (places, notes).

    lengths_mm; nan where the table does not reach. mixing (places, notes, places, notes): how much the second's
    tongue moves in the first's note, as a share of the first's own.
    """

    places: tuple[Place, ...]
    lengths_mm: Array
    mixing: Array


def alone(model: SearchModel, aims_hz: Sequence[float], guess: Callable[[float], float]) -> Alone:
    """What every note does in every place by itself.

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    aims_hz : Sequence[float]
        The pitch each note is to have, in Hz (t,).
    guess : Callable[[float], float]
        A length in mm to begin from, for a pitch in Hz.
    """
    places, notes = tuple(model.seats), len(aims_hz)
    lengths = np.full((len(places), notes), np.nan)
    size = next(iter(model.seats.values())).coupling.shape[1]
    moved, coupled = np.zeros((2, len(places), notes, size))
    share = np.ones((len(places), notes))
    for p, place in enumerate(places):
        for n, hz in enumerate(aims_hz):
            found = tuned(model, [place], [hz], [guess(hz)])
            if not found.settled:
                continue
            lengths[p, n] = found.lengths_mm[0]
            fitted = model.fitted([place], found.lengths_mm)
            sounding = model.sounding(fitted, [hz])
            lengths[p, n], share[p, n] = found.lengths_mm[0], sounding.share[0]
            moved[p, n], coupled[p, n] = sounding.moved[0], fitted.coupling[0][0, :, 0]
    squares = (2 * math.pi * np.asarray(aims_hz, dtype=float)) ** 2
    gap = squares[None, :] - squares[:, None]
    reach = np.einsum("pnm,qom->pnqo", moved, coupled) * share[None, None]
    near = np.where(gap < 0.0, -1.0, 1.0) * np.maximum(abs(gap), LEAST_GAP * squares[:, None])
    np.fill_diagonal(near, np.inf)
    mixing = (squares**2)[None, :, None, None] * reach / near[None, :, None, :]
    return Alone(places=places, lengths_mm=lengths, mixing=np.nan_to_num(mixing))


def unclear(alone: Alone, chosen: NDArray[np.intp]) -> Array:
    """How unclear each arrangement's worst note would be, to first order: 0 is pure.

    chosen (a, notes): the number of each note's place. A tongue of mixing x sounds the other's note with weight x⁴.
    """
    notes = range(chosen.shape[1])
    worst = np.zeros(len(chosen))
    for one in notes:
        heard = np.zeros(len(chosen))
        for other in notes:
            if other != one:
                heard += alone.mixing[chosen[:, other], other, chosen[:, one], one] ** 4
        worst = np.maximum(worst, heard)
    return worst


@dataclass(frozen=True, kw_only=True)
class Task:
    """What is to be arranged. room_mm: for the tongues of one row together, kerf left out; spare_mm: how much more
    (by row) where their own ends reach into each other. fixed: the places that
    are the maker's, None where a note's place is free. guess: a first length (mm) for a pitch. air: the breathing of
    the box; None where it is open below, or no matter. knots: of the board; None where it has none."""

    aims_hz: tuple[float, ...]
    fixed: tuple[Place | None, ...]
    room_mm: float
    guess: Callable[[float], float]
    spare_mm: Mapping[int, float] = field(default_factory=dict)
    air: BoxAir | None = None
    knots: KnotField | None = None

    @property
    def plain(self) -> Task:
        """The same where only the wood's pitches are asked about."""
        return replace(self, air=None, knots=None)


def arrangements(task: Task, found: Alone) -> NDArray[np.intp]:
    """Arrangements as numbers of places (a, notes), from the clearest to the least clear by first order.

    Those whose tongues fit their rows come first, then those off the board's knots. Mirror images of one another
    appear once.
    """
    chosen = _every(task, found) if _free(task) <= OUTRIGHT else _bettered(task, found)
    chosen = distinct(found.places, chosen)
    worth = unclear(found, chosen)
    crowded = np.maximum(0.0, crowding_mm(task, found, chosen))
    return chosen[np.lexsort((worth, _spoilt(task, found, chosen), crowded))]


def crowding_mm(task: Task, found: Alone, chosen: NDArray[np.intp]) -> Array:
    """By how much the fullest row is too short, by the lengths of each tongue alone (a,); negative where it fits.

    Parameters
    ----------
    task : Task
        Notes, places and sizes that are to go together.
    found : Alone
        What every note does in every place by itself.
    chosen : NDArray[np.intp]
        The place of each note in each of many arrangements, (a, t).
    """
    notes = np.arange(chosen.shape[1])
    lengths = np.nan_to_num(found.lengths_mm, nan=UNREACHED_MM)[chosen, notes]
    rows = np.array([row for row, _ in found.places])[chosen]
    sums = [
        np.where(rows == row, lengths, 0.0).sum(axis=1) - task.spare_mm.get(row, 0.0)
        for row in sorted({row for row, _ in found.places})
    ]
    return np.asarray(np.max(sums, axis=0) + FACING_SLACK_MM - task.room_mm)


def _spoilt(task: Task, found: Alone, chosen: NDArray[np.intp]) -> Array:
    """How many knots spoil each arrangement's tongues, by the lengths of each alone (a,)."""
    return (
        np.zeros(len(chosen))
        if task.knots is None
        else task.knots.counted(found.places, found.lengths_mm, chosen)
    )


def _free(task: Task) -> int:
    return sum(place is None for place in task.fixed)


def _seated(task: Task, found: Alone, free: NDArray[np.intp]) -> NDArray[np.intp]:
    """Whole arrangements from the numbers of the free tongues' places (a, free)."""
    chosen = np.zeros((len(free), len(task.fixed)), dtype=np.intp)
    column = 0
    for note, place in enumerate(task.fixed):
        if place is None:
            chosen[:, note] = free[:, column]
            column += 1
        else:
            chosen[:, note] = found.places.index(place)
    return chosen


def _open(task: Task, found: Alone) -> list[int]:
    return [number for number, place in enumerate(found.places) if place not in task.fixed]


def _every(task: Task, found: Alone) -> NDArray[np.intp]:
    seats = _open(task, found)
    orders = list(itertools.permutations(seats, _free(task)))
    return _seated(task, found, np.array(orders, dtype=np.intp).reshape(len(orders), -1))


def _bettered(task: Task, found: Alone) -> NDArray[np.intp]:
    """Many starts, each bettered by exchanges, and what was good on the way; always the same ones."""
    random = np.random.default_rng(0)
    seats = np.array(_open(task, found))
    starts = np.array([random.permutation(seats)[: _free(task)] for _ in range(STARTS)])
    movable = [number for number, place in enumerate(task.fixed) if place is None]
    pairs = list(itertools.combinations(movable, 2))

    def worth(chosen: NDArray[np.intp]) -> Array:
        crowded = np.maximum(0.0, crowding_mm(task, found, chosen))
        return np.asarray(unclear(found, chosen) + crowded + _spoilt(task, found, chosen))

    kept = []
    for chosen in _seated(task, found, starts):
        best = worth(chosen[None])[0]
        while True:
            swapped = np.tile(chosen, (len(pairs), 1))
            for row, (one, other) in zip(swapped, pairs, strict=True):
                row[one], row[other] = row[other], row[one]
            after = worth(swapped)
            kept.append(swapped[after < PURE])
            if after.min() >= best:
                break
            chosen, best = swapped[after.argmin()], after.min()
        kept.append(chosen[None])
    return np.unique(np.concatenate(kept), axis=0)


def judged(
    model: SearchModel,
    task: Task,
    places: Sequence[Place],
    start_mm: Sequence[float],
    *,
    patient: bool = True,
) -> Candidate:
    """This arrangement brought in tune, and how clear it is; `patient` as in `tuned`.

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    task : Task
        Notes, places and sizes that are to go together.
    places : Sequence[Place]
        Of the notes, in their order.
    start_mm : Sequence[float]
        Lengths to begin from, in mm.
    patient : bool, optional
        Whether to take the slow way where the quick one fails.
    """
    found = tuned(model, places, task.aims_hz, start_mm, patient=patient)
    rows: dict[int, float] = {}
    for (row, _), mm in zip(places, found.lengths_mm, strict=True):
        rows[row] = rows.get(row, -task.spare_mm.get(row, 0.0)) + mm
    one = Candidate(
        tuned=found,
        clarity=np.zeros(len(places)),
        fits=max(rows.values()) <= task.room_mm + 1e-6,
    )
    if task.knots is not None:
        laid = task.knots.laid(places, found.lengths_mm)
        turned = replace(found, places=laid.places)
        one = replace(one, tuned=turned, spoilt=laid.spoilt, corner_mm=laid.corner_mm)
    return _heard(model, task, one) if found.settled else one


def _heard(model: SearchModel, task: Task, one: Candidate) -> Candidate:
    """The same with how clear and how loud its notes are, and whether they keep off the breathing."""
    modes, own = _read(model, task.aims_hz, one.tuned)
    clear = replace(one, clarity=_clarity(modes, own))
    if task.air is None:
        return clear
    lift, volume = modes.strike[np.arange(len(own)), own], modes.volume[own]
    return replace(clear, power_db=task.air.power_db(lift, volume), safe=task.air.safe(volume))


def _read(model: SearchModel, aims_hz: Sequence[float], found: Tuned) -> tuple[Modes, NDArray[np.intp]]:
    """The modes of the drum with these lengths, and which is each tongue's note."""
    modes = model.read(model.fitted(found.places, found.lengths_mm), HEARD_TO * max(aims_hz))
    return modes, np.array([int(np.argmin(abs(np.log(modes.hz / hz)))) for hz in aims_hz])


def _clarity(modes: Modes, own: NDArray[np.intp]) -> Array:
    pairs = zip(weights(modes), own, strict=True)
    return np.array([share_heard(row, modes.hz, int(mode)) for row, mode in pairs])


def clear_shares(model: SearchModel, aims_hz: Sequence[float], found: Tuned) -> Array:
    """The share of each note in all that a blow on its tongue sounds below its first overtone (t,).

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    aims_hz : Sequence[float]
        The pitch each note is to have, in Hz (t,).
    found : Tuned
        The lengths at which they sound.
    """
    return _clarity(*_read(model, aims_hz, found))


def sureness(model: SearchModel, task: Task, candidate: Candidate, boards: Sequence[Board]) -> float:
    """The share of these boards on which the drum, tuned again, has every note clear.

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    task : Task
        Notes, places and sizes that are to go together.
    candidate : Candidate
        The arrangement, in tune on the mean board.
    boards : Sequence[Board]
        Of other wood.
    """
    good = 0
    for board in boards:
        start = [longer_by(board) * mm for mm in candidate.tuned.lengths_mm]
        again = judged(model.with_board(board), task.plain, candidate.tuned.places, start)
        good += again.tuned.settled and again.least >= CLEAR
    return good / len(boards)


def _with_margin(model: SearchModel, task: Task, one: Candidate) -> Candidate:
    """The same with the least clarity it has when the tones of the box lie a little higher or lower."""
    clarity, plain = one.clarity, task.plain
    for factor in MARGIN:
        other = judged(
            model.with_stiffer_frame(factor), plain, one.tuned.places, one.tuned.lengths_mm, patient=False
        )
        clarity = np.minimum(clarity, other.clarity)
    return replace(one, clarity=clarity)


def arranged(model: SearchModel, task: Task, boards: Sequence[Board]) -> list[Candidate]:
    """The best arrangements, the best first: in tune, clear, and clear on most of these boards of other wood.

    Parameters
    ----------
    model : SearchModel
        The frame and the tongues' tables.
    task : Task
        Notes, places and sizes that are to go together.
    boards : Sequence[Board]
        Of other wood.
    """
    with threadpool_limits(1):
        found = alone(model, task.aims_hz, task.guess)
        order = arrangements(task, found)
        tried = _tried(model, task, found, order[:MOST_TRIED], patient=False)
        if not any(one.usable and one.least >= CLEAR for one in tried):
            tried += _tried(model, task, found, order[MOST_TRIED:MOST_OF_ALL], patient=False)
        if not any(one.fits and one.tuned.settled for one in tried):
            tried += _tried(model, task, found, order[:MOST_PATIENT], patient=True)
        tried.sort(key=lambda one: one.merit, reverse=True)
        best: list[Candidate] = []
        for one in tried[:FINALISTS]:
            if len(best) >= FEW_FINALISTS and any(done.sure >= CLEAR_ON for done in best):
                break
            asked = boards and one.least >= CLEAR
            best.append(replace(one, sure=sureness(model, task, one, boards)) if asked else one)
        return sorted(best, key=lambda one: one.merit, reverse=True) + tried[len(best) :]


def _tried(
    model: SearchModel, task: Task, found: Alone, order: NDArray[np.intp], *, patient: bool
) -> list[Candidate]:
    """These arrangements in tune, until enough of them are clear."""
    tried: list[Candidate] = []
    for chosen in order:
        alone_mm = found.lengths_mm[chosen, np.arange(len(chosen))]
        start = [
            float(mm) if math.isfinite(mm) else task.guess(hz)
            for mm, hz in zip(alone_mm, task.aims_hz, strict=True)
        ]
        places = [found.places[number] for number in chosen]
        one = judged(model, task, places, start, patient=patient)
        tried.append(_with_margin(model, task, one) if one.fits and one.least >= CLEAR else one)
        if sum(one.usable and one.least >= CLEAR for one in tried) >= ENOUGH:
            break
    return tried
