"""A small seeded slice of the invented boards that benchmarks/identify.py draws by the hundred."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from kerftone.modal.sensitivity import CONSTANTS
from kerftone.tune.next_tone import BY_THICKNESS, DRUM_NOTE

SCRIPT = Path(__file__).parents[2] / "benchmarks" / "identify.py"
BOARDS = 16


@pytest.fixture(scope="module")
def study() -> ModuleType:
    spec = importlib.util.spec_from_file_location("identify_study", SCRIPT)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def results(study: ModuleType) -> list[tuple[Any, dict[str, Any]]]:
    """Each board's own wood, and what was found of it with more and more tones."""
    mean = study.plain_board()
    boards = [study.drawn(mean, np.random.default_rng([8, number])) for number in range(BOARDS)]
    return [(board.true, study.tried(board)) for board in boards]


def inside(results: list[tuple[Any, dict[str, Any]]], stage: str, shrunk: float = 1.0) -> float:
    """The share of E_L, E across and G that lie inside their 90 % intervals, times `shrunk`."""
    hits = []
    for _, found in results:
        for name in ("e_l_gpa", "e_t_gpa", "g_lt_gpa"):
            at = CONSTANTS.index(name)
            hits.append(abs(found[stage].off[at]) <= shrunk * 1.645 * found[stage].after[at])
    return float(np.mean(hits))


def notes_off(results: list[tuple[Any, dict[str, Any]]], stage: str) -> float:
    """The error of a usual note at the 90th percentile, in cents."""
    answer = np.array(DRUM_NOTE)
    off = [answer @ found[stage].off + BY_THICKNESS * found[stage].slip for _, found in results]
    return float(np.quantile(np.abs(off), 0.9))


@pytest.mark.slow
@pytest.mark.parametrize("stage", ["1", "3", "6", "asked"])
def test_the_true_constants_lie_inside_their_intervals_as_often_as_they_should(
    results: list[tuple[Any, dict[str, Any]]], stage: str
) -> None:
    """Of 48 constants, of which those of one board go together, 80 to 100 % where 90 % is meant."""
    assert inside(results, stage) >= 0.8
    assert inside(results, stage, shrunk=0.5) < 0.8, "intervals half as wide must not do"


@pytest.mark.slow
def test_a_usual_note_of_the_tapped_board_is_within_twelve_cents_and_of_the_mean_is_not(
    study: ModuleType, results: list[tuple[Any, dict[str, Any]]]
) -> None:
    assert notes_off(results, "asked") < 12.0
    mean = study.logs(study.plain_board().species.elastic())
    untested = [np.array(DRUM_NOTE) @ (mean - study.logs(true)) for true, _ in results]
    assert np.quantile(np.abs(untested), 0.9) > 100.0
