"""What the closed loop of the bench keeps of its drums, and what its table says of them."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

BENCHMARKS = Path(__file__).parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def records() -> Iterator[ModuleType]:
    sys.path.insert(0, str(BENCHMARKS))
    try:
        yield importlib.import_module("loop_records")
    finally:
        sys.path.remove(str(BENCHMARKS))


def drummed(records: ModuleType, seed: int, *, left: float = 1.0) -> Any:
    outcome = records.Outcome(
        began_cents=-40.0,
        bores=2,
        otherwise=0,
        reached=abs(left) <= 5.0,
        reachable=True,
        overshot=left > 5.0,
        left_cents=left,
        removed_cm3=1.5,
    )
    step = records.Step(tongue=0, kind="Bored", told=20.0, spread=4.0, did=22.0, inside=False)
    return records.Drummed(
        design="Finch",
        seed=seed,
        kind="own",
        bottom="in vacuo",
        way="advice",
        outcomes=[outcome],
        steps=[step],
        seconds=3.0,
    )


@pytest.mark.outside
@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(0, 100, 0.0, 0.0362), (5, 100, 0.0164, 0.1128), (10, 10, 0.6915, 1.0)],
)
def test_the_bounds_of_a_share_are_those_of_the_tables(
    records: ModuleType, count: int, of: int, low: float, high: float
) -> None:
    """Clopper and Pearson's exact limits, from the printed tables (from memory)."""
    assert records.bounds(count, of) == pytest.approx((low, high), abs=1e-4)


@pytest.mark.roundtrip
def test_a_drum_that_was_kept_comes_back_and_a_line_cut_short_is_left_out(
    records: ModuleType, tmp_path: Path
) -> None:
    file = tmp_path / "loop.jsonl"
    drums = [drummed(records, seed) for seed in (3, 4)]
    for drum in drums:
        records.keep(file, drum)
    with file.open("a") as out:
        out.write('{"design": "Finch", "se')
    assert records.kept([file, tmp_path / "none.jsonl"]) == drums


def test_the_table_counts_every_tongue_by_design_and_by_nature(
    records: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    drums = [*(drummed(records, seed) for seed in (3, 4, 5, 9)), drummed(records, 12, left=8.0)]
    records.table(drums)
    said = capsys.readouterr().out
    assert "5 drums, seeds 3-5, 9, 12" in said
    assert said.count("outside on the far side 1 of 5 (20.0 %") == 2, (
        "of all, and of those that can be reached"
    )
    assert "bores that raise, told 2 cents or more: 5; did 1.10 times" in said
