"""The bench advice against virtual drums whose wood it does not know, and against two plainer ways of boring.

Run `python benchmarks/tuning_loop.py --drums 10` on an otherwise idle machine. A virtual drum has its own wood
(stiffness, ratios and density drawn from the handbook's scatter, stiffness and density varying from tongue to tongue,
walls and bottom of their own), another mesh and another order than the adviser's model, bores off in depth and
place, and taps that are read with an error. The adviser is called as a maker would use it: it learns nothing but
the taps and the bores as intended. All of it is invented, and called so; the closed loop says whether the advice
converges, not how a real board behaves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.frame import Assembly, Frame, assemble
from kerftone.modal.notes import read_notes
from kerftone.modal.plan import Fineness
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.modal.solve import solve
from kerftone.modal.tongue import TongueModel
from kerftone.pitch import cents, sharpened
from kerftone.tune.advise import next_step
from kerftone.tune.belief import believe, grained
from kerftone.tune.history import Bored, Event, Tap, after
from kerftone.tune.instrument import Instrument
from kerftone.tune.spread import covariance, scatters

EXAMPLE = Path(__file__).parents[1] / "examples" / "brook" / "drum.toml"
TAP_CENTS = 1.5
DEPTH_MM, PLACE_MM = 0.3, 1.0
RATIOS_CV = 0.10
"""How far each ratio between the constants of a board may be from the species' own."""
TONGUE_CV = 0.04
"""How far stiffness and density of one tongue's wood may be from the board's."""
OTHER_MESH = Fineness(corner_kerfs=0.5, largest_mm=45.0, grading=0.7, wall_mm=30.0, rim_sides=16, order=4)
MOST_BORES = 12
Bench = Callable[["Virtual", list[Event]], Bored | None]


@dataclass
class Virtual:
    """A drum on the bench: what is really so, and what has been done to it."""

    drum: Drum
    model: Assembly
    targets_hz: list[float]
    rng: np.random.Generator
    bored: list[list[float]] = field(default_factory=list)
    overshot: set[int] = field(default_factory=set)

    def hz(self) -> list[float]:
        return [note.hz for note in read_notes(self.drum, self.model.modes())]

    def off(self) -> list[float]:
        return [cents(hz, target) for hz, target in zip(self.hz(), self.targets_hz, strict=True)]

    def tap(self, tongue: int) -> Tap:
        heard = sharpened(self.hz()[tongue], self.rng.normal(0.0, TAP_CENTS))
        return Tap(tongue=tongue, hz=heard, plus_minus_cents=TAP_CENTS)

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
        before = self.off()
        self.drum = after(self.drum, [Bored(tongue=step.tongue, bore=made)])
        self.model = self.model.with_drum(self.drum)
        tolerance = self.drum.tuning.tolerance_cents
        for tongue, (old_off, new_off) in enumerate(zip(before, self.off(), strict=True)):
            way = 1.0 if self.started[tongue] < 0 else -1.0
            if way * new_off > tolerance >= way * old_off:
                self.overshot.add(tongue)
        volume = np.pi * (0.05 * made.diameter_mm) ** 2 * 0.1 * made.depth_mm
        self.bored[step.tongue].append(float(volume))

    def __post_init__(self) -> None:
        self.holes: dict[tuple[float, float], tuple[float, float]] = {}
        self.started = self.off()
        self.bored = [[] for _ in self.targets_hz]


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


def nature(design: Drum, seed: int) -> Virtual:
    """A virtual drum of this design with wood of its own, cut 20 to 80 cents flat, one in seven sharp."""
    rng = np.random.default_rng(seed)
    drum = design
    for part, scatter in scatters(design).items():
        own = np.diag(
            [RATIOS_CV**2 if name[:2] in ("e_", "g_") and name != "e_l_gpa" else 0.0 for name in CONSTANTS]
        )
        factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), covariance(scatter) + own))
        owner = getattr(drum, part)
        values = {n: getattr(owner.elastic, n) * f for n, f in zip(CONSTANTS, factors, strict=True)}
        drum = replace(drum, **{part: replace(owner, elastic=replace(owner.elastic, **values))})
    solution = solve(drum, layered=True, fineness=OTHER_MESH)
    model = assemble(solution)
    stiff, mass = np.exp(rng.normal(0.0, TONGUE_CV, (2, len(drum.tongues))))
    frame = Grained(**vars(model.frame), stiff=tuple(stiff), heavy=tuple(mass))
    model = replace(model, frame=frame, tongues=())
    model = replace(
        model, tongues=tuple(frame.tongue(drum, number) for number in range(len(stiff)))
    ).with_drum(drum)
    heard = [note.hz for note in read_notes(drum, model.modes())]
    flat = [-rng.uniform(5, 30) if rng.random() < 1 / 7 else rng.uniform(20, 80) for _ in heard]
    targets = [sharpened(hz, by) for hz, by in zip(heard, flat, strict=True)]
    return Virtual(drum=drum, model=model, targets_hz=targets, rng=rng)


@dataclass
class Outcome:
    """What became of one tongue."""

    bores: int
    reached: bool
    overshot: bool
    left_cents: float
    removed_cm3: float


def tune(virtual: Virtual, choose: Bench) -> list[Outcome]:
    """Bore and tap as told until nothing more is said, then say how each tongue truly is."""
    count = len(virtual.targets_hz)
    events: list[Event] = [virtual.tap(tongue) for tongue in range(count)]
    for _ in range(MOST_BORES * count):
        step = choose(virtual, events)
        if step is None:
            # The last word is a tap of every tongue: a neighbour's bore may have moved one out again.
            if isinstance(events[-1], Tap) and all(isinstance(event, Tap) for event in events[-count:]):
                break
            events.extend(virtual.tap(tongue) for tongue in range(count))
            continue
        virtual.bore(step)
        events.extend([step, virtual.tap(step.tongue)])
    tolerance = virtual.drum.tuning.tolerance_cents
    return [
        Outcome(
            bores=len(bores),
            reached=abs(off) <= tolerance,
            overshot=tongue in virtual.overshot,
            left_cents=off,
            removed_cm3=sum(bores),
        )
        for tongue, (bores, off) in enumerate(zip(virtual.bored, virtual.off(), strict=True))
    ]


def adviser(design: Drum) -> Bench:
    """The bench advice, as `kerftone bench next` gives it."""
    plain = Instrument(design=design)

    def choose(virtual: Virtual, events: list[Event]) -> Bored | None:
        instrument = grained(plain, events)
        belief = believe(instrument, events, virtual.targets_hz)
        advice = next_step(instrument, after(design, events), belief, virtual.targets_hz)
        return None if advice.bore is None else Bored(tongue=advice.tongue, bore=advice.bore)

    return choose
