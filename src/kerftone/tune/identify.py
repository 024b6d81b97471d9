"""What this board is made of, from its size, its weight and the tones it gives when tapped.

Unknown are the logarithms of the ten constants, with the species as prior, and of length, width and thickness,
as measured with a rule and its error. Known are the mass and the tones. Gauss-Newton steps (iterated from the
prior, with the exact answers of each tone to each unknown) give the most likely board, and its covariance says
what is still not known. A tone that says nothing of a constant leaves it where the species puts it.

Which tone is which motion is found together with the wood, in `board_match.py`; the reading that explains all
tones best is kept, and one nearly as likely is told.

A tone is left out when what the other tones (and the species) say of it lies more than `LIMIT` standard
deviations away; the worst first, then the fit is made again. One that fits the board found without it is taken back.

Held by tests/tune/test_identify.py against boards whose tones another program gave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kerftone.errors import BoardError, Remedy
from kerftone.modal.free_board import ALONG, TWISTING, Name
from kerftone.modal.result import Array
from kerftone.pitch import cents
from kerftone.tune.board_match import LEFT_OUT, LIMIT, WIDER, Guess, Open, guesses
from kerftone.tune.board_model import N, Problem, State, noise_cents
from kerftone.tune.next_tone import Known, NextTone, Untold, next_tone, note_answer, untold
from kerftone.wood.board import Board, Cut, Found, Tap, check_board
from kerftone.wood.elastic import Elastic

MOST_STEPS, SETTLED, FINE, BACK = 24, 0.1, 0.3, 5
"""Steps at most; how small the last one must be, and from which one on the model is solved finely, in standard
deviations; how often a step that made things worse is halved."""
TRIED, WORTH = 4, 8.0
"""So many guesses are followed to the end, if their price is within this of the best one's."""
NEARLY = 2.0 * math.log(10.0)
"""A reading of the tones that is ten times less likely than the best is not spoken of."""
STRANGE = 25.0
"""Sum of squares, in standard deviations, of what lies off the species' mean; thirteen would be usual at most."""


@dataclass(frozen=True, kw_only=True)
class ToneFit:
    """One tone against the board found: the motion it is (None when left out) and how far it lies off."""

    tap: Tap
    kind: str | None
    model_hz: float
    off_cents: float


@dataclass(frozen=True, kw_only=True)
class Identified:
    """The board found, each tone's part in it, and the species' own constants and ± before any tap.

    `before` and `after` are the ± of each constant as a share of it, one standard deviation, in the order
    of `Elastic`. `further` is the tone that would tell most next, if any is worth it, `untold` what the tones do
    not tell, and `notes_cents` the ± that the wood leaves to a usual note of a drum cut from this board.
    `otherwise`: what motions the tones would be in another reading that is nearly as likely; `other_cut`: the
    other way to saw the board, when the tones speak for it.
    """

    found: Found
    tones: tuple[ToneFit, ...]
    expected: Elastic
    before: tuple[float, ...]
    after: tuple[float, ...]
    steps: int
    further: NextTone | None
    untold: tuple[Untold, ...]
    notes_cents: float
    otherwise: tuple[str | None, ...] | None
    other_cut: Cut | None


def identify(board: Board) -> Identified:
    """What constants this board has, and how surely.

    Raises BoardError when sizes and mass cannot belong to one board, when it has no tones, or when none of
    its tones can be those of such a board.
    """
    check_board(board)
    if not board.taps:
        raise BoardError(
            "This board has no tones yet. One is enough to begin: hold it where it stands still, tap it, and record "
            "the tone.",
            remedy=Remedy.TAP_BOARD,
        )
    problem = Problem(board)
    first = problem.at(problem.weighed(), rough=True)
    fits = _readings(problem, first)
    if not fits:
        raise _nothing_fits(board, first)
    fit, other_cut = fits[0], None
    for tap in board.taps:
        fit = _taken_back(problem, fit, tap)
    if len(fit.taps) < len(board.taps) or _strange(problem, fit):
        other_cut = _other_cut(board, fits[0])
    return _told(problem, fit, _rival(fits), other_cut)


