"""Virtual drums to try the bench advice on: what is really so, hidden from the adviser.

Two natures. `own` is the program's model on another mesh and of another order, its wood hidden: quick, and blind to
what frame and tongues leave out. `foreign` is another model altogether (`foreign.py`): curved tetrahedra, a soft glue
band, air on the top, every state solved whole. In both the wood is drawn from the handbook's scatter, each tongue
has a grain of its own, bores come out off in depth and place, and taps are read with an error. All of it is invented.

Both are in vacuo (but for what clings to the top of the foreign one) unless a state of the bottom is named in which
the drum is tuned: then there is air (`Aired`), and what counts are the notes of the finished drum, its bottom glued.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Literal, Protocol

import numpy as np

import foreign
from aired import Air, Aired, air_of, aired
from kerftone.drum.design import Drum
from kerftone.modal.frame import Assembly, Frame, assemble, assemble_frame
from kerftone.modal.notes import read_notes
from kerftone.modal.plan import Fineness
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.modal.solve import solve
from kerftone.modal.tongue import TongueModel
from kerftone.pitch import cents, sharpened
from kerftone.tune.history import Bored, Bottom, Change, Lengthened, Tap, Trimmed, after
from kerftone.tune.spread import covariance, scatters

Kind = Literal["own", "foreign"]
TAP_CENTS = 1.5
DEPTH_MM, PLACE_MM = 0.3, 1.0
SIZE_MM = 0.1
"""How far a trim or a slot sawn further comes out otherwise than told."""
RATIOS_CV = 0.10
"""How far each ratio between the constants of a board may be from the species' own."""
TONGUE_CV = 0.04
"""How far stiffness and density of one tongue's wood may be from the board's."""
OTHER_MESH = Fineness(corner_kerfs=1.0, largest_mm=70.0, grading=1.0, wall_mm=30.0, rim_sides=8, order=4)
"""Fewer and larger cells of a higher order than the adviser's; what bores do differs by up to 4 % from its model."""
GLUE_LN = 0.8
"""How far the glue of one drum may be from the usual one, as a logarithm: a factor of two or so."""
SWEEP_CENTS, SWEEP_STEP_CENTS = 150, 3
"""How far a tongue that did not reach its note is swept, to see whether it sounds its note anywhere."""
FLAT_CENTS = (20.0, 60.0)
"""How far flat the middle tongue of a drum of one's own nature begins: the file aims 30 cents flat by the
mean board, and what a whole board is off by moves no interval. To draw how far off each tongue begins, and
its note from that, would bring notes a tone apart to one pitch."""
FARTHEST_CENTS, DRAWS = 200.0, 40
"""Drums are drawn until all their tongues begin within so many cents of their notes."""


class Model(Protocol):
    """What is really so of one drum."""

    def hz(self) -> list[float]:
        """What each tongue sounds, once the drum is finished."""

    def heard(self, bottom: Bottom | None) -> list[float]:
        """What each sounds with the bottom so."""

    def become(self, drum: Drum, *, sawn: bool) -> Model:
        """The same wood cut to be this drum; `sawn`: its slots too."""

    def swept(self, tongue: int, stiffer: Sequence[float]) -> list[float]:
        """What a tongue sounds if its own wood were so many times as stiff."""


@dataclass(frozen=True, kw_only=True)
class Grained(Frame):
    """A frame whose tongues have each a grain of their own: factors of stiffness and of mass."""

    stiff: tuple[float, ...]
    heavy: tuple[float, ...]

    def tongue(self, drum: Drum, number: int) -> TongueModel:
        made = super().tongue(drum, number)
        return replace(
            made, stiffness=made.stiffness * self.stiff[number], mass=made.mass * self.heavy[number]
        )


@dataclass(frozen=True, kw_only=True)
class Own:
    """The program's own model on another mesh."""

    drum: Drum
    model: Assembly

    def hz(self) -> list[float]:
        return [note.hz for note in read_notes(self.drum, self.model.modes())]

    def heard(self, bottom: Bottom | None) -> list[float]:
        del bottom
        return self.hz()

    def become(self, drum: Drum, *, sawn: bool) -> Own:
        frame = self.model.frame
        assert isinstance(frame, Grained)
        if not sawn:
            return Own(drum=drum, model=self.model.with_drum(drum))
        return Own(
            drum=drum, model=solved(drum, order=frame.fineness.order, stiff=frame.stiff, heavy=frame.heavy)
        )

    def swept(self, tongue: int, stiffer: Sequence[float]) -> list[float]:
        found = []
        for factor in stiffer:
            factors = [factor if n == tongue else 1.0 for n in range(len(self.drum.tongues))]
            found.append(read_notes(self.drum, self.model.with_stiffer(factors).modes())[tongue].hz)
        return found


def solved(drum: Drum, *, order: int, stiff: tuple[float, ...], heavy: tuple[float, ...]) -> Assembly:
    """The model of a drum whose tongues have such grains, solved whole."""
    plain = assemble(solve(drum, fineness=replace(OTHER_MESH, order=order)), layered=True, made={})
    return assemble_frame(Grained(**vars(plain.frame), stiff=stiff, heavy=heavy), plain.scale)


