"""What a job tells while it works, and how it is told to stop.

A job is a function of a request and a `Progress`, marked `@job`. A face makes the Progress with what is to be done
with each step told; any thread may call its `stop`, and the job then ends with `Stopped` at its next look. Looks are
taken at every step told, between the solves of a solver's loops, and ten times a second while other processes work.
A job writes its files at its very end, all or none, so one that is stopped leaves nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Protocol, TypeVar

from kerftone.stopping import Stop, check_stopped, obeying

Request = TypeVar("Request", contravariant=True)
Result = TypeVar("Result", covariant=True)
Tell = Callable[[str, float | None], None]


class Progress:
    """Where a job tells what it is doing: call it with words and, where it is known, the share done, 0 to 1."""

    def __init__(self, tell: Tell | None = None) -> None:
        """`tell` is called in the job's thread with each step."""
        self._tell = tell
        self._stop = Stop()

    def __call__(self, doing: str, share: float | None = None) -> None:
        """Tell a step. Raises Stopped when the job was told to stop."""
        check_stopped()
        if self._tell is not None:
            self._tell(doing, share)

    def stop(self) -> None:
        """Tell the job to stop; from any thread, before it begins or while it works."""
        self._stop.now()

    @property
    def told_to_stop(self) -> Stop:
        """What the job obeys."""
        return self._stop


class Job(Protocol[Request, Result]):
    """A job as a face calls it."""

    def __call__(self, request: Request, progress: Progress | None = None) -> Result:
        """Do it."""


def job(work: Callable[[Request, Progress], Result]) -> Job[Request, Result]:
    """Make a job of this work: its progress may be left out, and it ends when it is told to stop."""

    @wraps(work)
    def run(request: Request, progress: Progress | None = None) -> Result:
        own = Progress() if progress is None else progress
        with obeying(own.told_to_stop):
            return work(request, own)

    return run
