"""What this board is made of, from its size, its weight and the tones it gives when tapped.

Unknown are the logarithms of the ten constants, with the species as prior, and of length, width and thickness,
as measured with a rule and its error. Known are the mass and the tones. Gauss-Newton steps (iterated from the
prior, with the exact answers of each tone to each unknown) give the most likely board, and its covariance says
what is still not known. A tone that says nothing of a constant leaves it where the species puts it.

Which tone is which motion: the lowest tone tapped "along", "across" or "twisting" is the lowest motion of
that kind. A higher one, or an "unknown" one, may be any of the lowest motions that is still free; many
guesses of the wood are tried, and the one that explains all tones best is kept.

A tone is left out when what the other tones (and the species) say of it lies more than `LIMIT` standard
deviations away; the worst first, then the fit is made again. One that fits the board found without it is taken back.

Held by tests/tune/test_identify.py against boards whose tones another program gave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from scipy.optimize import linear_sum_assignment

from kerftone.errors import BoardError
from kerftone.modal.free_board import ACROSS, ALONG, ORDERS, ROUGH, TWISTING, FreeTones, free_tones
from kerftone.modal.result import Array
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.pitch import cents
from kerftone.tune.spread import covariance
from kerftone.wood.board import RULER_MM, SCALE_G, Board, Found, Tap, check_board
from kerftone.wood.elastic import Elastic

LIMIT = 4.0
"""Standard deviations: one honest tone in 16,000 is lost by it."""
TONE_FLOOR_CENTS = 0.5
"""No tone counts as better known than this: the model itself is that good, no better."""
SAME_TONE_CENTS = 40.0
"""Tones of one kind nearer than this are the same motion, tapped again."""
MOST_STEPS, STEP_CENTS, FINE_CENTS, REMATCH_CENTS = 12, 0.2, 8.0, 120.0
REACH, GUESSES, CAP_CENTS = 14, 4, 120.0
FURTHEST, HALVINGS = 1.6, 20
"""No constant is sought further than this from the species' mean, as a natural logarithm: a factor of five."""
N = len(CONSTANTS)


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
    of `Elastic`.
    """

    found: Found
    tones: tuple[ToneFit, ...]
    expected: Elastic
    before: tuple[float, ...]
    after: tuple[float, ...]
    steps: int


@dataclass(frozen=True)
class _State:
    """Logarithms of constants and sizes, relative to the prior's mean, and the model there."""

    x: Array
    tones: FreeTones


class _Problem:
    """The prior, the measurements, and the model of one board."""

    def __init__(self, board: Board) -> None:
        self.board = board
        size, mean = np.array(board.size_mm), board.expected()
        # The weight says more of the density than the species does: begin there, with the species' own doubt.
        self.mean = mean
        self.prior = np.zeros((N + 3, N + 3))
        self.prior[:N, :N] = covariance(board.scatter())
        self.prior[range(N, N + 3), range(N, N + 3)] = (RULER_MM / size) ** 2
        self.weigh = np.zeros(N + 3)
        self.weigh[N - 1 :] = 1.0
        self.log_mass = math.log(board.density_kg_m3 / mean.density_kg_m3)
        self.mass_spread = SCALE_G / board.mass_g

    def wood(self, x: Array) -> Elastic:
        factors = np.exp(x[:N])
        return replace(
            self.mean,
            **{n: float(getattr(self.mean, n) * f) for n, f in zip(CONSTANTS, factors, strict=True)},
        )

    def at(self, x: Array, *, rough: bool = False) -> _State:
        size = np.array(self.board.size_mm) * np.exp(x[N:])
        wood = self.wood(x)
        tones = free_tones(
            size_mm=(float(size[0]), float(size[1]), float(size[2])),
            elastic=wood,
            cut=self.board.cut,
            count=REACH,
            orders=ROUGH if rough else ORDERS,
        )
        return _State(x, tones)

    def step(self, state: _State, taps: Sequence[Tap], modes: Sequence[int]) -> tuple[Array, Array]:
        """The next guess from all tones, and the covariance there."""
        rows, off, noise = self.equations(state, taps, modes)
        return self.update(rows, off + rows @ state.x, noise)

    def update(self, rows: Array, wanted: Array, noise: Array) -> tuple[Array, Array]:
        gain_left = self.prior @ rows.T
        inside = rows @ gain_left + np.diag(noise**2)
        gain = np.linalg.solve(inside, gain_left.T).T
        after = self.prior - gain @ gain_left.T
        return gain @ wanted, 0.5 * (after + after.T)

    def equations(
        self, state: _State, taps: Sequence[Tap], modes: Sequence[int]
    ) -> tuple[Array, Array, Array]:
        """Of the mass and each tone: answers to the unknowns, measured less modelled, and noise."""
        answers = np.hstack([state.tones.by_constant, state.tones.by_size])
        rows = np.vstack([1200.0 * self.weigh, *(answers[mode] for mode in modes)])
        off = [1200.0 * (self.log_mass - float(self.weigh @ state.x))]
        off += [cents(tap.hz, float(state.tones.hz[mode])) for tap, mode in zip(taps, modes, strict=True)]
        noise = [1200.0 * self.mass_spread]
        noise += [max(tap.plus_minus_cents, TONE_FLOOR_CENTS) for tap in taps]
        return rows, np.array(off), np.array(noise)


