"""Like work shared out among the processors.

A tongue is too small for the solver's own threads, but six of them are six pieces of work. Each is done in a process
split off from this one, which costs some hundredths of a second; where processes cannot be split off (only Linux
does that safely beside the solver's threads), the work is done here, one piece after the other.
"""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TypeVar

from kerftone.modal.threads import worker_processes

Piece = TypeVar("Piece")
Done = TypeVar("Done")


def side_by_side(work: Callable[[Piece], Done], pieces: Sequence[Piece]) -> list[Done]:
    """What `work` makes of every piece, in their order. Work, pieces and answers must go through a pipe."""
    hands = worker_processes(len(pieces)) if sys.platform == "linux" else 1
    if hands < 2:
        return [work(piece) for piece in pieces]
    with ProcessPoolExecutor(hands, mp_context=get_context("fork"), initializer=_leave_breaking_off) as crew:
        return list(crew.map(work, pieces))


def _leave_breaking_off() -> None:
    """Ctrl-C reaches every process of a command; only the first one is to answer it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
