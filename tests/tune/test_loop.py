"""The advice in a closed loop with one virtual drum, as benchmarks/tuning_loop.py runs it with many."""

from __future__ import annotations

import importlib
import pickle
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.tune.fit import Fit
from kerftone.tune.pull import TUNED_CENTS, AirMoves, no_air

BENCHMARKS = Path(__file__).parents[2] / "benchmarks"
SEED = 8
"""With 7 a tongue ends 10 cents flat and no step is left that the shop's limits allow: rates are the benchmark's."""


@pytest.fixture(scope="module")
def loop() -> Iterator[ModuleType]:
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield importlib.import_module("tuning_loop")
    finally:
        sys.path.remove(str(BENCHMARKS))


def test_a_study_takes_any_executor(loop: ModuleType, wanted: Drum, monkeypatch: pytest.MonkeyPatch) -> None:
    """Drums come back as they are done, each once, whoever works on them."""

    def tuned(task: Any) -> list[Any]:
        empty: dict[str, Any] = {"outcomes": [], "steps": [], "seconds": 0.0}
        return [
            loop.Drummed(
                design="Any", seed=task.seed, kind=task.kind, bottom="in vacuo", way="advice", **empty
            )
        ]

    monkeypatch.setattr(loop, "one_drum", tuned)
    tasks = [loop.Task(design=wanted, seed=seed, kind="foreign") for seed in range(5)]
    with ThreadPoolExecutor(2) as executor:
        aside = {done.seed for done in loop.study(tasks, executor)}
    assert aside == {done.seed for done in loop.study(tasks)} == set(range(5))


def test_what_a_worker_is_handed_goes_through_a_pipe(loop: ModuleType, wanted: Drum) -> None:
    task = loop.Task(design=wanted, seed=3, kind="foreign")
    assert pickle.loads(pickle.dumps(task)) == task


def test_the_foreign_nature_has_the_root_bars_that_new_designs(loop: ModuleType, wanted: Drum) -> None:
    """Each 30 x 50 mm and as long as the box is wide inside."""
    foreign = sys.modules["foreign"]
    bare = replace(wanted, box=replace(wanted.box, root_bar_mm=0.0))
    barred = replace(wanted, box=replace(wanted.box, root_bar_mm=30.0, root_bar_height_mm=50.0))

    def volume(drum: Drum) -> float:
        return float(sum(solid.mass for solid in foreign._box(drum, foreign.Solver())))

    inside = wanted.top.width_mm - 2.0 * wanted.box.wall_mm
    assert volume(barred) - volume(bare) == pytest.approx(2 * 30.0 * 50.0 * inside)


class Still:
    """A drum that nothing changes."""

    def __init__(self, *hz: float) -> None:
        self.sounds = list(hz)

    def hz(self) -> list[float]:
        return self.sounds

    def become(self, drum: Drum, *, sawn: bool) -> Still:
        return self


def test_in_air_taps_are_of_the_bottom_as_it_is_and_the_finished_drum_counts(
    loop: ModuleType, wanted: Drum
) -> None:
    """Without its bottom both tongues sound an octave and a half tone higher; air takes 10 and 30 cents."""
    natures = sys.modules["natures"]
    model = natures.Aired(
        glued=Still(200.0, 300.0),
        without=Still(400.0, 600.0),
        air=None,
        moves={
            "glued": AirMoves(
                hz=np.array([200.0, 300.0]),
                cents=np.outer(TUNED_CENTS, [-0.2, 0.0]) + np.array([-10.0, -30.0]),
            ),
            "off": AirMoves(
                hz=np.array([400.0, 600.0]),
                cents=np.outer(0.0 * TUNED_CENTS, [1.0, 1.0]) + np.array([0.0, 100.0]),
            ),
        },
        fineness=natures.OTHER_MESH,
    )
    virtual = natures.Virtual(
        drum=wanted,
        model=model,
        targets_hz=[200.0, 300.0],
        rng=np.random.default_rng(1),
        bottom="off",
    )
    assert virtual.off() == pytest.approx([-10.0, -30.0])
    heard, clamped = virtual.tap(1), virtual.tap(1, "glued")
    assert (heard.state, clamped.state) == ("off", "glued")
    assert 1200.0 * np.log2(heard.hz / 600.0) == pytest.approx(100.0, abs=6.0)
    assert 1200.0 * np.log2(clamped.hz / 300.0) == pytest.approx(-30.0, abs=6.0)
    tuned = replace(model, glued=Still(220.0, 300.0))
    risen = 1200.0 * np.log2(220.0 / 200.0)
    assert 1200.0 * np.log2(tuned.hz()[0] / 220.0) == pytest.approx(-10.0 - 0.2 * risen), "air follows it"


def test_the_last_look_at_a_drum_in_air_finds_what_gluing_its_bottom_on_did(
    loop: ModuleType, wanted: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    natures, still = sys.modules["natures"], no_air(np.array([200.0, 300.0]))
    model = natures.Aired(
        glued=Still(200.0, 300.0),
        without=Still(200.0, 300.0),
        air=None,
        moves={"glued": replace(still, cents=still.cents - np.array([10.0, 30.0])), "off": still},
        fineness=natures.OTHER_MESH,
    )
    monkeypatch.setattr(natures.Aired, "last", lambda self, drum: [201.0, 299.0])
    virtual = natures.Virtual(
        drum=wanted, model=model, targets_hz=[200.0, 300.0], rng=np.random.default_rng(1), bottom="off"
    )
    assert virtual.finish() == pytest.approx([8.63, -5.78], abs=0.01)
    assert virtual.overshot == {0}, "it was flat and has ended past the sharp side of its band"


@pytest.mark.slow
def test_the_foreign_nature_is_a_drum_as_another_program_has_it(
    loop: ModuleType, reference_drums: dict[str, tuple[Drum, np.ndarray]]
) -> None:
    """Glued hard and without air, its tetrahedra give the reference's modes; soft glue and air lower them.

    Elements of order 3 are some 20 cents sharp, all modes alike: their intervals are the reference's.
    """
    foreign = sys.modules["foreign"]
    drum, reference = reference_drums["W1"]
    plain = (1.0,) * len(drum.tongues)
    soft = foreign.modes(drum, plain, plain, foreign.Solver(order=3, tongue_mm=20.0), count=8)
    hard = foreign.modes(
        drum,
        plain,
        plain,
        foreign.Solver(order=3, tongue_mm=20.0, glue_normal=1e16, glue_shear=1e16, air_kg_m2=0.0),
        count=8,
    )
    apart = 1200.0 * np.log2(hard.hz[:6] / reference[:6])
    assert np.abs(apart).max() < 30.0 and np.ptp(apart) < 12.0
    assert (soft.hz[:6] < hard.hz[:6]).all()


@pytest.mark.slow
def test_a_drum_of_hidden_wood_comes_into_tune_in_few_bores_and_none_passes(
    loop: ModuleType, fitted: Fit
) -> None:
    virtual = loop.nature(fitted.drum, SEED, order=3)
    assert np.abs(virtual.started).max() > 40.0
    found = loop.tune(virtual, loop.adviser(fitted.drum))
    assert all(one.reached for one in found), [one.left_cents for one in found]
    assert not any(one.overshot for one in found)
    assert np.median([one.bores for one in found]) <= 2 and max(one.bores for one in found) <= 5

    plain = loop.tune(loop.nature(fitted.drum, SEED, order=3), loop.by_the_millimetre(fitted.drum))
    assert sum(one.bores for one in plain) > 3 * sum(one.bores for one in found)