def identify(board: Board) -> Identified:
    """What constants this board has, and how surely.

    Raises BoardError when sizes and mass cannot belong to one board, when it has no tones, or when none of
    its tones can be those of such a board.
    """
    check_board(board)
    if not board.taps:
        raise BoardError(
            "This board has no tones yet. One is enough to begin: hold it as `kerftone board tap` draws, tap it, "
            "and write the tone with --hz."
        )
    problem = _Problem(board)
    kept = list(board.taps)
    x, _ = problem.update(*_only_mass(problem))
    first = problem.at(x, rough=True)
    while True:
        fits = [_converge(problem, first, kept, modes) for modes in _assignments(problem, first.tones, kept)]
        state, spread, modes, _, steps = min(fits, key=lambda fit: fit[3])
        worst = _worst(problem, state, kept, modes)
        if worst is None:
            break
        kept.pop(worst)
        if not kept:
            raise _nothing_fits(board, first.tones)
    fit = _Fit(state, spread, kept, modes, steps)
    for tap in board.taps:
        fit = _taken_back(problem, fit, tap)
    return _told(problem, board, fit)


@dataclass(frozen=True)
class _Fit:
    state: _State
    spread: Array
    taps: Sequence[Tap]
    modes: Sequence[int]
    steps: int


def _taken_back(problem: _Problem, fit: _Fit, tap: Tap) -> _Fit:
    """The fit with a tone that was left out, if it fits the board found after all."""
    if any(tap is other for other in fit.taps):
        return fit
    taps = [*fit.taps, tap]
    first = _matched(fit.state.tones.hz, fit.state.tones, taps)[0]
    state, spread, modes, _, steps = _converge(problem, fit.state, taps, first)
    if _worst(problem, state, taps, modes) is not None:
        return fit
    return _Fit(state, spread, taps, modes, fit.steps + steps)


def _only_mass(problem: _Problem) -> tuple[Array, Array, Array]:
    return (
        1200.0 * problem.weigh[None],
        np.array([1200.0 * problem.log_mass]),
        np.array([1200.0 * problem.mass_spread]),
    )


def _converge(
    problem: _Problem, state: _State, taps: Sequence[Tap], modes: Sequence[int]
) -> tuple[_State, Array, list[int], float, int]:
    """Gauss-Newton with this assignment, held by the motions' kinds: state, covariance, modes, misfit, steps."""
    modes, steps, matched = list(modes), 0, False
    while steps < MOST_STEPS:
        steps += 1
        names = _names(state.tones)
        wanted = [names[mode] for mode in modes]
        x, _ = problem.step(state, taps, modes)
        x = _possible(problem, state.x, x)
        moved = float(np.max(abs(x - state.x))) * 1200.0
        state = problem.at(x, rough=moved > FINE_CENTS)
        if moved < REMATCH_CENTS or matched:  # near the answer the nearest motion is the right one
            modes, matched = _matched(state.tones.hz, state.tones, taps)[0], True
        else:
            names = _names(state.tones)
            modes = [
                names.index(name) if name in names else mode for name, mode in zip(wanted, modes, strict=True)
            ]
        if moved < STEP_CENTS:
            break
    _, off, noise = problem.equations(state, taps, modes)
    _, spread = problem.step(state, taps, modes)
    misfit = float(np.sum((off / noise) ** 2)) + float(x @ np.linalg.pinv(problem.prior) @ x)
    return state, spread, modes, misfit, steps


def _names(tones: FreeTones) -> list[tuple[str, int]]:
    """Each motion by its kind and its number among those of the kind."""
    return [(kind, tones.kinds[:at].count(kind)) for at, kind in enumerate(tones.kinds)]


def _possible(problem: _Problem, x: Array, wanted: Array) -> Array:
    """As far towards the wanted wood as wood can be: a tone that is none of the board's may pull it beyond."""
    for _ in range(HALVINGS):
        if problem.wood(wanted).why_unstable() is None and float(np.max(abs(wanted))) < FURTHEST:
            return wanted
        wanted = 0.5 * (x + wanted)
    return x


