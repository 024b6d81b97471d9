"""Work shared out: the same answers in the same order, in other processes, errors come back, and no worker stays."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from kerftone.errors import KerftoneError
from kerftone.modal import crew
from kerftone.modal.crew import side_by_side, study
from kerftone.modal.solve import modes
from kerftone.stopping import Stop, Stopped, obeying


def square(number: int) -> tuple[int, int]:
    return number**2, os.getpid()


def refuse(number: int) -> int:
    raise KerftoneError(f"Piece {number} cannot be made: try {number + 1}.", given=number, nearest=number + 1)


def test_answers_come_in_the_order_of_the_pieces() -> None:
    assert [answer for answer, _ in side_by_side(square, range(7))] == [0, 1, 4, 9, 16, 25, 36]
    assert side_by_side(square, []) == []


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")
def test_pieces_are_made_in_other_processes_where_there_are_processors(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    assert os.getpid() not in {process for _, process in side_by_side(square, range(4))}
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 1)
    assert {process for _, process in side_by_side(square, range(4))} == {os.getpid()}


def at_ctrl_c(number: int) -> object:
    return signal.getsignal(signal.SIGINT)


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")
def test_only_the_first_process_answers_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    before = signal.getsignal(signal.SIGINT)
    assert set(side_by_side(at_ctrl_c, range(4))) == {signal.SIG_IGN}
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize("processors", [1, 2])
def test_a_refusal_comes_back_whole(processors: int, monkeypatch: pytest.MonkeyPatch) -> None:
    if sys.platform != "linux" and processors > 1:
        pytest.skip("processes are split off on Linux alone")
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: processors)
    with pytest.raises(KerftoneError, match="Piece 3 cannot be made: try 4") as refused:
        side_by_side(refuse, [3, 3])
    assert refused.value.nearest == 4


WHO = "__import__('os').getpid()"
KEPT_TO = "__import__('kerftone.modal.threads').modal.threads.worker_processes(6)"
"""Pieces for `eval`: work that any process can import."""


def test_a_study_is_done_in_processes_of_its_own_each_kept_to_one_thread() -> None:
    seen: list[tuple[int, int]] = []
    answers = study(eval, [WHO, KEPT_TO, "7 * 6"], told=lambda number, answer: seen.append((number, answer)))
    assert answers[0] != os.getpid()
    assert answers[1:] == [1, 42]
    assert sorted(seen) == list(enumerate(answers))
    assert study(eval, []) == []


class Counting(ThreadPoolExecutor):
    """An executor that is not ours, and counts what it is given."""

    def __init__(self) -> None:
        super().__init__(1)
        self.given: list[Future[Any]] = []

    def submit(self, *args: Any, **named: Any) -> Future[Any]:
        self.given.append(super().submit(*args, **named))
        return self.given[-1]


def test_a_study_runs_on_any_executor_and_leaves_it_open() -> None:
    with Counting() as executor:
        assert study(square, [3, 4], executor=executor) == [(9, os.getpid()), (16, os.getpid())]
        assert len(executor.given) == 2
        assert executor.submit(square, 5).result() == (25, os.getpid())


def test_the_first_error_ends_a_study_and_takes_back_what_has_not_begun() -> None:
    with Counting() as executor:
        pieces = ["1 / 0", "__import__('time').sleep(0.5)", "3", "4"]
        with pytest.raises(ZeroDivisionError):
            study(eval, pieces, executor=executor)
        assert executor.given[-1].cancelled()


@pytest.mark.parametrize("shared", [side_by_side, study])
def test_an_error_does_not_wait_for_the_other_pieces(shared: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    if sys.platform != "linux" and shared is side_by_side:
        pytest.skip("processes are split off on Linux alone")
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    began = time.monotonic()
    with pytest.raises(ZeroDivisionError):
        shared(eval, ["1 / 0", "__import__('time').sleep(300)"])
    assert time.monotonic() - began < 100.0


SCRIPT = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background jobs begin with it ignored
from kerftone.modal import crew
from kerftone.modal.crew import {shared}
crew.worker_processes = lambda pieces: 2
PIECE = "(__import__('os').write(1, b'%d%c' % (__import__('os').getpid(), 10)), __import__('time').sleep(300))"
if __name__ == "__main__":
    {shared}(eval, [PIECE, PIECE])
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="asks /proc for what still runs")
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGKILL], ids=["Ctrl-C", "killed"])
@pytest.mark.parametrize("shared", ["side_by_side", "study"])
def test_no_worker_stays_behind(shared: str, end: signal.Signals, tmp_path: Path) -> None:
    script = tmp_path / "many.py"
    script.write_text(SCRIPT.format(shared=shared))
    process = subprocess.Popen(
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )
    try:
        assert process.stdout is not None
        workers = [int(process.stdout.readline()) for _ in range(2)]
        assert process.pid not in workers
        assert all(running(worker) for worker in workers)
        if end is signal.SIGINT:
            os.killpg(process.pid, end)  # as a terminal does: to all of them
        else:
            process.kill()
        process.wait(60.0)
        until = time.monotonic() + 30.0
        while any(running(worker) for worker in workers) and time.monotonic() < until:
            time.sleep(0.1)
        assert not [worker for worker in workers if running(worker)]
    finally:
        process.kill()
        process.wait()


def running(process: int) -> bool:
    """Whether there is such a process that has not ended; one that ended may wait for someone to notice."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


