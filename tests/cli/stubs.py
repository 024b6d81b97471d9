"""Stand-ins for the model, the ear and the adviser: fixed numbers, so that what a command does with them is exact.

Everything here is INVENTED. The stand-ins sit where the lower rooms are entered, so that a command's own work runs.
"""

from __future__ import annotations

import importlib
import math
import pkgutil
from dataclasses import replace
from functools import cache
from types import ModuleType, SimpleNamespace
from typing import Any
from unittest.mock import MagicMock

import numpy as np
import pytest

import kerftone
from kerftone.air.notes_in_air import InAir, TongueInAir
from kerftone.drum.design import Bore, Drum
from kerftone.ear.heard import Heard, Partial, Strike
from kerftone.modal.notes import NoteHeard
from kerftone.modal.result import Modes, TopView
from kerftone.modal.shelf import Shelf
from kerftone.sound.mallet import HARD_RUBBER, Mallet
from kerftone.tune.advice import Advice
from kerftone.tune.begin import first_drum
from kerftone.tune.belief import Belief
from kerftone.tune.history import Bored, Tap
from kerftone.tune.identify import Identified, ToneFit
from kerftone.tune.next_tone import NextTone, Untold
from kerftone.tune.odd_steps import Jumps
from kerftone.tune.offer import Offer
from kerftone.tune.pull import Pulled
from kerftone.wood.board import Board, Found

HZ = (101.25, 288.6161, 331.0, 458.2048, 702.123456)


class StandInSolution:
    """What the commands read of a solved drum."""

    def __init__(self, drum: Drum, count: int = 20) -> None:
        self.drum = drum
        self.hz = np.array(HZ[:count])

    def numbers(self) -> Any:
        """One triangle in the middle of the top; nothing else is looked at."""
        picture = TopView(
            points_mm=np.array([[100.0, 20.0], [200.0, 20.0], [150.0, 50.0]]),
            triangles=np.array([[0, 1, 2]]),
            lift=np.linspace(-1.0, 1.0, 15).reshape(3, 5),
        )
        modes = SimpleNamespace(hz=self.hz, view=picture, unknowns=43210, seconds=4.25)
        tongues = len(self.drum.tongues)
        parts = ("top",) if self.drum.bottom is None else ("top", "bottom")
        joints = {part: np.linspace(0.5, 1.0, tongues) for part in parts}
        rounded = np.full(tongues, -5.0)
        return SimpleNamespace(modes=modes, gradients=tongues, joints=joints, rounded=rounded)


def stand_in_notes(drum: Drum, modes: object = None) -> tuple[NoteHeard, ...]:
    del modes
    places = (1, 3, 4, 2)
    return tuple(
        NoteHeard(
            number=n,
            mode=places[n],
            hz=HZ[places[n]],
            clarity=0.875 - 0.25 * n,
            shared_with=() if n == 0 else ("1 left",),
            partials=((HZ[places[n]], 0.875 - 0.25 * n), (HZ[2], 0.0625)),
        )
        for n in range(len(drum.tongues))
    )


def stand_in_air(solution: Any, state: object, medium: object = None, **where: object) -> InAir:
    """A box that breathes at its third mode."""
    del state, medium, where
    hz, tongues = solution.hz, len(solution.drum.tongues)
    none = np.zeros((tongues, len(hz)))
    return InAir(
        modes=Modes(hz=hz, strike=none, sweep=none, volume=none[0], unknowns=43210, seconds=4.25),
        q=np.full(len(hz), 1250.0),
        q_rubbed=np.full(len(hz), 640.0),
        rubbed_hz=hz,
        holding=none[0],
        ear=none[0],
        parts=np.eye(len(hz)),
        owns=np.array([1, 3, 4, 2])[:tongues],
        breathing=2,
    )


def stand_in_tongues(drum: Drum, alone: object, air: InAir) -> tuple[TongueInAir, ...]:
    del alone, air
    return tuple(
        TongueInAir(
            heard=heard,
            in_vacuo_hz=1.005 * heard.hz,
            radiation_q=1250.0,
            power_db=-4.25 + 6.0 * heard.number,
            friction_cents=-0.125,
            q_rubbed=640.0,
        )
        for heard in stand_in_notes(drum)
    )


