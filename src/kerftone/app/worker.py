"""The process that solves: one, warm, holding the models of the drums last looked at.

Runs in a process of its own, which `solver.py` starts and restarts. Long work is done one after the other in the
main thread; a second thread takes what comes in, tells work to stop, and answers at once what the tables can
answer. Messages are tuples: ("do", number, kind, wishes), ("ask", number, kind, wishes), ("stop", number) come in;
("step", number, words, share), ("done", number, answer), ("refused", number, record), ("stopped", number),
("failed", number, words) go out.
"""

from __future__ import annotations

import os
import queue
import signal
import sys
import threading
import traceback
from contextlib import suppress
from functools import partial
from multiprocessing.connection import Connection
from typing import Any

from kerftone.errors import KerftoneError
from kerftone.jobs.progress import Progress
from kerftone.jobs.refusal import refusal_record
from kerftone.stopping import Stop, Stopped, obeying

KINDER = 5
"""The process gives way to others by so many steps of niceness: a page that answers matters more."""
SWITCH_S = 0.0005
"""After so long the thread that works lets the one that answers have its turn, ten times as soon as is usual: while
lengths were found the answers to a drag then came in two thirds of the time."""


class Worker:
    """The process's state. `tasks`: the module of what can be done, `kerftone.app.tasks` but in tests."""

    def __init__(self, pipe: Connection, tasks: Any) -> None:
        """Nothing has been asked yet."""
        self.pipe, self.tasks = pipe, tasks
        self.waiting: queue.SimpleQueue[tuple[int, str, Any]] = queue.SimpleQueue()
        self.progress: dict[int, Progress] = {}
        self.sending = threading.Lock()

    def send(self, *message: Any) -> None:
        """Tell the server."""
        with self.sending:
            try:
                self.pipe.send(message)
            except OSError:
                os._exit(1)  # the server has gone

    def listen(self) -> None:
        """Take in messages until the server goes."""
        while True:
            try:
                order, number, *rest = self.pipe.recv()
            except (EOFError, OSError):
                os._exit(0)
            if order == "stop":
                with suppress(KeyError):
                    self.progress[number].stop()
            elif order == "do":
                kind, wishes = rest
                self.progress[number] = Progress(self._teller(number))
                self.waiting.put((number, kind, wishes))
            else:
                kind, wishes = rest
                self.run(number, partial(self.tasks.ASKED[kind], wishes), Stop())

    def _teller(self, number: int) -> Any:
        return lambda words, share: self.send("step", number, words, share)

    def work(self) -> None:
        """Do what is asked, for ever."""
        while True:
            number, kind, wishes = self.waiting.get()
            progress = self.progress[number]
            work = partial(self.tasks.DONE[kind], wishes, progress)
            self.run(number, work, progress.told_to_stop)
            del self.progress[number]

    def run(self, number: int, do: Any, stop: Stop) -> None:
        """Do one thing, unless told to stop, and tell how it ended."""
        try:
            with obeying(stop):
                answer = do()
        except Stopped:
            self.send("stopped", number)
        except KerftoneError as error:
            remedies = [one.name for one in error.remedies]
            more = {"remedies": remedies, "offer": getattr(error, "offer", None)}
            self.send("refused", number, refusal_record(error) | more)
        except Exception:
            self.send("failed", number, traceback.format_exc())
        else:
            self.send("done", number, answer)


def begin(pipe: Connection, tasks_module: str) -> None:
    """Begin the process: what `solver.py` starts."""
    import importlib

    sys.setswitchinterval(SWITCH_S)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the server's to answer
    for library in ("OPENBLAS_NUM_THREADS", "VECLIB_MAXIMUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(library, "1")
    if hasattr(os, "nice"):
        os.nice(KINDER)
    tasks = importlib.import_module(tasks_module)
    worker = Worker(pipe, tasks)
    threading.Thread(target=worker.listen, daemon=True).start()
    tasks.warm()
    worker.work()
