"""The server's end of the solving process: what was asked, how far it is, and what came of it.

One process, spawned, warm. Tasks wait for each other; a later one of the same kind for the same drum takes the place
of an earlier one ("latest wins"). A process that dies is started again, what it was at is said to have failed, and
nothing of the maker's is lost, for it writes no drum that the page holds. All methods but those of the reading thread
run in the server's loop.
"""

from __future__ import annotations

import asyncio
import itertools
import multiprocessing
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, ClassVar, Literal

from kerftone.app.worker import begin
from kerftone.errors import KerftoneError
from kerftone.jobs.refusal import refusal_record

State = Literal["waiting", "running", "done", "refused", "stopped", "failed"]
PATIENCE_S = 3.0
"""A task that was told to stop and has not by then is ended with its process. Own judgement."""
MOST_KEPT = 60
"""How many ended tasks are remembered."""
DIED = (
    "The part of the program that works the numbers out ended unexpectedly, perhaps for want of memory. It has been "
    "started again and your drum is as you left it: try once more."
)
FAULT = (
    "Something went wrong inside the program, which is its fault and not yours. Your drum is as you left it."
)


@dataclass(eq=False)
class Task:
    """One thing asked of the process. `share` is the part done, 0 to 1, None where it is not known."""

    number: int
    kind: str
    key: str
    wishes: dict[str, Any]
    state: State = "waiting"
    words: str = ""
    share: float | None = None
    answer: Any = None
    refusal: dict[str, Any] | None = None
    ended: asyncio.Event = field(default_factory=asyncio.Event)
    when_done: Callable[[Task], None] | None = None
    begun: float = field(default_factory=time.monotonic)

    @property
    def open(self) -> bool:
        """Whether it is still to end."""
        return self.state in ("waiting", "running")

    def document(self) -> dict[str, Any]:
        """As JSON, without its answer."""
        return {
            "number": self.number,
            "kind": self.kind,
            "state": self.state,
            "words": self.words,
            "share": self.share,
            "seconds": round(time.monotonic() - self.begun, 1),
            "error": self.refusal,
        }