def stand_in_preview(modes: object, top: object, *, mallet: Mallet = HARD_RUBBER, **more: Any) -> Any:
    """Half a second of a falling tone."""
    del modes, top, more
    t = np.arange(24000) / 48000.0
    return SimpleNamespace(
        samples=0.5 * np.exp(-4.0 * t) * np.sin(2.0 * np.pi * 290.0 * t),
        rate_hz=48000,
        mallet=mallet,
        in_words=lambda: "Struck in invention.",
    )


def strike(t_s: float, hz: float, *doubt: str) -> Strike:
    return Strike(
        t_s=t_s,
        hz=hz,
        plus_minus_cents=0.75,
        drift_cents=-1.5,
        t60_s=0.875,
        loudness_db=-7.25,
        partials=(
            Partial(hz=hz, db=-7.25, t60_s=0.875),
            Partial(hz=6.0 * hz, db=-21.5, t60_s=math.nan),
        ),
        doubt=doubt,
    )


STRIKES = (strike(0.5, 287.5), strike(1.75, 455.25), strike(2.5, 287.75), strike(3.25, math.nan, "No pitch."))


def stand_in_hearing(blocks: Any, sample_rate: int, **hints: Any) -> Heard:
    del hints
    for _ in blocks:
        pass
    return Heard(
        strikes=STRIKES,
        sample_rate=sample_rate,
        clipped=False,
        noise_db=-71.25,
        hum_hz=50.0,
        seconds=4.0,
    )


def stand_in_identified(board: Board) -> Identified:
    prior = board.expected()
    tone = NextTone(
        hz=512.5,
        plus_minus_cents=87.5,
        kind="across",
        first=True,
        symmetry=(0, 0),
        now=61.5,
        then=12.25,
    )
    covariance = tuple(tuple(0.01 if i == j else 0.0 for j in range(10)) for i in range(10))
    return Identified(
        found=Found(elastic=prior, covariance=covariance, by_thickness=(0.0,) * 10),
        tones=tuple(
            ToneFit(tap=tap, kind=None if n == 1 else "along", model_hz=tap.hz + 0.125, off_cents=-0.5)
            for n, tap in enumerate(board.taps)
        ),
        expected=prior,
        before=(0.22, 0.2, 0.2, 0.15, 0.15, 0.0, 0.0, 0.0, 0.0, 0.01),
        after=(0.02, 0.19, 0.2, 0.15, 0.04, 0.0, 0.0, 0.0, 0.0, 0.01),
        steps=4,
        further=tone,
        untold=(Untold(name="e_t_gpa", after=0.19, tone=tone), Untold(name="e_r_gpa", after=0.2, tone=None)),
        notes_cents=24.5,
        otherwise=None,
        other_cut="quartersawn",
    )


BELIEF = Belief(
    far=np.array([1.0, 1.0]),
    cents=np.array([-31.25, -12.5]),
    plus_minus=np.array([1.5, 40.0]),
    action=np.array([1.0, 1.0]),
    action_plus_minus=np.array([0.2, 0.2]),
    tapped=(1, 0),
    heard=(True, False),
    jumps=(Jumps.NO, Jumps.NO),
)
BY, SURE = np.array([12.5, 6.25]), np.array([4.5, 4.25])
PULLED = Pulled(bottom="off", cents=BY, plus_minus=SURE, aim_cents=BY, aim_plus_minus=SURE)


def believed(events: Any) -> Belief:
    """With the bottom off at the last tap, the finished drum is another."""
    last = [event.state for event in events if isinstance(event, Tap)][-1:]
    return replace(BELIEF, pulled=PULLED) if last == ["off"] else BELIEF


ADVICE = Advice(
    tongue=0,
    action="bore",
    now_hz=288.5,
    now_cents=-31.25,
    plus_minus_cents=1.5,
    why="It is flat, and a bore near the tip raises it.",
    change=Bored(tongue=0, bore=Bore(x_mm=126.0, y_mm=35.0, diameter_mm=15.0, depth_mm=3.0)),
    from_root_mm=100.0,
    from_edge_mm=13.5,
    expected_cents=18.75,
    spread_cents=3.5,
    overshoot_chance=0.0125,
    left_under_mm=9.0,
    tap_too=(1,),
)
DONE = replace(
    ADVICE,
    tongue=1,
    action="stop",
    change=None,
    from_root_mm=None,
    from_edge_mm=None,
    expected_cents=None,
    spread_cents=None,
    overshoot_chance=None,
    left_under_mm=None,
    offer=Offer(alone=-1, together=-50.0, semitones=-1),
)


