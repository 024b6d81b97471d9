"""How many threads a solve takes: what others leave of our processors, and what can be had at all."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import ngsolve as ng
import pytest

from kerftone.modal import threads

linux = pytest.mark.skipif(
    sys.platform != "linux", reason="only Linux says what others use of each processor"
)
BUSY = "while True: pass"


@pytest.fixture
def stat(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """A computer of four processors of which two are ours, whose clock and counts are set by hand (seconds)."""
    file = tmp_path / "stat"
    now = SimpleNamespace(clock=100.0, own=0.0)

    def tick(*, clock: float, ours: float, away: float = 0.0, own: float = 0.0) -> None:
        ticks = [int(50 * ours), int(50 * ours), int(100 * away), int(100 * away)]
        rows = [f"cpu{n} {busy} 0 0 999 7 0 0 0 0 0" for n, busy in enumerate(ticks)]
        file.write_text("\n".join(["cpu 1 2 3 4 5 6 7 8 9 10", *rows, "procs_running 9"]), "ascii")
        now.clock, now.own = 100.0 + clock, own

    monkeypatch.setattr(threads, "STAT", file)
    monkeypatch.setattr(threads, "OWN_CGROUP", tmp_path / "none")
    monkeypatch.setattr(os, "sched_getaffinity", lambda pid: {0, 1})
    monkeypatch.setattr(os, "sysconf", lambda name: 100)
    monkeypatch.setattr(os, "times", lambda: (now.own, 0.0, 0.0, 0.0, 0.0))
    monkeypatch.setattr(time, "monotonic", lambda: now.clock)
    tick(clock=0.0, ours=0.0)
    monkeypatch.setattr(threads, "_choice", threads._Choice())
    yield tick


@linux
@pytest.mark.parametrize(
    ("ours", "own", "free"),
    [(0.0, 0.0, 2), (2.0, 2.0, 2), (0.5, 0.0, 2), (2.0, 0.0, 1), (4.0, 0.0, 1), (4.0, 2.0, 1), (3.8, 1.3, 1)],
    ids=["idle", "only we", "a little", "one busy", "two busy", "one and we", "two and we"],
)
def test_what_others_use_of_our_processors_is_not_free(
    stat: Callable[..., None], ours: float, own: float, free: int
) -> None:
    stat(clock=2.0, ours=ours, own=own)
    assert threads.free_processors() == free


@linux
def test_what_runs_on_processors_that_are_not_ours_does_not_count(stat: Callable[..., None]) -> None:
    stat(clock=2.0, ours=0.0, away=4.0)
    assert threads.free_processors() == 2


@linux
def test_what_was_long_ago_does_not_count(stat: Callable[..., None], monkeypatch: pytest.MonkeyPatch) -> None:
    stat(clock=300.0, ours=600.0)
    monkeypatch.setattr(time, "sleep", lambda seconds: stat(clock=300.0 + seconds, ours=600.0))
    assert threads.free_processors() == 2


@linux
def test_two_questions_at_once_have_one_answer(
    stat: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(time, "sleep", lambda seconds: pytest.fail("waited"))
    stat(clock=2.0, ours=4.0)
    assert threads.free_processors() == 1
    stat(clock=2.01, ours=4.0)
    assert threads.free_processors() == 1


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


@pytest.mark.parametrize(("load", "free"), [(1.0, 4), (2.0, 3), (9.0, 1), (None, 2)])
def test_without_counts_the_load_average_or_half_the_processors_serve(
    load: float | None, free: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def average() -> tuple[float, float, float]:
        if load is None:
            raise OSError
        return load, load, load

    monkeypatch.setattr(threads, "STAT", tmp_path / "none")
    monkeypatch.setattr(threads, "available_processors", lambda: 4)
    monkeypatch.setattr(os, "getloadavg", average)
    monkeypatch.setattr(threads, "_choice", threads._Choice())
    assert threads.free_processors() == free


@linux
def test_beside_two_busy_processes_a_solve_takes_one_thread() -> None:
    ours = sorted(os.sched_getaffinity(0))[:2]
    others = [subprocess.Popen([sys.executable, "-c", BUSY]) for _ in range(2)]
    before = os.sched_getaffinity(0)
    try:
        for other in others:
            os.sched_setaffinity(other.pid, ours)
        os.sched_setaffinity(0, ours)
        threads._choice.before = threads._reading()
        time.sleep(0.5)
        with threads.solver_threads() as taken:
            assert taken == 1
    finally:
        os.sched_setaffinity(0, before)
        for other in others:
            other.kill()
            other.wait()


def test_the_library_is_given_the_free_processors_and_blocks_may_be_nested(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(threads, "free_processors", lambda: 2)
    with threads.solver_threads() as taken:
        assert (taken, ng.GetNumThreads()) == (2, 2)
        monkeypatch.setattr(threads, "free_processors", lambda: 3)
        with threads.solver_threads() as inner:
            assert inner == 2
    with threads.solver_threads() as taken:
        assert taken == 3


def test_a_worker_is_kept_to_one_processor() -> None:
    with threads.at_most(1), threads.at_most(2):
        assert threads.free_processors() == 1
        assert threads.worker_processes(6) == 1
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