class Solver:
    """The process and its tasks."""

    STARTING: ClassVar[Any] = multiprocessing.get_context("spawn")
    """How the process is started: anew, so that nothing of the server's is in it."""

    def __init__(self, tasks_module: str = "kerftone.app.tasks") -> None:
        """Nothing is started yet. `tasks_module`: what the process can do."""
        self.tasks_module = tasks_module
        self.tasks: dict[int, Task] = {}
        self.questions: dict[int, asyncio.Future[Any]] = {}
        self.restarts = 0
        self._numbers = itertools.count(1)
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._closing = False

    def start(self) -> None:
        """Start the process; from within the server's loop."""
        self._loop = asyncio.get_running_loop()
        ours, theirs = self.STARTING.Pipe()
        # Not a daemon: it starts processes of its own for the tables. It ends when its pipe does.
        self._process = process = self.STARTING.Process(
            target=begin, args=(theirs, self.tasks_module), daemon=False
        )
        process.start()
        theirs.close()
        self._pipe = ours
        threading.Thread(target=self._read, args=(ours, self._loop), daemon=True).start()

    def close(self) -> None:
        """End the process at once."""
        self._closing = True
        if self._process is not None:
            self._process.kill()
            self._process.join(1.0)
        if self._pipe is not None:
            self._pipe.close()
        for task in self.tasks.values():
            task.ended.set()

    @property
    def process_id(self) -> int | None:
        """The process's number, for tests that end it."""
        return None if self._process is None else self._process.pid

    def do(
        self, kind: str, key: str, wishes: dict[str, Any], when_done: Callable[[Task], None] | None = None
    ) -> Task:
        """Have something long done; earlier wishes of the same kind for the same drum are dropped."""
        for other in list(self.tasks.values()):
            if other.open and (other.kind, other.key) == (kind, key):
                self.stop(other)
        task = Task(number=next(self._numbers), kind=kind, key=key, wishes=wishes, when_done=when_done)
        self.tasks[task.number] = task
        self._forget()
        self._next()
        return task

    async def ask(self, kind: str, wishes: dict[str, Any], *, patience_s: float = 5.0) -> Any:
        """An answer of the tables, in milliseconds; None where there is none in time."""
        number = next(self._numbers)
        future = asyncio.get_running_loop().create_future()
        self.questions[number] = future
        try:
            self._send("ask", number, kind, wishes)
            return await asyncio.wait_for(future, patience_s)
        except (TimeoutError, OSError):
            return None
        finally:
            self.questions.pop(number, None)

    def stop(self, task: Task) -> None:
        """Have it stopped: at once while it waits, at its next look while it is worked on."""
        if task.state == "waiting":
            self._end(task, "stopped")
        elif task.state == "running":
            task.words = "Stopping."
            self._send("stop", task.number)
            assert self._loop is not None
            self._loop.call_later(PATIENCE_S, self._lose_patience, task)

    def running(self) -> Task | None:
        """What the process is at."""
        return next((task for task in self.tasks.values() if task.state == "running"), None)

    def of(self, key: str) -> list[Task]:
        """The tasks of one drum that are not ended, and those that have ended lately."""
        return [task for task in self.tasks.values() if task.key == key]

    def _lose_patience(self, task: Task) -> None:
        if task.state == "running" and self._process is not None:
            self._end(task, "stopped")
            self._process.kill()
            self._process.join(1.0)
            self.start()  # what the old one's pipe still says is no longer heeded
            self._next()

    def _next(self) -> None:
        if self.running() is not None:
            return
        task = next((one for one in self.tasks.values() if one.state == "waiting"), None)
        if task is not None:
            task.state = "running"
            self._send("do", task.number, task.kind, task.wishes)

    def _send(self, *message: Any) -> None:
        try:
            if self._pipe is not None:
                self._pipe.send(message)
        except (OSError, ValueError):
            pass  # it has just died; the reading thread is about to say so

    def _end(
        self, task: Task, state: State, *, answer: Any = None, refusal: dict[str, Any] | None = None
    ) -> None:
        if not task.open:
            return
        task.state, task.answer, task.refusal = state, answer, refusal
        task.wishes = {}
        try:
            if state == "done" and task.when_done is not None:
                task.when_done(task)
        except KerftoneError as error:  # what was found cannot be put into the drum
            task.state, task.refusal = "refused", refusal_record(error)
        finally:
            task.ended.set()

    def _forget(self) -> None:
        ended = [number for number, task in self.tasks.items() if not task.open]
        for number in ended[:-MOST_KEPT]:
            del self.tasks[number]

    def _read(self, pipe: Connection, loop: asyncio.AbstractEventLoop) -> None:
        """In a thread of its own: hand every message over to the loop."""
        while True:
            try:
                message = pipe.recv()
            except (EOFError, OSError, TypeError):  # TypeError: closed by another thread while this one reads
                message = None
            if loop.is_closed():
                return
            try:
                loop.call_soon_threadsafe(self._heard, pipe, message)
            except RuntimeError:
                return  # the loop has been closed meanwhile
            if message is None:
                return

    def _heard(self, pipe: Connection, message: tuple[Any, ...] | None) -> None:
        if pipe is not self._pipe or self._closing:
            return
        if message is None:
            self._died()
            return
        order, number, *rest = message
        if number in self.questions:
            if not self.questions[number].done():
                self.questions[number].set_result(rest[0] if order == "done" else None)
            return
        task = self.tasks.get(number)
        if task is None:
            return
        if order == "step":
            task.words, task.share = rest[0], task.share if rest[1] is None else rest[1]
            return
        if order == "failed":
            self._end(task, "failed", refusal={"message": FAULT, "detail": rest[0]})
        else:
            self._end(
                task,
                order,
                answer=rest[0] if order == "done" else None,
                refusal=rest[0] if order == "refused" else None,
            )
        self._next()

    def _died(self) -> None:
        self.restarts += 1
        for future in self.questions.values():
            if not future.done():
                future.set_result(None)
        task = self.running()
        if task is not None:
            self._end(task, "failed", refusal={"message": DIED})
        if self._process is not None:
            self._process.join(0.1)
        self.start()
        self._next()