@dataclass(frozen=True, kw_only=True)
class Foreign:
    """Another model altogether, see foreign.py."""

    drum: Drum
    stiff: tuple[float, ...]
    heavy: tuple[float, ...]
    solver: foreign.Solver
    modes: foreign.Heard

    def hz(self) -> list[float]:
        return self.modes.notes_hz()

    def heard(self, bottom: Bottom | None) -> list[float]:
        del bottom
        return self.hz()

    def become(self, drum: Drum, *, sawn: bool) -> Foreign:
        del sawn
        return strange(drum, self.stiff, self.heavy, self.solver)

    def swept(self, tongue: int, stiffer: Sequence[float]) -> list[float]:
        return foreign.swept(self.drum, self.stiff, self.heavy, self.solver, tongue, stiffer)


def strange(
    drum: Drum, stiff: tuple[float, ...], heavy: tuple[float, ...], solver: foreign.Solver
) -> Foreign:
    """The foreign model of a drum whose tongues have such grains."""
    modes = foreign.modes(drum, stiff, heavy, solver, count=2 * len(drum.tongues) + 6)
    return Foreign(drum=drum, stiff=stiff, heavy=heavy, solver=solver, modes=modes)


@dataclass
class Virtual:
    """A drum on the bench: what is really so, and what has been done to it.

    bored (t,): the cm³ of each bore made under a tongue; otherwise (t,): how many steps that were no bores. steps:
    what was done, with what it did to its own tongue. bottom: as it is while the drum is tuned; None in vacuo, where
    nobody takes it off.
    """

    drum: Drum
    model: Model
    targets_hz: list[float]
    rng: np.random.Generator
    bottom: Bottom | None = None
    bored: list[list[float]] = field(default_factory=list)
    otherwise: list[int] = field(default_factory=list)
    overshot: set[int] = field(default_factory=set)
    steps: list[tuple[Change, float]] = field(default_factory=list)

    def afresh(self) -> Virtual:
        """The same drum before anything was done to it; the hand and the ear slip as they would have."""
        return replace(self, rng=deepcopy(self.rng), bored=[], otherwise=[], overshot=set(), steps=[])

    def off(self) -> list[float]:
        return [cents(hz, target) for hz, target in zip(self.model.hz(), self.targets_hz, strict=True)]

    def can_sound(self, tongue: int) -> bool:
        """Whether there is any tuning of its own wood with which a tongue sounds its note, all others as they are.

        Where two tones share a tongue, the louder is now the one, now the other, and between them lies a gap. A
        tongue further off than the sweep reaches is taken to be able.
        """
        if abs(self.off()[tongue]) > 0.5 * SWEEP_CENTS:
            return True
        by = np.arange(-SWEEP_CENTS, SWEEP_CENTS + 1, SWEEP_STEP_CENTS)
        heard = self.model.swept(tongue, (2.0 ** (by / 600.0)).tolist())
        off = [abs(cents(hz, self.targets_hz[tongue])) for hz in heard]
        return min(off) <= self.drum.tuning.tolerance_cents

    def tap(self, tongue: int, bottom: Bottom | None = None) -> Tap:
        """What is heard of a tongue; bottom: clamped on for this once, else as it is."""
        state = bottom or self.bottom
        heard = sharpened(self.model.heard(state)[tongue], self.rng.normal(0.0, TAP_CENTS))
        return Tap(tongue=tongue, hz=heard, plus_minus_cents=TAP_CENTS, bottom=state)

    def finish(self) -> list[float]:
        """How far each tongue of the finished drum is from its note, in cents; in air all is solved once more."""
        if not isinstance(self.model, Aired):
            return self.off()
        last = [cents(hz, aim) for hz, aim in zip(self.model.last(self.drum), self.targets_hz, strict=True)]
        self._note_far_sides(self.off(), last)
        return last

    def bore(self, step: Bored) -> None:
        """Bore as intended, as nearly as a hand can."""
        slip = self.rng.normal(0.0, 1.0, 3)
        wanted = step.bore
        made = replace(
            wanted,
            x_mm=wanted.x_mm + PLACE_MM * slip[0],
            y_mm=wanted.y_mm + PLACE_MM * slip[1],
            depth_mm=max(0.2, wanted.depth_mm + DEPTH_MM * slip[2]),
        )
        for old, new in self.holes.items():  # a hole bored deeper stays where it is
            if (old[0], old[1]) == (wanted.x_mm, wanted.y_mm):
                made = replace(made, x_mm=new[0], y_mm=new[1])
        self.holes[wanted.x_mm, wanted.y_mm] = (made.x_mm, made.y_mm)
        self._become(step, after(self.drum, [Bored(tongue=step.tongue, bore=made)]))
        volume = np.pi * (0.05 * made.diameter_mm) ** 2 * 0.1 * made.depth_mm
        self.bored[step.tongue].append(float(volume))

    def alter(self, step: Change) -> None:
        """Trim or saw further, as nearly as a hand can, or weight to the letter."""
        self.otherwise[step.tongue] += 1
        made = step
        if isinstance(step, Lengthened | Trimmed):
            slip = float(self.rng.normal(0.0, min(SIZE_MM, 0.25 * step.by_mm)))
            made = replace(step, by_mm=step.by_mm + slip)
        self._become(step, after(self.drum, [made]), sawn=isinstance(step, Lengthened))

    def _become(self, step: Change, drum: Drum, *, sawn: bool = False) -> None:
        """Be this drum from now on, and note which tongues have passed the far side of their bands."""
        before = self.off()
        self.drum, self.model = drum, self.model.become(drum, sawn=sawn)
        now = self.off()
        self.steps.append((step, now[step.tongue] - before[step.tongue]))
        self._note_far_sides(before, now)

    def _note_far_sides(self, before: Sequence[float], now: Sequence[float]) -> None:
        tolerance = self.drum.tuning.tolerance_cents
        for tongue, (old_off, new_off) in enumerate(zip(before, now, strict=True)):
            way = 1.0 if self.started[tongue] < 0 else -1.0
            if way * new_off > tolerance >= way * old_off:
                self.overshot.add(tongue)

    def __post_init__(self) -> None:
        self.holes: dict[tuple[float, float], tuple[float, float]] = {}
        self.started = self.off()
        self.bored = [[] for _ in self.targets_hz]
        self.otherwise = [0 for _ in self.targets_hz]