@pytest.fixture
def stubbed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The model, the ear and the adviser are stand-ins."""

    def fit(drum: Drum, progress: object = None) -> Any:
        del progress
        tongues = tuple(
            replace(t, length_mm=140.1234 - 35.0 * n, row=1, side=("left", "right")[n])
            for n, t in enumerate(drum.tongues)
        )
        found = replace(drum, tongues=tongues)
        return SimpleNamespace(
            drum=found,
            solution=StandInSolution(found),
            air=stand_in_air(StandInSolution(found), "glued"),
            notes=stand_in_notes(found),
            off_cents=(0.5, -1.25),
            sure=0.75,
            tried=(None,) * 4,
            full_solves=2,
            clarity_reached=0.8755,
            clarity_worst=0.25,
            clarity_best=0.9005,
        )

    def fit_or_mend(drum: Drum, progress: object = None, look: object = None) -> Any:
        return fit(drum, progress), SimpleNamespace(words="walls 25 mm thick")

    def chosen(*given: Any, progress: object, **more: Any) -> Any:
        del progress
        best = SimpleNamespace(fits=True, least=0.9375, sure=0.875, safe=0.5)
        return SimpleNamespace(
            drum=first_drum(*given, **more),
            trial=SimpleNamespace(best=best, corner_mm=(0.0, 0.0)),
            trials=(None,) * 3,
            look=None,
        )

    def spreads(tongues: int, scatters: object) -> list[float]:
        return [12.125 + n + 100.0 * (scatters == "untested") for n in range(tongues)]

    stand_ins = {
        "kerftone.modal.solve.solve": StandInSolution,
        "kerftone.modal.as_numbers.solved": StandInSolution.numbers,
        "kerftone.modal.shelf.shelf_beside": lambda file: Shelf(),
        "kerftone.tune.spread.untested": lambda drum: "untested",
        "kerftone.modal.notes.read_notes": stand_in_notes,
        "kerftone.air.answer.in_air": stand_in_air,
        "kerftone.air.notes_in_air.tongues_in_air": stand_in_tongues,
        "kerftone.jobs.round_words._solved": lambda once: np.full(len(once.drum.tongues), -5.0),
        "kerftone.jobs.shaken_places._solved": lambda drum: {
            name: np.full((33, 2), 0.01) for name in ("m_s2", "mm")
        },
        "kerftone.modal.follow.same_modes": lambda said, numbers, other: (2, None),
        "kerftone.tune.spread.spreads_cents": spreads,
        "kerftone.tune.mend.fit_or_mend": fit_or_mend,
        "kerftone.tune.choose.chosen_drum": chosen,
        "kerftone.sound.render.render": stand_in_preview,
        "kerftone.ear.listen.analyse_stream": stand_in_hearing,
        "kerftone.tune.identify.identify": stand_in_identified,
        "kerftone.tune.instrument.Instrument": MagicMock(),
        "kerftone.tune.belief.corrected": lambda instrument, events: instrument,
        "kerftone.tune.belief.believe": lambda instrument, events, targets, bottom: believed(events),
        "kerftone.tune.advise.next_step": lambda *given: ADVICE,
        "kerftone.tune.advise.advise": lambda *given: DONE,
        "kerftone.tune.confirm.fully_solved": lambda drum, change: 17.0625,
        "kerftone.tune.bores.grid_map": lambda *given: None,
        "kerftone.tune.bores.cents_per_mm": lambda field, x, y, bit: np.linspace(-2.0, 4.0, len(x)),
    }
    modules = _all_modules()
    for path, stand_in in stand_ins.items():
        home, _, name = path.rpartition(".")
        real = getattr(importlib.import_module(home), name)
        for module in modules:
            if vars(module).get(name) is real:
                monkeypatch.setattr(module, name, stand_in)


@cache
def _all_modules() -> tuple[ModuleType, ...]:
    """Every module of the program, loaded before anything is replaced, so that nothing takes a stand-in for good."""
    names = [one.name for one in pkgutil.walk_packages(kerftone.__path__, "kerftone.")]
    return tuple(importlib.import_module(name) for name in names if not name.endswith("__main__"))
