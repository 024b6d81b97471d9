"""One process solves: tasks wait for each other, the latest wins, and a process that dies is started again."""

from __future__ import annotations

import asyncio
import os
import signal
import time
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest

from kerftone.app import solver as solver_module
from kerftone.app.solver import Solver, Task
from kerftone.drum.file import parse_drum

from ..drums import WREN
from .conftest import STUB

Body = Callable[[Solver], Awaitable[None]]


@pytest.fixture(autouse=True)
def importable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(Path(__file__).parents[2]))


def with_solver(body: Body) -> None:
    async def whole() -> None:
        solver = Solver(STUB)
        solver.start()
        try:
            await asyncio.wait_for(body(solver), 60.0)
        finally:
            solver.close()

    asyncio.run(whole())


async def ended(task: Task) -> Task:
    await asyncio.wait_for(task.ended.wait(), 30.0)
    return task


async def running(task: Task) -> None:
    while task.state != "running" or not task.words:
        await asyncio.sleep(0.01)


def test_progress_is_told_and_a_task_can_be_stopped() -> None:
    async def body(solver: Solver) -> None:
        task = solver.do("wait", "a", {})
        await running(task)
        assert task.words == "Waiting." and task.share is not None
        solver.stop(task)
        assert (await ended(task)).state == "stopped"
        assert (await ended(solver.do("wait", "a", {"steps": 1}))).answer == "waited"
        assert solver.restarts == 0

    with_solver(body)


def test_of_tasks_of_one_kind_for_one_drum_the_latest_wins() -> None:
    async def body(solver: Solver) -> None:
        first = solver.do("wait", "a", {})
        other = solver.do("wait", "b", {"steps": 1})
        await running(first)
        latest = solver.do("wait", "a", {"steps": 2})
        assert (await ended(first)).state == "stopped"
        assert (await ended(latest)).state == (await ended(other)).state == "done"

    with_solver(body)


@pytest.mark.parametrize("end", ["by itself", "from outside"])
def test_a_process_that_dies_is_started_again_and_the_task_says_so(end: str) -> None:
    async def body(solver: Solver) -> None:
        task = solver.do("die" if end == "by itself" else "wait", "a", {})
        if end == "from outside":
            await running(task)
            assert solver.process_id is not None
            os.kill(solver.process_id, signal.SIGKILL)
        assert (await ended(task)).state == "failed"
        assert task.refusal is not None and "started again" in task.refusal["message"]
        assert (await ended(solver.do("wait", "a", {"steps": 1}))).answer == "waited"
        assert solver.restarts == 1

    with_solver(body)


def test_a_task_that_does_not_heed_is_ended_with_its_process(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver_module, "PATIENCE_S", 0.2)

    async def body(solver: Solver) -> None:
        task = solver.do("hang", "a", {})
        while task.state != "running":
            await asyncio.sleep(0.01)
        solver.stop(task)
        assert (await ended(task)).state == "stopped"
        assert (await ended(solver.do("wait", "a", {"steps": 1}))).answer == "waited"

    with_solver(body)


def test_a_fault_of_the_program_is_told_as_one_and_the_process_goes_on() -> None:
    async def body(solver: Solver) -> None:
        task = await ended(solver.do("fault", "a", {}))
        assert task.state == "failed" and task.refusal is not None
        assert "not yours" in task.refusal["message"] and "ZeroDivisionError" in task.refusal["detail"]
        assert solver.restarts == 0

    with_solver(body)


def test_the_tables_answer_while_a_task_is_at_work() -> None:
    async def body(solver: Solver) -> None:
        task = solver.do("wait", "a", {})
        await running(task)
        said = await solver.ask("sound", {"drum": parse_drum(WREN)})
        assert said is not None and said["by"] == "tables"
        assert task.state == "running"

    with_solver(body)


def test_nothing_is_left_running_when_it_is_closed() -> None:
    async def body(solver: Solver) -> None:
        await running(solver.do("wait", "a", {}))
        process = solver.process_id
        assert process is not None
        begun = time.monotonic()
        solver.close()
        assert time.monotonic() - begun < 1.0
        with pytest.raises(ProcessLookupError):
            os.kill(process, 0)

    with_solver(body)
