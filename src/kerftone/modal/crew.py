"""Like work shared out among processes.

`side_by_side` is for the pieces of one answer. A tongue is too small for the solver's own threads, but six of them
are six pieces of work. Each is done in a process split off from this one, which costs some hundredths of a second;
where processes cannot be split off (only Linux does that safely, and only while the solver's threads are at rest),
the work is done here, one piece after the other.

`study` is for many answers: drums, boards, virtual tunings. Its workers live long, so they are started afresh and
not split off. Any `concurrent.futures.Executor` may do the work instead of a pool of this machine's own processes,
such as that of a cluster: `Client.get_executor()` of `dask.distributed` (the extra `kerftone[cluster]`).

It stands in this room because a worker must be kept to one of the solver's threads, and only this room knows them.
Each worker of a pool of ours holds one end of a pipe whose other end is held here alone: when this process ends,
however it ends, or gives up on the work, every worker ends at once. Held by tests/modal/test_crew.py.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from functools import partial
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any, Literal, TypeVar, cast

from threadpoolctl import threadpool_limits

from kerftone.modal.threads import at_most, worker_processes
from kerftone.stopping import check_stopped, undisturbed

Piece = TypeVar("Piece")
Done = TypeVar("Done")
Told = Callable[[int, Done], None]
Work = TypeVar("Work", bound=Callable[..., Any])


def on_one_thread(work: Work) -> Work:
    """A function whose small matrices are kept to one thread, as a drum of frame and tongues is.

    Sharing them out costs more than it brings, and on a busy machine threads that wait for each other take many times
    as long.
    """
    return cast(Work, threadpool_limits.wrap(limits=1)(work))


LOOK_S = 0.1
"""How often it is looked whether the work is to stop: well under the second in which the processes must be gone."""


def side_by_side(work: Callable[[Piece], Done], pieces: Sequence[Piece]) -> list[Done]:
    """What `work` makes of every piece, in their order. Work, pieces and answers must go through a pipe.

    When this is stopped or broken off, the processes are killed. Held by tests/modal/test_crew.py.
    """
    hands = worker_processes(len(pieces)) if sys.platform == "linux" else 1
    if hands < 2:
        done = []
        for piece in pieces:
            check_stopped()
            done.append(work(piece))
        return done
    with _pool(hands, "fork") as crew:
        return _gathered(crew, work, pieces, None)


def study(
    work: Callable[[Piece], Done],
    pieces: Sequence[Piece],
    *,
    executor: Executor | None = None,
    told: Told[Done] | None = None,
) -> list[Done]:
    """What `work` makes of every piece, in their order, on this machine's processors or on any executor.

    `work` must be a function that another process can import, pieces and answers must go through a pipe, and a
    script that calls this needs its `if __name__ == "__main__":`. `told(number, answer)` is called here as soon as
    the piece of that number is done. The first piece that fails ends the study with its error: what has not begun is
    taken back, and of a pool of ours nothing goes on. So does Ctrl-C.

    Parameters
    ----------
    work : Callable[[Piece], Done]
        A function that another process can import.
    pieces : Sequence[Piece]
        What it is asked for, one by one.
    executor : Executor | None, optional
        Where it is done; None for a pool of processes here.
    told : Told[Done] | None, optional
        Called here with the number and the answer of each piece that is done.
    """
    alone = partial(_alone, work)
    if executor is not None:
        return _gathered(executor, alone, pieces, told)
    if not pieces:
        return []
    with _pool(worker_processes(len(pieces)), "spawn") as own:
        return _gathered(own, alone, pieces, told)


def _gathered(
    executor: Executor,
    work: Callable[[Piece], Done],
    pieces: Sequence[Piece],
    told: Told[Done] | None,
) -> list[Done]:
    numbers: dict[Future[Done], int] = {}
    try:
        with undisturbed():  # Python loses a Ctrl-C that comes while a process is split off
            for number, piece in enumerate(pieces):
                numbers[executor.submit(work, piece)] = number
        answers: dict[int, Done] = {}
        waiting = set(numbers)
        while waiting:
            done, waiting = wait(waiting, timeout=LOOK_S, return_when=FIRST_COMPLETED)
            check_stopped()
            for future in done:
                answer = answers[numbers[future]] = future.result()
                if told is not None:
                    told(numbers[future], answer)
    except BaseException:
        for future in numbers:
            future.cancel()
        raise
    return [answers[number] for number in range(len(pieces))]


def _alone(work: Callable[[Piece], Done], piece: Piece) -> Done:
    """The work on one piece, kept to one thread: there are as many workers as processors."""
    with at_most(1), threadpool_limits(1):
        return work(piece)


@contextmanager
def _pool(workers: int, start: Literal["fork", "spawn"]) -> Iterator[ProcessPoolExecutor]:
    """A process pool none of whose workers outlives this block, nor this process."""
    context = get_context(start)
    theirs, ours = context.Pipe(duplex=False)
    begin = partial(_begin, theirs, ours if start == "fork" else None)
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=begin)
    try:
        yield pool
    except BaseException:
        ours.close()
        _kill(pool)  # a worker inside the solver's library does not notice the leash before it comes out
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
        ours.close()
        theirs.close()


def _kill(pool: ProcessPoolExecutor) -> None:
    """End the workers at once, whatever they are at."""
    # The pool has no public way to do this before Python 3.14 (`kill_workers`).
    for process in list((pool._processes or {}).values()):
        process.kill()


def _begin(leash: Connection, other_end: Connection | None) -> None:
    """Begin a worker: it leaves Ctrl-C to the first process, and ends when that lets go of the leash."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threadpool_limits(1)  # for good: there are as many workers as processors
    if other_end is not None:
        other_end.close()  # a process split off has a copy of it
    threading.Thread(target=_held, args=(leash,), daemon=True).start()


def _held(leash: Connection) -> None:
    try:
        leash.recv_bytes()
    except (EOFError, OSError):
        os._exit(1)
