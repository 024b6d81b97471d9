"""Lengths, and places where they are free, so that every tongue sounds its aim.

One full solve at guessed lengths gives the frame; on the frame-and-tongues model Newton's method moves all
lengths together, with the pitches' derivatives by length as its Jacobian; a second full solve confirms. Should
a pitch still be off by a cent (a tongue alone in its row shifts the frame a little), it goes round once more:
three full solves at most. When the places are free too, the arrangements that look best and worst on paper
are made in tune on the same frame and the clearest is kept.

Lengths in mm, pitches in Hz, errors in cents.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import linear_sum_assignment

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.errors import KerftoneError, OutlineError
from kerftone.modal.frame import Assembly, assemble
from kerftone.modal.notes import NoteHeard, read_notes, weights
from kerftone.modal.result import Array, Modes
from kerftone.modal.sensitivity import CENTS_PER_LN
from kerftone.modal.solve import Solution, solve
from kerftone.pitch import cents, sharpened, targets_hz
from kerftone.tune.lengths import guess_length_mm
from kerftone.tune.places import Place, Wish, ranked
from kerftone.tune.reach import explain_crowding

GOOD_CENTS = 1.0
MODEL_CENTS = 0.05
FULL_SOLVES = 3
ROUNDS = 10
LARGEST_STEP = 0.4
"""No tongue changes by more than this share of its length in one step."""
LARGEST_CENTS = 100.0
"""Nor does a Newton step of all tongues together try to mend more than this."""
NEAR_CENTS = 200.0
FAR_CENTS = 150.0
ALONE_CENTS = 30.0
ROUNDS_ALONE = 4
ROUNDS_TRIED = 6
SHORTEST_MM = 30.0
TRIED = 2
"""How many of the best arrangements on paper are made in tune before one is kept; one poor one is, too."""
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Fit:
    """A drum in tune by the model. `notes` are read from `solution`, a full solve of `drum`.

    Clarities are the least clear tongue's: of this drum, and of the worst and best arrangement looked at (0 for
    one that cannot be brought in tune); None where the maker chose the places.
    """

    drum: Drum
    solution: Solution
    notes: tuple[NoteHeard, ...]
    aims_hz: tuple[float, ...]
    full_solves: int
    clarity_reached: float
    clarity_worst: float | None
    clarity_best: float | None


def aims_hz(drum: Drum) -> tuple[float, ...]:
    """What each tongue is cut to sound: its note, off by the drum's allowance."""
    notes = tuple(tongue.note for tongue in drum.tongues)
    targets = targets_hz(notes, reference_hz=drum.tuning.reference_hz, temperament=drum.tuning.temperament)
    return tuple(sharpened(hz, drum.tuning.aim_cents) for hz in targets)


def _silent(words: str) -> None:
    del words


def fit(drum: Drum, progress: Progress = _silent) -> Fit:
    """What lengths (and places, where free) make this drum sound its aims.

    Lengths already in the file are only a start. Raises OutlineError when the notes do not fit the board, with
    the nearest board, thickness or shift of the notes that takes them.
    """
    aims = aims_hz(drum)
    started, free = _started(drum, aims)
    check_outline(_without_lengths(started))
    progress("Solving the whole drum at guessed lengths.")
    solution = solve(_sawable(started, aims))
    model = assemble(solution)
    clarity: dict[str, float | None] = {"worst": None, "best": None}
    if free:
        progress("Trying arrangements of the notes on the frame-and-tongues model.")
        model, clarity = _arranged(drum, model, aims)
    else:
        model = _in_tune(model, aims)
    for solves in range(2, FULL_SOLVES + 1):
        _check_fits(model.drum, aims)
        progress("Confirming with a solve of the whole drum.")
        solution = solve(model.drum)
        modes = solution.modes()
        errors = _errors(modes, aims)[1]
        if abs(errors).max() <= GOOD_CENTS or solves == FULL_SOLVES:
            break
        model = _in_tune(assemble(solution), aims)
    if abs(errors).max() > GOOD_CENTS:
        raise _not_reached(drum, modes, aims)
    notes = read_notes(model.drum, modes)
    reached = min(note.clarity for note in notes)
    return Fit(
        drum=model.drum,
        solution=solution,
        notes=notes,
        aims_hz=aims,
        full_solves=solves,
        clarity_reached=reached,
        clarity_worst=clarity["worst"],
        # The best on the model may look better still in the full solve.
        clarity_best=None if clarity["best"] is None else max(clarity["best"], reached),
    )


