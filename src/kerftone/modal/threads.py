"""How many processors a solve may use, and how its pieces are shared out among them.

The library has threads of its own, which wait for each other by spinning: beside other busy processes each burns its
processor until the others come, and a solve takes many times as long. They are left at rest. Instead the pieces of a
solve that do not need each other (the solve of order 2, the matrix of order 3, one load after the other) are done in
plain threads of this process: inside the library they run side by side, and one that waits sleeps. The answers are
the same to the last bit, however many threads there are. Processes of our own: see `crew.py`.
"""

from __future__ import annotations

import math
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_EXCEPTION, ThreadPoolExecutor, wait
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import Any, TypeVar, cast

from threadpoolctl import threadpool_limits

from kerftone.stopping import Stop, check_stopped, obeying

Done = TypeVar("Done")
Other = TypeVar("Other")
MOST = 8
"""More threads than this are never used: a drum is too small for them (own judgement)."""
LOOK_S = 0.1
"""How often it is looked whether the work is to stop."""
CGROUP, OWN_CGROUP = Path("/sys/fs/cgroup"), Path("/proc/self/cgroup")


class _Choice:
    """What is allowed now; one for the process."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.inside = 0
        self.most = MOST


def available_processors() -> int:
    """How many processors this process may use at all, by affinity and by the quota of its control group."""
    if sys.platform == "linux":
        return max(1, math.ceil(min(len(os.sched_getaffinity(0)), _quota())))
    return os.cpu_count() or 1


def worker_processes(pieces: int) -> int:
    """How many processes to share so many pieces of work out to.

    One, that is none to be started, while threads are at work: a process split off from them might wait for ever.
    """
    if _choice.inside > 1:
        return 1
    return max(1, min(pieces, available_processors(), _choice.most))


@contextmanager
def solver_threads() -> Iterator[int]:
    """Let `together` use this process's processors within this block; gives their number.

    Blocks may be nested: the outermost decides. Of several threads of this process one at a time is let in, for two
    solves at once would take twice the memory and none would be done sooner.
    """
    with _choice.lock:
        if _choice.inside:
            yield _choice.inside
            return
        _choice.inside = min(available_processors(), _choice.most)
        try:
            with threadpool_limits(
                1
            ):  # the threads of linear algebra spin too, and the limit is the whole process's
                yield _choice.inside
        finally:
            _choice.inside = 0


def threads_allowed() -> int:
    """How many threads `together` uses now: one outside of `solver_threads`."""
    return max(1, _choice.inside)


def together(works: Sequence[Callable[[], Done]]) -> list[Done]:
    """What each of these pieces of one solve gives, in their order; side by side where several threads are allowed.

    They must not need each other, nor enter `solver_threads` themselves. The first that fails ends the others at
    their next look, and so does being told to stop. Held by tests/modal/test_threads.py.
    """
    hands = min(threads_allowed(), len(works))
    if hands < 2:
        return [work() for work in works]
    stop = Stop()

    def obedient(work: Callable[[], Done]) -> Done:
        with obeying(stop):
            return work()

    with ThreadPoolExecutor(hands) as crew:
        futures = [crew.submit(obedient, work) for work in works]
        try:
            waiting = set(futures)
            while waiting:
                done, waiting = wait(waiting, timeout=LOOK_S, return_when=FIRST_EXCEPTION)
                check_stopped()
                for future in done:
                    future.result()
        except BaseException:
            stop.now()
            raise
    return [future.result() for future in futures]


def both(one: Callable[[], Done], other: Callable[[], Other]) -> tuple[Done, Other]:
    """The same for two pieces of different kinds."""
    first, second = together(cast(list[Callable[[], Any]], [one, other]))
    return first, second


def load_ahead(*modules: str) -> None:
    """Load these modules while a solve is at work, so that nobody waits for them after it.

    A solve leaves its second processor free for some tenths of a second.
    """
    for name in modules:
        threading.Thread(target=partial(import_module, name), daemon=True).start()


@contextmanager
def at_most(threads: int) -> Iterator[None]:
    """Use no more processors than this within the block, for workers of which there are many.

    Other threads of this process that come to such a block, or to the solver, wait until it is done.
    """
    with _choice.lock:
        before = _choice.most
        _choice.most = max(1, min(before, threads))
        try:
            yield
        finally:
            _choice.most = before


def _quota() -> float:
    """How many processors the control groups of this process allow; infinite without a limit."""
    least = math.inf
    try:
        lines = OWN_CGROUP.read_text("utf-8").splitlines()
    except OSError:
        return least
    for line in lines:
        _, kinds, path = line.split(":", 2)
        if kinds:
            continue  # the older kind of control groups
        folder = CGROUP / path.lstrip("/")
        for group in (folder, *folder.parents):
            least = min(least, _limit(group / "cpu.max"))
            if group == CGROUP:
                break
    return least


def _limit(file: Path) -> float:
    try:
        quota, period = file.read_text("ascii").split()
        return float(quota) / float(period) if quota != "max" else math.inf
    except (OSError, ValueError):
        return math.inf


_choice = _Choice()
