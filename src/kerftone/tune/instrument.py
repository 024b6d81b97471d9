"""The model of one drum at the bench: what it sounds in any state it has been in or might come to.

A drum's frame is solved once, whole, and kept in a cache; every state after that is a change of its tongues
and takes a tenth of a second. A frame is solved anew only when something else than a tongue changes: the bottom
comes off, slots are lengthened, a bore meets the frame. Pitches in Hz; nothing heard is known here.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

import numpy as np
from shapely.geometry import Point

from kerftone.drum.check import check_outline
from kerftone.drum.design import Bore, Drum
from kerftone.drum.outline import tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.modal.detuned import Detuned, detuned
from kerftone.modal.frame import Assembly, assemble, assemble_frame, own_bores
from kerftone.modal.frame_files import fingerprint, keep_frame, keep_tongues, kept_frame, kept_tongues
from kerftone.modal.joints import joint_slopes
from kerftone.modal.notes import NoteHeard, notes_moved, read_notes, weights
from kerftone.modal.result import Array, Modes
from kerftone.modal.sensitivity import wood_gradients
from kerftone.modal.solve import Solution, solve
from kerftone.modal.threads import solver_threads
from kerftone.tune.boxes import BOX_SCATTER, OCTAVE_CENTS, pulls
from kerftone.tune.clamped_top import ClampedTop, clamped_top
from kerftone.tune.glue import glue_covariance
from kerftone.tune.history import Bottom, same_hole
from kerftone.tune.near_root import root_factor
from kerftone.tune.pull import AirMoves, BenchAir, no_air, wood_of
from kerftone.tune.spread import covariance_cents, scatters

CORRECTION_ROUNDS, LARGEST_CORRECTION_CENTS = 5, 100.0
"""In how many steps tongues are made stiffer to sound what was heard, and how far in one; own judgement."""
OWN_CENTS = 25.0
"""How far one tongue may be off from what the wood does to all: grain and sawing differ along a board. From the
closed loop with virtual drums."""
MOST_SCATTER = 0.2
"""The most that is made of how otherwise bores may act for not knowing the box's wood, as a share."""
MOST_ASSEMBLIES, MOST_MODES = 32, 1000
"""How many states are remembered whole (about a megabyte each) and as modes alone: own judgement. Advice asks for a
few states over and over, and for some dozens once."""
Progress = Callable[[str], None]
Stiffer = tuple[float, ...]
K = TypeVar("K")
V = TypeVar("V")


def _silent(words: str) -> None:
    del words


class Memory:
    """What was worked out of one design. It grows, and what is in it is never changed.

    Each entry is kept under all that it depends on, so that instruments of one design may share it. `frames`: of each
    frame the assembly with the tongues as first cut, of the wood as given, and how the pitches may be off together
    (cents²). `saved`: how many tongues of a frame the cache on disk has. `airs`: how far air
    moves each tongue's note; `clamps`: how far it moves while the top is only clamped; `pulls`: how far without its
    bottom.
    """

    def __init__(self) -> None:
        self.frames: dict[str, tuple[Assembly, Array]] = {}
        self.saved: dict[str, int] = {}
        self.airs: dict[Bottom, AirMoves] = {}
        self.clamps: dict[str, ClampedTop] = {}
        self.pulls: OrderedDict[tuple[str, Stiffer, bytes], Array] = OrderedDict()
        self._assemblies: OrderedDict[tuple[str, Stiffer, str], Assembly] = OrderedDict()
        self._modes: OrderedDict[tuple[str, Stiffer, str], Modes] = OrderedDict()

    def assembly(self, frame: str, stiffer: Stiffer, state: Drum) -> Assembly:
        """The assembly of a frame that is known with the tongues of this state, as stiff as that.

        Parameters
        ----------
        frame : str
            The frame's name.
        stiffer : Stiffer
            How many times as stiff each tongue's wood is; none for wood as given.
        state : Drum
            The drum as it stands now.
        """

        def make() -> Assembly:
            first, _ = self.frames[frame]
            if first.stiffer == stiffer:
                return first.with_drum(state)
            if first.drum == state:
                return first.with_stiffer(stiffer)
            return self.assembly(frame, stiffer, first.drum).with_drum(state)

        return _remembered(self._assemblies, (frame, stiffer, fingerprint(state)), make, MOST_ASSEMBLIES)

    def modes(self, frame: str, stiffer: Stiffer, state: Drum) -> Modes:
        """Its modes.

        Parameters
        ----------
        frame : str
            The frame's name.
        stiffer : Stiffer
            How many times as stiff each tongue's wood is; none for wood as given.
        state : Drum
            The drum as it stands now.
        """

        def make() -> Modes:
            return self.assembly(frame, stiffer, state).modes()

        return _remembered(self._modes, (frame, stiffer, fingerprint(state)), make, MOST_MODES)


