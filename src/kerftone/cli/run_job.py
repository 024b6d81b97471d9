"""Running a job from a terminal: its steps go to stderr, its result is shown as words or as the one JSON document."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from kerftone.cli.failure import DONE, NOT_WELL
from kerftone.cli.screen import emit, say
from kerftone.jobs.progress import Job, Progress

Request = TypeVar("Request")


class Result(Protocol):
    """What a job gives back."""

    def document(self) -> dict[str, Any]:
        """As JSON."""


Done = TypeVar("Done", bound=Result)


def told() -> Progress:
    """A job's steps on stderr. Ctrl-C stops the job as it stops the command."""
    return Progress(lambda doing, share: say(doing))


def run_job(
    job: Job[Request, Done],
    request: Request,
    show: Callable[[Done], None],
    *,
    as_json: bool,
    quiet: bool = False,
) -> int:
    """Do the job and give its result: as JSON, or by `show`; how the command then ends.

    `quiet`: its steps are too short to be told. A result may say of itself that all is not `well`.
    """
    done = job(request, Progress() if quiet else told())
    if as_json:
        emit(done.document())
    else:
        show(done)
    return DONE if getattr(done, "well", True) else NOT_WELL
