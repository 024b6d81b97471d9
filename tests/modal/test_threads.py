"""How many threads a solve takes, and what becomes of the pieces it shares out among them."""

from __future__ import annotations

import os
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal import threads
from kerftone.modal.solve import Solution, solve
from kerftone.modal.threads import together
from kerftone.stopping import Stop, Stopped, check_stopped, obeying

from ..drums import WREN

linux = pytest.mark.skipif(sys.platform != "linux", reason="only Linux has control groups")


@linux
@pytest.mark.parametrize(
    ("limit", "count"), [("150000 100000", 2), ("50000 100000", 1), ("max 100000", 4), ("odd", 4)]
)
def test_a_control_group_can_allow_less_than_there_is(
    limit: str, count: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    inner = tmp_path / "shop" / "saw"
    inner.mkdir(parents=True)
    (inner / "cpu.max").write_text("max 100000")
    (inner.parent / "cpu.max").write_text(limit)
    own = tmp_path / "own"
    own.write_text("1:cpu:/older\n0::/shop/saw\n")
    monkeypatch.setattr(threads, "CGROUP", tmp_path)
    monkeypatch.setattr(threads, "OWN_CGROUP", own)
    monkeypatch.setattr(os, "sched_getaffinity", lambda pid: {0, 1, 2, 3})
    assert threads.available_processors() == count


@pytest.fixture
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threads, "available_processors", lambda: 2)


def test_blocks_may_be_nested_and_the_outermost_decides(monkeypatch: pytest.MonkeyPatch, two: None) -> None:
    assert threads.threads_allowed() == 1
    with threads.solver_threads() as taken:
        assert taken == threads.threads_allowed() == 2
        monkeypatch.setattr(threads, "available_processors", lambda: 3)
        with threads.solver_threads() as inner:
            assert inner == 2
        assert threads.worker_processes(6) == 1, "no process is split off from threads at work"
    with threads.solver_threads() as taken:
        assert taken == 3


def test_a_worker_is_kept_to_one_processor() -> None:
    with threads.at_most(1), threads.at_most(2):
        assert threads.worker_processes(6) == 1
        with threads.solver_threads() as taken:
            assert taken == 1
    assert threads.worker_processes(6) == min(6, threads.available_processors(), threads.MOST)


def test_solves_of_two_threads_of_a_process_wait_for_each_other() -> None:
    order: list[str] = []

    def solve() -> None:
        with threads.solver_threads():
            order.append("second")

    with threads.solver_threads():
        second = threading.Thread(target=solve)
        second.start()
        time.sleep(0.1)
        order.append("first")
    second.join(10.0)
    assert order == ["first", "second"]


def test_pieces_are_done_side_by_side_and_answered_in_their_order(two: None) -> None:
    meet = threading.Barrier(2, timeout=10.0)

    def piece(number: int) -> tuple[int, int]:
        meet.wait()
        return number, threading.get_ident()

    with threads.solver_threads():
        (first, one), (second, other) = together([lambda: piece(1), lambda: piece(2)])
    assert (first, second) == (1, 2)
    assert len({one, other, threading.get_ident()}) == 3


def test_outside_of_a_solve_pieces_are_done_here_one_after_the_other() -> None:
    assert together([threading.get_ident, threading.get_ident]) == [threading.get_ident()] * 2


def _until_told() -> None:
    began = time.monotonic()
    while time.monotonic() - began < 10.0:
        check_stopped()
        time.sleep(0.01)
    raise AssertionError("it was never told to stop")


def _fails() -> None:
    raise ValueError("no such load")


def test_a_piece_that_fails_ends_the_others_with_its_error(two: None) -> None:
    began = time.monotonic()
    with threads.solver_threads(), pytest.raises(ValueError, match="no such load"):
        together([_until_told, _fails])
    assert time.monotonic() - began < 5.0


def test_being_told_to_stop_ends_all_pieces(two: None) -> None:
    stop = Stop()
    threading.Timer(0.2, stop.now).start()
    began = time.monotonic()
    with obeying(stop), threads.solver_threads(), pytest.raises(Stopped):
        together([_until_told, _until_told])
    assert time.monotonic() - began < 5.0
    assert threads.threads_allowed() == 1


def test_a_solve_says_the_same_to_the_last_bit_however_many_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    def on(count: int) -> Solution:
        monkeypatch.setattr(threads, "available_processors", lambda: count)
        return solve(parse_drum(WREN))

    one, three = on(1), on(3)
    assert np.array_equal(one.values, three.values)
    assert np.array_equal(one.shapes, three.shapes)