def nature(
    design: Drum,
    seed: int,
    *,
    kind: Kind = "own",
    order: int = OTHER_MESH.order,
    bottom: Bottom | None = None,
) -> Virtual:
    """A virtual drum of this design with wood of its own; bottom: as it is while it is tuned, in air.

    own: the notes of the drum file, all moved together so that the middle tongue begins `FLAT_CENTS` flat;
    each of the others begins where its own wood puts it. foreign: it begins where its wood puts it against
    the notes of the drum file, drawn again until no tongue is further off than `FARTHEST_CENTS`.
    """
    rng = np.random.default_rng(seed)
    wanted = list(design.targets_hz)
    # What air does is drawn apart, so that the wood of a seed is the same with it and without.
    about = air_of(design, np.random.default_rng((seed, 1)))
    if kind == "own":
        drum = _other_wood(design, rng)
        stiff, heavy = _grain(drum, rng)

        def own(wood: Drum) -> Own:
            return Own(drum=wood, model=solved(wood, order=order, stiff=stiff, heavy=heavy))

        model = _in_its_air(drum, own, bottom, about)
        middle = float(np.median([cents(hz, aim) for hz, aim in zip(model.hz(), wanted, strict=True)]))
        by = middle + rng.uniform(*FLAT_CENTS)
        targets = [sharpened(hz, by) for hz in wanted]
        return Virtual(drum=drum, model=model, targets_hz=targets, rng=rng, bottom=bottom)
    for _ in range(DRAWS):
        drum = _other_wood(design, rng)
        stiff, heavy = _grain(drum, rng)
        softer = float(np.exp(rng.normal(0.0, GLUE_LN)))
        usual = foreign.Solver()
        soft = replace(usual, glue_normal=softer * usual.glue_normal, glue_shear=softer * usual.glue_shear)
        if bottom is not None:
            soft = replace(soft, air_kg_m2=0.0)
        strangely = strange(drum, stiff, heavy, soft)
        if max(abs(cents(hz, aim)) for hz, aim in zip(strangely.hz(), wanted, strict=True)) <= FARTHEST_CENTS:
            made = partial(strange, stiff=stiff, heavy=heavy, solver=soft)
            model = _in_its_air(drum, made, bottom, about)
            return Virtual(drum=drum, model=model, targets_hz=wanted, rng=rng, bottom=bottom)
    raise ValueError(
        f"{DRAWS} woods were drawn, and with none all tongues began within {FARTHEST_CENTS} cents"
    )


def _in_its_air(drum: Drum, made: Callable[[Drum], Model], bottom: Bottom | None, air: Air) -> Model:
    """This drum's model, in air if a state of the bottom is named in which it is tuned."""
    if bottom is None:
        return made(drum)
    return aired(drum, bottom, made(drum), made(replace(drum, bottom=None)), air, OTHER_MESH)


def _other_wood(design: Drum, rng: np.random.Generator) -> Drum:
    """The same drum of boards drawn from what is known of them."""
    drum = design
    for part, scatter in scatters(design).items():
        own = np.diag(
            [RATIOS_CV**2 if name[:2] in ("e_", "g_") and name != "e_l_gpa" else 0.0 for name in CONSTANTS]
        )
        factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), covariance(scatter) + own))
        owner = getattr(drum, part)
        values = {n: getattr(owner.elastic, n) * f for n, f in zip(CONSTANTS, factors, strict=True)}
        drum = replace(drum, **{part: replace(owner, elastic=replace(owner.elastic, **values))})
    return drum


def _grain(drum: Drum, rng: np.random.Generator) -> tuple[tuple[float, ...], tuple[float, ...]]:
    stiff, heavy = np.exp(rng.normal(0.0, TONGUE_CV, (2, len(drum.tongues))))
    return tuple(stiff), tuple(heavy)
