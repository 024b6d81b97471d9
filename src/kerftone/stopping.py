"""Being told to stop: work that looks now and then whether it should still go on.

Whoever starts long work holds a `Stop` and makes it the one to obey (`obeying`); the work calls `check_stopped` at
every point where it may well end, and ends there by `Stopped`. This is per thread: two jobs in two threads stop
apart. `Stopped` is not an Exception, so that no handler of mistakes takes it for one.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar


class Stopped(BaseException):
    """The work was told to stop, and did; nothing was written."""


class Stop:
    """A way to tell work in another thread to stop."""

    def __init__(self) -> None:
        self._told = threading.Event()

    def now(self) -> None:
        """Tell it. It stays told."""
        self._told.set()

    @property
    def told(self) -> bool:
        """Whether it was told."""
        return self._told.is_set()


_obeyed: ContextVar[Stop | None] = ContextVar("stop", default=None)


@contextmanager
def obeying(stop: Stop) -> Iterator[None]:
    """Within this block, work in this thread ends when `stop` says so."""
    before = _obeyed.set(stop)
    try:
        check_stopped()
        yield
    finally:
        _obeyed.reset(before)


def check_stopped() -> None:
    """Raise Stopped if this thread's work was told to stop."""
    stop = _obeyed.get()
    if stop is not None and stop.told:
        raise Stopped


@contextmanager
def undisturbed() -> Iterator[None]:
    """Ctrl-C waits until this block has ended: it is too short to be broken off, and must not be."""
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or not callable(before):
        yield  # only the main thread is ever broken off by hand, and only where Python answers
        return
    told: list[int] = []
    signal.signal(signal.SIGINT, lambda number, frame: told.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if told:
        before(told[0], None)