def _readings(problem: Problem, first: State) -> list[_Fit]:
    """The likeliest readings of the tones, each with its board; looked for more widely when tones are left out."""
    taps = problem.board.taps
    fits = _fits(problem, first, Open())
    if not fits or len(fits[0].taps) < len(taps):
        fits = sorted(fits + _fits(problem, first, WIDER), key=lambda fit: fit.price)
    return fits


@dataclass(frozen=True)
class _Fit:
    """The most likely board for one reading of the tones."""

    state: State
    spread: Array
    taps: tuple[Tap, ...]
    names: tuple[Name, ...]
    price: float
    steps: int


def _fits(problem: Problem, first: State, keep: Open) -> list[_Fit]:
    found = guesses(problem, first, problem.board.taps, keep)
    found = [one for one in found if one.price < found[0].price + WORTH and one.taps]
    fits = [_weeded(problem, _converge(problem, one)) for one in found[:TRIED]]
    return sorted((fit for fit in fits if fit.taps), key=lambda fit: fit.price)


def _rival(fits: Sequence[_Fit]) -> _Fit | None:
    """A reading that is nearly as likely as the first and is not the same."""
    best = set(zip(map(id, fits[0].taps), fits[0].names, strict=True))
    for fit in fits[1:]:
        same = set(zip(map(id, fit.taps), fit.names, strict=True)) == best
        if not same and fit.price < fits[0].price + NEARLY:
            return fit
    return None


def _strange(problem: Problem, fit: _Fit) -> bool:
    """Is this a board such as the species hardly ever has."""
    return problem.unlikely(fit.state.x) > STRANGE


def _other_cut(board: Board, fit: _Fit) -> Cut | None:
    """The other way to saw the board, if its tones fit that much better."""
    other: Cut = "quartersawn" if board.cut == "flatsawn" else "flatsawn"
    problem = Problem(replace(board, cut=other))
    fits = _fits(problem, problem.at(problem.weighed(), rough=True), Open())
    return other if fits and fits[0].price < fit.price - WORTH else None


def _converge(problem: Problem, guess: Guess) -> _Fit:
    """Gauss-Newton with this reading of the tones, each step halved while it makes things worse."""
    taps, names = guess.taps, guess.names
    state, rough, steps, halved = guess.state, True, 0, 0
    misfit = problem.misfit(state, taps, names)
    x, spread = problem.step(state, taps, names)
    while steps < MOST_STEPS:
        steps += 1
        x = problem.possible(state.x, x)
        moved = float(np.max(abs(x - state.x) / np.sqrt(np.diag(spread))))
        finer = rough and moved < FINE
        tried = problem.at(x, rough=rough and not finer)
        now = problem.misfit(tried, taps, names) if tried.has(names) else math.inf
        if now > misfit + 1e-6 and not finer and halved < BACK:
            x, halved = 0.5 * (x + state.x), halved + 1
            continue
        if now == math.inf:
            break
        state, misfit, rough, halved = tried, now, rough and not finer, 0
        x, spread = problem.step(state, taps, names)
        if moved < SETTLED and not rough:
            break
    return _Fit(state, spread, taps, names, misfit + guess.extra, steps)


def _weeded(problem: Problem, fit: _Fit) -> _Fit:
    """The fit without the tones that the others, and the species, say cannot be; the worst goes first."""
    while fit.taps:
        worst = _worst(problem, fit)
        if worst is None:
            break
        taps = fit.taps[:worst] + fit.taps[worst + 1 :]
        names = fit.names[:worst] + fit.names[worst + 1 :]
        extra = fit.price - problem.misfit(fit.state, fit.taps, fit.names) + LEFT_OUT
        left = Guess(fit.state, taps, names, (), 0.0, extra)
        fit = _converge(problem, left)
    return fit


def _worst(problem: Problem, fit: _Fit) -> int | None:
    """The tone that lies furthest from what all else says of it, if that is beyond `LIMIT`."""
    rows, off, noise = problem.equations(fit.state, fit.taps, fit.names)
    inverse = np.linalg.inv(rows @ problem.prior @ rows.T + np.diag(noise**2))
    wanted = inverse @ (off + rows @ fit.state.x)
    score = abs(wanted) / np.sqrt(np.diag(inverse))
    worst = int(np.argmax(score[1:]))
    return worst if score[1 + worst] > LIMIT else None