def _remembered(known: OrderedDict[K, V], key: K, make: Callable[[], V], most: int) -> V:
    """What is known under this key, made if it is not; of more than `most` the longest unused is forgotten."""
    if key not in known:
        known[key] = make()
    known.move_to_end(key)
    found = known[key]
    while len(known) > most:
        known.popitem(last=False)
    return found


@dataclass(frozen=True, kw_only=True)
class Instrument:
    """One drum as first cut, and what the model says of every state of it.

    `cache` is a folder for frames, or None to keep them in memory alone. `stiffer`: how many times as stiff as the
    board each tongue's wood is taken to be, none for wood as given. `air`: None for a drum in vacuo. `memory` only
    saves work: no answer depends on what is in it.
    """

    design: Drum
    cache: Path | None = None
    progress: Progress = _silent
    stiffer: Stiffer = ()
    air: BenchAir | None = None
    memory: Memory = field(default_factory=Memory, repr=False, compare=False)

    def assembly(self, state: Drum, *, bottom_on: bool = True) -> Assembly:
        """The frame-and-tongues model of the drum in this state."""
        frame = self._frame(state, bottom_on=bottom_on)
        return self.memory.assembly(frame, self.stiffer, _standing(state, bottom_on=bottom_on))

    def prepare(self, states: Iterable[Drum], *, bottom_on: bool = True) -> None:
        """Make the tongues of all these states at once: side by side they take half the time on two processors."""
        alike: dict[str, list[Drum]] = {}
        for state in states:
            frame = self._frame(state, bottom_on=bottom_on)
            alike.setdefault(frame, []).append(_standing(state, bottom_on=bottom_on))
        for frame, drums in alike.items():
            self.memory.frames[frame][0].frame.prepare(drums)

    def _frame(self, state: Drum, *, bottom_on: bool) -> str:
        """The name of this state's frame, which is solved if it was not yet."""
        base = self._frame_drum(state, bottom_on=bottom_on)
        name = fingerprint(base)
        if name not in self.memory.frames:
            self.memory.frames[name] = self._framed(base, name)
        return name

    def modes(self, state: Drum, *, bottom_on: bool = True) -> Modes:
        """The modes of the drum in this state."""
        frame = self._frame(state, bottom_on=bottom_on)
        return self.memory.modes(frame, self.stiffer, _standing(state, bottom_on=bottom_on))

    def notes(self, state: Drum, *, bottom_on: bool = True) -> tuple[NoteHeard, ...]:
        """What each tongue sounds in this state, by the model alone."""
        return read_notes(_standing(state, bottom_on=bottom_on), self.modes(state, bottom_on=bottom_on))

    def moved(self, state: Drum, changed: Drum, *, bottom_on: bool = True) -> Array:
        """How far each tongue's note moves from the one state to the other, in cents (t,): see `notes_moved`.

        Where the two differ by one bore in a tongue, with what bores near a root do beyond the model.

        Parameters
        ----------
        state : Drum
            The drum before.
        changed : Drum
            The drum after.
        bottom_on : bool, optional
            Whether the bottom is in its place.
        """
        moved = notes_moved(*(self.modes(drum, bottom_on=bottom_on) for drum in (state, changed)))
        return moved * _beyond_model(state, changed)

    def corrected(self, cents: Sequence[float]) -> Instrument:
        """The same drum, each tongue's wood stiffer so that its note is about so many cents sharper.

        Tongues pull at each other the more the nearer their pitches are, so what one bore does to the others is
        only right when the model's intervals are those heard.
        """
        on = self.design.bottom is not None
        plain = detuned(replace(self, stiffer=()).assembly(self.design, bottom_on=on))
        return replace(self, stiffer=tuple(tuning(plain, np.array(cents)).tolist()))

    def corrections_cents(self) -> Array:
        """About how many cents sharper each tongue's own wood was made for its note to be as heard (t,)."""
        model = detuned(self.assembly(self.design, bottom_on=self.design.bottom is not None))
        return np.asarray(OCTAVE_CENTS * model.shares() * np.log2(model.factors))

    def bore_scatter(self) -> Array:
        """How far what bores do to each tongue may be from the model for not knowing the box's wood, as shares (t,).

        A tongue whose note lies near a tone of the box answers to bores by how near that is. So the box is taken
        to be stiffer, and less stiff, by its scatter, each tongue sounding what it did.
        """
        acts, model = [], detuned(self.assembly(self.design, bottom_on=self.design.bottom is not None))
        for factor in (math.exp(-BOX_SCATTER), math.exp(BOX_SCATTER)):
            other = model.changed(factor)
            other = other.changed(1.0, tuning(other, -notes_moved(model.modes, other.modes)))
            own = np.argmax(weights(other.modes), axis=1)
            acts.append(np.diag(other.shaved(own)))
        scatter = 0.5 * abs(np.log(np.abs(acts[1]) / np.abs(acts[0])))
        return np.asarray(np.minimum(scatter, MOST_SCATTER))

    def bottom_pulls(self, state: Drum, raised: Array) -> Array:
        """How far each tongue sounds above the finished drum's without its bottom, in each box (boxes, t).

        See `boxes.py`.

        Parameters
        ----------
        state : Drum
            The drum as it stands.
        raised : Array
            How much higher each tongue's note in the finished drum shall be, by its own wood, in cents (t,).
        """

        def make() -> Array:
            on, off = (detuned(self.assembly(state, bottom_on=whether)) for whether in (True, False))
            return pulls(on, off, raised)

        key = (fingerprint(state), self.stiffer, np.round(raised, 1).tobytes())
        return _remembered(self.memory.pulls, key, make, MOST_MODES)

    def save_tongues(self) -> None:
        """Keep the tongues made so far in the cache, so that the next question finds them. Raises WriteError."""
        if self.cache is None:
            return
        for name, (first, _) in self.memory.frames.items():
            made = first.frame.made or {}
            if len(made) > self.memory.saved.get(name, 0):
                keep_tongues(self._shelf(name, self.cache), made)
                self.memory.saved[name] = len(made)

    @staticmethod
    def _shelf(key: str, cache: Path) -> Path:
        return cache / f"tongues-{key}.npz"

    def clamped(self, bottom: Bottom) -> ClampedTop:
        """What it does to each tongue's note that the top is only clamped, of the drum as first cut, in vacuo."""
        wood = self._air_base(bottom)
        if fingerprint(wood) not in self.memory.clamps:
            shelf = None if self.air is None else self.air.shelf
            self.memory.clamps[fingerprint(wood)] = clamped_top(wood, shelf, self.progress)
        return self.memory.clamps[fingerprint(wood)]

    def air_moves(self, bottom: Bottom) -> AirMoves:
        """How far air moves each tongue's note with the bottom so, by its pitch: of the drum as first cut, without
        its bores. Nil in vacuo.
        """
        if self.air is None:
            return no_air(np.ones(len(self.design.tongues)))
        base = self._air_base(bottom)
        kept = self.air.kept(base, bottom, self._plate_mm()) if bottom not in self.memory.airs else None
        if kept is not None:
            self.memory.airs[bottom] = kept
        if bottom not in self.memory.airs:
            self._frame(self.design, bottom_on=bottom == "glued")  # a solve, if it is one, says the air too
        if bottom not in self.memory.airs:
            self.progress("Solving the whole drum once more, for the air.")
            self.memory.airs[bottom] = self.air.found(solve(base), bottom, self._plate_mm())
        return self.memory.airs[bottom]

    def _air_base(self, bottom: Bottom) -> Drum:
        """The drum whose solve says what air does: that of the frame of the drum as first cut."""
        return wood_of(self._frame_drum(self.design, bottom_on=True), bottom)

    def _plate_mm(self) -> float:
        return 0.0 if self.design.bottom is None else self.design.bottom.thickness_mm

    def _keep_airs(self, solution: Solution) -> None:
        """What air does in the states that are wanted, from a solve that was made for the frame."""
        for bottom in () if self.air is None else self.air.bottoms:
            if bottom not in self.memory.airs and self._air_base(bottom) == solution.drum:
                assert self.air is not None
                self.memory.airs[bottom] = self.air.found(solution, bottom, self._plate_mm())

    def wood_cents2(self) -> Array:
        """How the tongues' pitches may be off together for want of knowing wood and joints: a covariance, cents²."""
        return self.memory.frames[self._frame(self.design, bottom_on=self.design.bottom is not None)][1]

    def _frame_drum(self, state: Drum, *, bottom_on: bool) -> Drum:
        """The drum whose full solve gives this state's frame: as first cut, but for what is no tongue's own."""
        tongues = tuple(
            replace(first, lengthened_mm=now.lengthened_mm)
            for first, now in zip(self.design.tongues, state.tongues, strict=True)
        )
        inside = set[Bore]()
        for number in range(len(state.tongues)):
            inside |= {bore for bore in own_bores(state, number) if within_tongue(state, number, bore)}
        outside = tuple(bore for bore in state.bores if bore not in inside)
        bottom = self.design.bottom if bottom_on else None
        return replace(self.design, tongues=tongues, bores=outside, bottom=bottom)

    def _framed(self, base: Drum, key: str) -> tuple[Assembly, Array]:
        path = None if self.cache is None else self.cache / f"frame-{key}.npz"
        kept = None if path is None else kept_frame(path, base)
        if kept is not None and self.cache is not None:
            frame, numbers = kept
            made = kept_tongues(self._shelf(key, self.cache))
            self.memory.saved[key] = len(made)
            return assemble_frame(replace(frame, made=made), numbers["scale"]), numbers["spread"]
        check_outline(base)
        self.progress("Solving the whole drum once; the next question is quicker.")
        solution = solve(base)
        self._keep_airs(solution)
        model = assemble(solution, layered=True, made={})
        own = [note.mode for note in read_notes(base, solution.modes())]
        with solver_threads():
            wood, joints = wood_gradients(solution, own), joint_slopes(solution, own)
        spread = covariance_cents(wood, scatters(base)) + glue_covariance(joints)
        if path is not None:
            path.parent.mkdir(parents=True, exist_ok=True)
            keep_frame(path, model.frame, {"scale": np.asarray(model.scale), "spread": spread})
        return model, spread