def _assignments(problem: _Problem, tones: FreeTones, taps: Sequence[Tap]) -> list[list[int]]:
    """Which motion each tone may be: the few best guesses over many kinds of wood.

    The guesses move all stiffnesses together, the stiffness across and that in shear, as far as the
    species' scatter lets them; the tones follow by their first-order answers.
    """
    answers = tones.by_constant
    across, shear = ("e_t_gpa", "g_lt_gpa") if problem.board.cut == "flatsawn" else ("e_r_gpa", "g_lr_gpa")
    moduli = [at for at, name in enumerate(CONSTANTS) if name[:2] in ("e_", "g_")]
    sizes = [
        float(np.sqrt(covariance(problem.board.scatter())[at, at])) for at in (0, CONSTANTS.index(across))
    ]
    motions = [tap.motion for tap in taps]
    if "unknown" not in motions and len(set(motions)) == len(motions):
        return [_matched(tones.hz, tones, taps)[0]]
    best: dict[tuple[int, ...], float] = {}
    for whole, wide, twist in product(np.linspace(-2.5, 2.5, 21), *2 * (np.linspace(-3, 3, 9),)):
        dx = np.zeros(N)
        dx[moduli] += whole * sizes[0]
        dx[CONSTANTS.index(across)] += wide * sizes[1]
        dx[CONSTANTS.index(shear)] += twist * sizes[1]
        hz = tones.hz * 2.0 ** ((answers @ dx) / 1200.0)
        modes, cost = _matched(hz, tones, taps)
        cost += (whole**2 + wide**2 + twist**2) * 8.0
        if cost < best.get(tuple(modes), math.inf):
            best[tuple(modes)] = cost
    return [list(modes) for modes in sorted(best, key=lambda modes: best[modes])[:GUESSES]]


def _matched(hz: Array, tones: FreeTones, taps: Sequence[Tap]) -> tuple[list[int], float]:
    """Each tone to a motion, those of a stated kind first, and how far off the rest are, in cents."""
    names = _names(tones)
    modes = [-1] * len(taps)
    for kind in (ALONG, TWISTING, ACROSS):
        number, last = -1, 0.0
        for at in sorted((a for a, tap in enumerate(taps) if tap.motion == kind), key=lambda a: taps[a].hz):
            if number < 0 or cents(taps[at].hz, last) > SAME_TONE_CENTS:
                number, last = number + 1, taps[at].hz
            if number == 0 and (kind, 0) in names:  # higher ones may be told by another name: see below
                modes[at] = names.index((kind, 0))
    loose = [at for at, mode in enumerate(modes) if mode < 0]
    cost = sum(_capped(cents(taps[at].hz, float(hz[mode]))) for at, mode in enumerate(modes) if mode >= 0)
    if loose:
        open_modes = [mode for mode in range(len(hz)) if mode not in modes] or list(range(len(hz)))
        given = np.array([taps[at].hz for at in loose])
        table = np.minimum(abs(1200.0 * np.log2(given[:, None] / hz[open_modes][None])), CAP_CENTS)
        rows, columns = linear_sum_assignment(table)
        for row, column in zip(rows, columns, strict=True):
            modes[loose[row]] = open_modes[column]
        for at in loose:  # more tones than motions: the nearest, to be judged by the rule
            if modes[at] < 0:
                modes[at] = int(np.argmin(abs(np.log2(taps[at].hz / hz))))
        cost += float(table[rows, columns].sum())
    return modes, cost


def _capped(off: float) -> float:
    return min(abs(off), 4.0 * CAP_CENTS)


def _worst(problem: _Problem, state: _State, taps: Sequence[Tap], modes: Sequence[int]) -> int | None:
    """The tone that lies furthest from what all else says of it, if that is beyond `LIMIT`."""
    rows, off, noise = problem.equations(state, taps, modes)
    inverse = np.linalg.inv(rows @ problem.prior @ rows.T + np.diag(noise**2))
    wanted = inverse @ (off + rows @ state.x)
    score = abs(wanted) / np.sqrt(np.diag(inverse))
    worst = int(np.argmax(score[1:]))
    return worst if score[1 + worst] > LIMIT else None


def _nothing_fits(board: Board, tones: FreeTones) -> BoardError:
    """None of the tones can be this board's: what it should sound like, so that the slip can be found."""
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


def _told(problem: _Problem, board: Board, fit: _Fit) -> Identified:
    """The answer in the maker's terms."""
    slips = fit.spread[:, N + 2] / math.sqrt(fit.spread[N + 2, N + 2])
    exact = fit.spread - np.outer(slips, slips)
    found = Found(
        elastic=problem.wood(fit.state.x),
        covariance=tuple(tuple(float(c) for c in row[:N]) for row in exact[:N]),
        by_thickness=tuple(float(slip) for slip in slips[:N]),
    )
    tones = fit.state.tones
    told, left = [], list(zip(fit.taps, fit.modes, strict=True))
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
    return Identified(
        found=found,
        tones=tuple(told),
        expected=board.expected(),
        before=tuple(float(s) for s in np.sqrt(np.diag(problem.prior)[:N])),
        after=found.spreads(),
        steps=fit.steps,
    )