def _taken_back(problem: Problem, fit: _Fit, tap: Tap) -> _Fit:
    """The fit with a tone that was left out, if it fits the board found after all."""
    if any(tap is other for other in fit.taps):
        return fit
    tones, rows = fit.state.tones, fit.state.rows()
    off = abs(1200.0 * np.log2(tap.hz / tones.hz))
    wide = np.sqrt(np.einsum("mi,ij,mj->m", rows, fit.spread, rows) + noise_cents(tap) ** 2)
    used = [name in fit.names for name in tones.names]
    near = int(np.argmin(np.where(used, np.inf, off / wide)))
    if used[near] or off[near] > LIMIT * wide[near]:
        return fit
    guess = Guess(fit.state, (*fit.taps, tap), (*fit.names, tones.names[near]), (), 0.0, fit.price)
    more = _converge(problem, guess)
    return fit if _worst(problem, more) is not None else more


def _nothing_fits(board: Board, first: State) -> BoardError:
    """None of the tones can be this board's: what it should sound like, so that the slip can be found."""
    tones = first.tones
    low = {
        kind: float(tones.hz[tones.kinds.index(kind)]) for kind in (ALONG, TWISTING) if kind in tones.kinds
    }
    told = ", ".join(f"{kind} about {hz:.0f} Hz" for kind, hz in low.items())
    given = " ".join(f"{tap.hz:g}" for tap in board.taps)
    return BoardError(
        f"None of the tones ({given} Hz) can be this board's: a mean board of {board.species.name} of this size "
        f"and weight sounds {told}. Check the sizes and the mass, and which motion each tone was tapped for.",
        given=[tap.hz for tap in board.taps],
        nearest=[round(hz, 1) for hz in low.values()],
    )


def _told(problem: Problem, fit: _Fit, rival: _Fit | None, other_cut: Cut | None) -> Identified:
    """The answer in the maker's terms."""
    board = problem.board
    slips = fit.spread[:, N + 2] / math.sqrt(fit.spread[N + 2, N + 2])
    exact = fit.spread - np.outer(slips, slips)
    # The wood of a board that is just as thick as it was measured: so thick will the drum's file say it is.
    measured = fit.state.x - fit.spread[:, N + 2] * (fit.state.x[N + 2] / fit.spread[N + 2, N + 2])
    found = Found(
        elastic=problem.wood(measured),
        covariance=tuple(tuple(float(c) for c in row[:N]) for row in exact[:N]),
        by_thickness=tuple(float(slip) for slip in slips[:N]),
    )
    answer = note_answer(board.cut)
    known = Known(fit.state, fit.spread, fit.taps, fit.names)
    before = tuple(float(s) for s in np.sqrt(np.diag(problem.prior)[:N]))
    return Identified(
        found=found,
        tones=_tones(board, fit),
        expected=board.expected(),
        before=before,
        after=found.spreads(),
        steps=fit.steps,
        further=next_tone(known, board.cut),
        untold=untold(known, before, board.cut),
        notes_cents=float(np.sqrt(answer @ fit.spread @ answer)),
        otherwise=None if rival is None else tuple(tone.kind for tone in _tones(board, rival)),
        other_cut=other_cut,
    )


def _tones(board: Board, fit: _Fit) -> tuple[ToneFit, ...]:
    """Each tone's part in a fit; one left out is set beside the nearest motion."""
    tones = fit.state.tones
    told, left = [], list(zip(fit.taps, fit.state.places(fit.names), strict=True))
    for tap in board.taps:
        used = next((at for at, (other, _) in enumerate(left) if other is tap), None)
        if used is None:
            mode = int(np.argmin(abs(np.log2(tones.hz / tap.hz))))
            kind = None
        else:
            mode = left.pop(used)[1]
            kind = tones.kinds[mode]
        hz = float(tones.hz[mode])
        told.append(ToneFit(tap=tap, kind=kind, model_hz=hz, off_cents=cents(tap.hz, hz)))
    return tuple(told)