def tuning(model: Detuned, cents: Array) -> Array:
    """How many times as stiff each tongue must be (t,) for its note to be about so many cents sharper.

    A note feels a quarter of its own tongue's stiffness, so that some rounds go most of the way. Not all of it: what
    is left is as likely the box's doing, and a tongue blamed for it answers to bores quite wrongly.
    """
    now, factors = model.modes, np.ones(len(cents))
    for _ in range(CORRECTION_ROUNDS):
        left = cents - notes_moved(model.modes, now)
        factors *= 2.0 ** (np.clip(left, -LARGEST_CORRECTION_CENTS, LARGEST_CORRECTION_CENTS) / 600.0)
        now = model.changed(1.0, factors).modes
    return factors


def _beyond_model(state: Drum, changed: Drum) -> float:
    """How many times as much one bore does as the model says; 1 where the two states differ by something else."""
    new = [bore for bore in changed.bores if bore not in state.bores]
    if len(new) != 1:
        return 1.0
    for number in range(len(changed.tongues)):
        if within_tongue(changed, number, new[0]):
            before = max((bore.depth_mm for bore in state.bores if same_hole(bore, new[0])), default=0.0)
            return root_factor(changed, number, new[0], before)
    return 1.0


def _standing(state: Drum, *, bottom_on: bool) -> Drum:
    return state if bottom_on else replace(state, bottom=None)


def within_tongue(drum: Drum, number: int, bore: Bore) -> bool:
    """Whether a bore takes wood from this tongue and from nothing else.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    bore : Bore
        In mm.
    """
    shape = tongue_polygon(drum, drum.tongues[number], layout(drum))
    return bool(shape.contains(Point(bore.x_mm, bore.y_mm).buffer(0.5 * bore.diameter_mm)))
