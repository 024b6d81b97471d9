"""The advice in a closed loop with one virtual drum, as benchmarks/tuning_loop.py runs it with many."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from kerftone.tune.fit import Fit

LOOP = Path(__file__).parents[2] / "benchmarks" / "tuning_loop.py"
SEED = 7


@pytest.fixture(scope="module")
def loop() -> ModuleType:
    spec = importlib.util.spec_from_file_location("tuning_loop", LOOP)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["tuning_loop"] = module
    spec.loader.exec_module(module)
    return module


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