def _started(drum: Drum, aims: Sequence[float]) -> tuple[Drum, bool]:
    """The drum with every tongue placed and of some length, and whether any place was free."""
    guesses = tuple(max(SHORTEST_MM, guess_length_mm(drum.top, hz)) for hz in aims)
    lengths = tuple(
        guess if tongue.length_mm is None else tongue.length_mm
        for tongue, guess in zip(drum.tongues, guesses, strict=True)
    )
    free = any(tongue.row is None for tongue in drum.tongues)
    if free:
        wish = Wish(hz=tuple(aims), lengths_mm=lengths)
        drum = _placed(drum, ranked(drum, wish, _room_mm(drum))[0])
    return drum.with_lengths(lengths), free


def _without_lengths(drum: Drum) -> Drum:
    return replace(drum, tongues=tuple(replace(tongue, length_mm=None) for tongue in drum.tongues))


def _placed(drum: Drum, places: Sequence[Place]) -> Drum:
    pairs = zip(drum.tongues, places, strict=True)
    return replace(drum, tongues=tuple(replace(t, row=row, side=side) for t, (row, side) in pairs))


def _room_mm(drum: Drum) -> float:
    """How long two facing tongues may be together."""
    return drum.top.length_mm - 2 * drum.slots.end_margin_mm - drum.slots.kerf_mm


def _sawable(drum: Drum, aims: Sequence[float]) -> Drum:
    """The same drum with tongues shortened where guesses overlap: a start must only be possible to mesh."""
    room = 0.97 * _room_mm(drum)
    lengths = [
        tongue.length_mm or guess_length_mm(drum.top, hz)
        for tongue, hz in zip(drum.tongues, aims, strict=True)
    ]
    for row in {tongue.row for tongue in drum.tongues}:
        inside = [number for number, tongue in enumerate(drum.tongues) if tongue.row == row]
        together = sum(lengths[number] for number in inside)
        for number in inside:
            lengths[number] *= min(1.0, room / together)
    return drum.with_lengths(tuple(lengths))


def _errors(modes: Modes, aims: Sequence[float], *, near_cents: float = math.inf) -> tuple[list[int], Array]:
    """Which mode is each tongue's own (no two share one), and how many cents it is off its aim.

    Of two modes a tongue sounds alike, the one nearer its aim is taken the sooner the smaller `near_cents`.
    """
    heard = weights(modes)
    off = 1200.0 * np.log2(modes.hz[None, :] / np.asarray(aims)[:, None])
    share = heard / heard.sum(axis=1, keepdims=True) * np.exp(-0.5 * (off / near_cents) ** 2)
    _, columns = linear_sum_assignment(-share)
    own = [int(column) for column in columns]
    return own, off[np.arange(len(own)), own]


def _in_tune(
    model: Assembly, aims: Sequence[float], *, good_cents: float = MODEL_CENTS, rounds: int = ROUNDS
) -> Assembly:
    """The same frame with tongues of the lengths that sound the aims, by Newton's method.

    From far off, first each tongue for itself, the others thought away, which is smooth however far it
    starts; then all together, which has to find how neighbours pull at each other.
    """
    own, errors = _errors(model.modes(), aims, near_cents=NEAR_CENTS)
    if abs(errors).max() > FAR_CENTS:
        model = _each_alone(model, aims)
        own, errors = _errors(model.modes(), aims, near_cents=NEAR_CENTS)
    for _ in range(rounds):
        if abs(errors).max() <= good_cents:
            break
        step = -np.linalg.solve(model.length_jacobian(own), np.clip(errors, -LARGEST_CENTS, LARGEST_CENTS))
        for share in (1.0, 0.5, 0.2):
            trial = _moved(model, share * step)
            own, after = _errors(trial.modes(), aims, near_cents=NEAR_CENTS)
            if abs(after).sum() < abs(errors).sum():
                break
        model, errors = trial, after
    return model