@pytest.mark.slow
def test_a_study_runs_on_a_cluster_of_two_workers(known: Any) -> None:
    distributed = pytest.importorskip("distributed", reason="kerftone[cluster] is not installed")
    drums = [known["W1"].drum, known["W2"].drum, known["W1"].drum]
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        found = study(modes, drums, executor=client.get_executor())
        places = set(
            study(eval, [f"({number}, {WHO})" for number in range(8)], executor=client.get_executor())
        )
        with pytest.raises(KerftoneError, match="cannot be made"):
            study(eval, [REFUSAL], executor=client.get_executor())
    assert os.getpid() not in {process for _, process in places}
    assert len({process for _, process in places}) == 2
    assert found[0].hz == pytest.approx(found[2].hz, rel=1e-12)
    for name, heard in zip(("W1", "W2"), found, strict=False):
        assert heard.hz[:5] == pytest.approx(known[name].hz[:5], rel=3e-3)


REFUSAL = """(_ for _ in ()).throw(
    __import__('kerftone.errors').errors.KerftoneError('Piece 3 cannot be made: try 4.', given=3, nearest=4))"""


def forked() -> set[int]:
    """The processes split off from this one that still live."""
    children = Path(f"/proc/{os.getpid()}/task").glob("*/children")
    return {int(number) for one in children for number in one.read_text().split()}


def sleep(seconds: float) -> None:
    time.sleep(seconds)


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux only")
@pytest.mark.parametrize("by_hand", [False, True])
def test_when_it_is_stopped_its_processes_are_gone_within_a_second(
    by_hand: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From another thread, or by Ctrl-C here; the work itself would take a minute."""
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    before, stop = forked(), Stop()
    seen: set[int] = set()

    def end_it() -> None:
        while len(forked() - before) < 2:
            time.sleep(0.01)
        seen.update(forked() - before)
        if by_hand:
            os.kill(os.getpid(), signal.SIGINT)
        else:
            stop.now()
        moments.append(time.monotonic())

    moments: list[float] = []
    other = threading.Thread(target=end_it)
    other.start()
    with pytest.raises((Stopped, KeyboardInterrupt)), obeying(stop):
        crew.side_by_side(sleep, [60.0, 60.0, 60.0])
    took = time.monotonic() - moments[0]
    other.join()
    assert len(seen) == 2 and not forked() & seen
    assert took < 1.0
