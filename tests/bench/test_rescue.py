"""Of a damaged log, all that can be read is saved into a new one, and the damaged one is left as it is."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from kerftone.bench.facts import Noted
from kerftone.bench.log import Telling, open_log, start_log
from kerftone.bench.replay import bench_of
from kerftone.bench.rescue import PAGE, rescue
from kerftone.errors import BenchError

from .conftest import AFTERWARDS, START

NOTES = 200


@pytest.fixture
def long_log(log_path: Path) -> Path:
    """A log of many pages."""
    with open_log(log_path) as log:
        log.add(lambda _: [Telling(fact=Noted(words=f"note {n} " + "x" * 200)) for n in range(NOTES)])
    return log_path


def facts(path: Path) -> list[object]:
    with open_log(path) as log:
        return [entry.fact for entry in log.entries()]


def spoil(path: Path, at: int, data: bytes) -> None:
    whole = bytearray(path.read_bytes())
    whole[at : at + len(data)] = data
    path.write_bytes(bytes(whole))


@pytest.mark.refusal
@pytest.mark.parametrize("at, size", [(0, 40), (0, PAGE), (20, 60), (100, 12)])
def test_a_spoiled_first_page_costs_nothing(long_log: Path, at: int, size: int) -> None:
    before = facts(long_log)
    spoil(long_log, at, b"\xa5" * size)
    spoiled = long_log.read_bytes()
    with (
        pytest.raises(BenchError, match=rf"{len(before)} facts could be read.*saved in"),
        open_log(long_log),
    ):
        pass
    assert long_log.read_bytes() == spoiled
    (saved,) = long_log.parent.glob("bench-rescued-*.sqlite")
    assert facts(saved) == before


@pytest.mark.refusal
@pytest.mark.parametrize("page", [6, 9])
def test_a_spoiled_page_costs_only_the_facts_on_it(long_log: Path, page: int) -> None:
    before = facts(long_log)
    spoil(long_log, page * PAGE, random.Random(page).randbytes(PAGE))
    with pytest.raises(BenchError, match=r"is damaged.*before the last could not"), open_log(long_log):
        pass
    (saved,) = long_log.parent.glob("bench-rescued-*.sqlite")
    kept = facts(saved)
    assert [fact for fact in before if fact in kept] == kept
    assert len(before) - 40 < len(kept) < len(before)
    assert kept[0] == START


@pytest.mark.refusal
def test_a_file_cut_short_gives_what_is_left_of_it(long_log: Path) -> None:
    before = facts(long_log)
    long_log.write_bytes(long_log.read_bytes()[: 9 * PAGE + 100])
    with pytest.raises(BenchError, match="is damaged"), open_log(long_log):
        pass
    (saved,) = long_log.parent.glob("bench-rescued-*.sqlite")
    assert facts(saved)[: len(AFTERWARDS)] == before[: len(AFTERWARDS)]


@pytest.mark.refusal
def test_one_wrong_letter_in_a_fact_is_noticed(long_log: Path) -> None:
    before = facts(long_log)
    at = long_log.read_bytes().index(b"note 77 ")
    spoil(long_log, at, b"note 78 ")
    with pytest.raises(BenchError, match="entry 86 is not as it was written"):
        facts(long_log)
    (saved,) = long_log.parent.glob("bench-rescued-*.sqlite")
    assert facts(saved) == [fact for n, fact in enumerate(before, start=1) if n != 86]


@pytest.mark.refusal
def test_a_file_with_nothing_in_it_that_can_be_read_is_told_and_left(log_path: Path) -> None:
    log_path.write_bytes(b"\xa5" * 5 * PAGE)
    with (
        pytest.raises(BenchError, match=r"No fact in it could be read. Restore it from a copy"),
        open_log(log_path),
    ):
        pass
    assert log_path.read_bytes() == b"\xa5" * 5 * PAGE


def test_saving_again_writes_no_second_file(long_log: Path) -> None:
    spoil(long_log, 0, b"\xa5" * 40)
    first, second = rescue(long_log), rescue(long_log)
    assert first == second
    assert len(list(long_log.parent.glob("bench-rescued-*.sqlite"))) == 1


def test_where_the_beginning_is_lost_the_log_is_begun_again_and_keeps_the_rest(log_path: Path) -> None:
    at = log_path.read_bytes().index(b"# INVENTED")
    spoil(log_path, at, b"# INVENTER")
    with pytest.raises(BenchError, match="drum as cut is not among them"):
        facts(log_path)
    (saved,) = log_path.parent.glob("bench-rescued-*.sqlite")
    saved.replace(log_path)
    with open_log(log_path) as log, pytest.raises(BenchError, match="begin again"):
        bench_of(log.entries())
    with start_log(log_path, START) as log:
        drum = bench_of(log.entries()).drum
    assert drum.bores[0].depth_mm == 2.8