def _each_alone(model: Assembly, aims: Sequence[float]) -> Assembly:
    """The same frame with each tongue roughly of the length that would sound its aim without the others."""
    for _ in range(ROUNDS_ALONE):
        pairs = [model.alone(number) for number in range(len(aims))]
        errors = np.array([cents(hz, aim) for (hz, _), aim in zip(pairs, aims, strict=True)])
        if abs(errors).max() <= ALONE_CENTS:
            break
        model = _moved(model, _bar_steps(errors, np.array([per_mm for _, per_mm in pairs])))
    return model


def _bar_steps(errors: Array, per_mm: Array) -> Array:
    """Changes of length, mm, if pitch goes as one over the square of the sounding length."""
    sounding = -2.0 * CENTS_PER_LN / per_mm
    return np.asarray(sounding * (2.0 ** (errors / 2400.0) - 1.0))


def _moved(model: Assembly, step: Array) -> Assembly:
    """The model with its tongues longer by these steps (mm), within reason."""
    lengths = np.array([tongue.length_mm for tongue in model.drum.tongues], dtype=float)
    most = LARGEST_STEP * lengths
    lengths = np.maximum(lengths + np.clip(step, -most, most), SHORTEST_MM)
    return model.with_drum(model.drum.with_lengths(tuple(float(mm) for mm in lengths)))


def _arranged(drum: Drum, model: Assembly, aims: Sequence[float]) -> tuple[Assembly, dict[str, float | None]]:
    """The clearest of the arrangements tried, in tune, and the worst and best clarity seen."""
    first = _in_tune(model, aims)
    lengths = tuple(tongue.length_mm or 0.0 for tongue in first.drum.tongues)
    order = ranked(drum, Wish(hz=tuple(aims), lengths_mm=lengths), _room_mm(drum))
    chosen = order[:TRIED] + order[-1:] if len(order) > TRIED else order
    tried: list[tuple[float, Assembly]] = []
    for places in dict.fromkeys(chosen):
        moved = first.with_drum(_placed(first.drum, places))
        trial = _in_tune(moved, aims, good_cents=GOOD_CENTS, rounds=ROUNDS_TRIED)
        clarity = _model_clarity(trial, aims)
        tried.append((clarity, trial))
    fitting = [one for one in tried if _fits(one[1].drum)] or tried[:1]
    best = max(fitting, key=lambda one: one[0])
    seen = [clarity for clarity, _ in tried]
    return _in_tune(best[1], aims), {"worst": min(seen), "best": max(seen)}


def _model_clarity(model: Assembly, aims: Sequence[float]) -> float:
    """The clarity of the least clear tongue; 0 where the aims are not reached."""
    modes = model.modes(2 * len(aims) + 8)
    heard = read_notes(model.drum, modes)
    off = [abs(cents(note.hz, aim)) for note, aim in zip(heard, aims, strict=True)]
    return min(note.clarity for note in heard) if max(off) <= GOOD_CENTS else 0.0


def _fits(drum: Drum) -> bool:
    try:
        check_outline(drum)
    except OutlineError:
        return False
    return True


def _check_fits(drum: Drum, aims: Sequence[float]) -> None:
    """Refuse lengths that the board cannot hold, with what would."""
    explain_crowding(drum, aims)
    check_outline(drum)


def _not_reached(drum: Drum, modes: Modes, aims: Sequence[float]) -> KerftoneError:
    """The refusal of lengths at which, by the last full solve, not every tongue sounds its aim the loudest."""
    errors, near = (_errors(modes, aims, near_cents=reach)[1] for reach in (math.inf, NEAR_CENTS))
    worst = int(abs(errors).argmax())
    note = drum.tongues[worst].note
    if abs(near).max() <= GOOD_CENTS:
        words = (
            f"Tongue {worst + 1} ({note}) has its note, but sounds another tongue's louder, "
            f"{errors[worst]:+.0f} cents off: the two share their tones through "
            "root strips and box, and no length parts them."
        )
    else:
        words = (
            f"Tongue {worst + 1} ({note}) stays {errors[worst]:+.1f} cents off its aim. The model does not settle "
            f"within {GOOD_CENTS:g} cent in {FULL_SOLVES} full solves."
        )
    return KerftoneError(
        f"{words} Give neighbours notes further apart, or other places.",
        given=float(errors[worst]),
        limit=GOOD_CENTS,
    )
