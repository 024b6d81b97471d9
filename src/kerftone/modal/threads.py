"""How many threads the solver may use: as many as there are free processors at this moment.

The library's threads wait for each other by spinning. When one of them does not get its processor, the others burn
theirs until it does: two threads beside two busy processes on two processors take many times as long as one thread.
So before each solve it is measured what others have used of our processors lately, and only what is left is used;
with one thread left the library's task manager is not started at all. Processes of our own do not spin: see
`crew.py`.

On Linux the measure is /proc/stat less our own processor time. Elsewhere it is the system's load average, which lags
by a minute; where there is none, half of the processors are taken for free (own judgement, not measured).

This module loads nothing heavy, and the package loads it first, so that the time in which the library itself is
loaded serves as the first moment of measuring.
"""

from __future__ import annotations

import math
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

MOST = 8
"""More threads than this are never used: a drum is too small for them (own judgement)."""
SHORTEST_S, LONGEST_S = 0.1, 10.0
"""Over how long a moment the use by others is measured. A shorter one is lengthened by waiting."""
NEARLY = 0.4
"""A processor is free when others leave more than 1 − NEARLY of it."""
STAT, CGROUP, OWN_CGROUP = Path("/proc/stat"), Path("/sys/fs/cgroup"), Path("/proc/self/cgroup")
BUSY_COLUMNS = (1, 2, 3, 6, 7, 8)
"""user, nice, system, irq, softirq, steal: see proc(5)."""


@dataclass(frozen=True)
class Reading:
    """Seconds: of the clock, and of processor time that others have used of our processors since the system began."""

    clock: float
    others: float


class _Choice:
    """What was last read and allowed; one for the process."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.inside = 0
        self.most = MOST
        self.before = _reading()
        self.others: float | None = None


def available_processors() -> int:
    """How many processors this process may use at all, by affinity and by the quota of its control group."""
    if sys.platform == "linux":
        return max(1, math.ceil(min(len(os.sched_getaffinity(0)), _quota())))
    return os.cpu_count() or 1


def free_processors() -> int:
    """How many of them others leave free now, at least one and at most as many as `at_most` allows."""
    with _choice.lock:
        available = available_processors()
        most = min(available, _choice.most)
        return most if most < 2 else max(1, min(most, int(available - _used_by_others(available) + NEARLY)))


def worker_processes(pieces: int) -> int:
    """How many processes to share so many pieces of work out to.

    All processors count here, not only the free ones: processes that wait do not spin, and beside busy ones each gets
    its fair share. One, that is none to be started, while the library's threads are at work.
    """
    if _choice.inside > 1:
        return 1
    return max(1, min(pieces, available_processors(), _choice.most))


@contextmanager
def solver_threads() -> Iterator[int]:
    """Let the library use the free processors within this block; gives their number.

    Blocks may be nested: the outermost decides. Of several threads of this process one at a time is let in, for the
    library's threads serve one master only.
    """
    import ngsolve as ng

    with _choice.lock:
        if _choice.inside:
            yield _choice.inside
            return
        _choice.inside = free_processors()
        try:
            if _choice.inside == 1:
                yield 1
            else:
                ng.SetNumThreads(_choice.inside)
                with ng.TaskManager():
                    yield _choice.inside
        finally:
            _choice.inside = 0


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


def _used_by_others(available: int) -> float:
    """How many of our processors others have been using, on average over the last moment."""
    now = _reading()
    if now is None or _choice.before is None:
        return _by_load_average(available)
    if now.clock - _choice.before.clock > LONGEST_S:
        _choice.before, _choice.others = now, None
    missing = SHORTEST_S - (now.clock - _choice.before.clock)
    if missing > 0.0:
        if _choice.others is not None:
            return _choice.others
        time.sleep(missing)
        now = _reading() or now
    used = max(0.0, (now.others - _choice.before.others) / (now.clock - _choice.before.clock))
    _choice.before, _choice.others = now, used
    return used


def _reading() -> Reading | None:
    """What others have used up to now; None where the system does not say."""
    try:
        lines = STAT.read_text("ascii").splitlines()
        ours = {f"cpu{number}" for number in os.sched_getaffinity(0)}
        ticks = os.sysconf("SC_CLK_TCK")
    except (OSError, ValueError, AttributeError):
        return None
    columns = [line.split() for line in lines if line.split(" ", 1)[0] in ours]
    busy = sum(int(row[at]) for row in columns for at in BUSY_COLUMNS) / ticks
    return Reading(time.monotonic(), busy - sum(os.times()[:4]))


def _by_load_average(available: int) -> float:
    """The same from the load average of the last minute, ourselves left out."""
    try:
        load = os.getloadavg()[0]
    except (OSError, AttributeError):
        return 0.5 * available
    return max(0.0, load - 1.0)


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
