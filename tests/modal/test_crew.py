"""Work shared out: the same answers in the same order, in other processes, and errors come back."""

from __future__ import annotations

import os
import signal
import sys

import pytest

from kerftone.errors import KerftoneError
from kerftone.modal import crew
from kerftone.modal.crew import side_by_side


def square(number: int) -> tuple[int, int]:
    return number**2, os.getpid()


def refuse(number: int) -> int:
    raise KerftoneError(f"Piece {number} cannot be made: try {number + 1}.", given=number, nearest=number + 1)


def test_answers_come_in_the_order_of_the_pieces() -> None:
    assert [answer for answer, _ in side_by_side(square, range(7))] == [0, 1, 4, 9, 16, 25, 36]
    assert side_by_side(square, []) == []


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")
def test_pieces_are_made_in_other_processes_where_there_are_processors(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    assert os.getpid() not in {process for _, process in side_by_side(square, range(4))}
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 1)
    assert {process for _, process in side_by_side(square, range(4))} == {os.getpid()}


def at_ctrl_c(number: int) -> object:
    return signal.getsignal(signal.SIGINT)


@pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")
def test_only_the_first_process_answers_ctrl_c(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: 2)
    before = signal.getsignal(signal.SIGINT)
    assert set(side_by_side(at_ctrl_c, range(4))) == {signal.SIG_IGN}
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize("processors", [1, 2])
def test_a_refusal_comes_back_whole(processors: int, monkeypatch: pytest.MonkeyPatch) -> None:
    if sys.platform != "linux" and processors > 1:
        pytest.skip("processes are split off on Linux alone")
    monkeypatch.setattr(crew, "worker_processes", lambda pieces: processors)
    with pytest.raises(KerftoneError, match="Piece 3 cannot be made: try 4") as refused:
        side_by_side(refuse, [3, 3])
    assert refused.value.nearest == 4
