"""Work stops when it is told to, and only that work."""

from __future__ import annotations

import threading

import pytest

from kerftone.stopping import Stop, Stopped, check_stopped, obeying


def test_work_that_nobody_can_stop_goes_on() -> None:
    """Another's stop is nothing to it, before, while and after that one is obeyed elsewhere."""
    stop, done = Stop(), []
    worker = threading.Thread(target=lambda: (check_stopped(), done.append(True)))
    with obeying(stop):
        stop.now()
        worker.start()
        worker.join()
        with pytest.raises(Stopped):
            check_stopped()
    check_stopped()
    assert done == [True]


def test_work_ends_at_the_next_look_after_it_was_told() -> None:
    stop = Stop()
    with pytest.raises(Stopped), obeying(stop):
        check_stopped()
        stop.now()
        check_stopped()
    check_stopped()


def test_work_told_to_stop_before_it_began_does_not_begin() -> None:
    stop = Stop()
    stop.now()
    with pytest.raises(Stopped), obeying(stop):
        pytest.fail("it began")


def test_each_thread_obeys_its_own() -> None:
    """One is told from here, the other goes on."""
    stops, ended = (Stop(), Stop()), [threading.Event(), threading.Event()]
    finish = threading.Event()

    def work(number: int) -> None:
        try:
            with obeying(stops[number]):
                while not finish.wait(0.005):
                    check_stopped()
        except Stopped:
            ended[number].set()

    threads = [threading.Thread(target=work, args=(n,)) for n in (0, 1)]
    for thread in threads:
        thread.start()
    stops[0].now()
    assert ended[0].wait(5.0)
    finish.set()
    for thread in threads:
        thread.join()
    assert not ended[1].is_set()


def test_no_handler_of_mistakes_takes_it_for_one() -> None:
    assert not issubclass(Stopped, Exception)
