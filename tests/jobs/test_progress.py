"""A job tells what it does, and stops when it is told to, leaving nothing behind."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from kerftone.drum.file import parse_drum
from kerftone.jobs.draw_layout import LayoutRequest, draw_layout
from kerftone.jobs.plan_drum import PlanRequest, plan_drum
from kerftone.jobs.progress import Progress, job
from kerftone.modal.solve import solve
from kerftone.stopping import Stopped, obeying

from ..drums import WREN


@job
def count(request: int, progress: Progress) -> int:
    for number in range(request):
        progress("Counting.", number / request)
    return request


def test_steps_are_told_with_the_share_that_is_done() -> None:
    told: list[tuple[str, float | None]] = []
    assert count(2, Progress(lambda doing, share: told.append((doing, share)))) == 2
    assert told == [("Counting.", 0.0), ("Counting.", 0.5)]
    assert count(2) == 2


def test_a_job_told_to_stop_ends_at_its_next_step() -> None:
    told: list[str] = []

    def tell(doing: str, share: float | None) -> None:
        told.append(doing)
        progress.stop()

    progress = Progress(tell)
    with pytest.raises(Stopped):
        count(9, progress)
    assert len(told) == 1


def test_a_job_told_to_stop_beforehand_does_nothing(tmp_path: Path) -> None:
    file = tmp_path / "drum.toml"
    file.write_text(WREN)
    progress = Progress()
    progress.stop()
    with pytest.raises(Stopped):
        draw_layout(LayoutRequest(drum=file, output=tmp_path / "a.svg"), progress)
    assert [path.name for path in tmp_path.iterdir()] == ["drum.toml"]


def test_a_job_stopped_after_its_work_and_before_its_files_leaves_no_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped at the last step it tells, when everything has been solved."""
    file = tmp_path / "drum.toml"
    file.write_text(WREN)
    solved = SimpleNamespace(drum=parse_drum(WREN))
    monkeypatch.setattr("kerftone.jobs.plan_drum.predict", lambda drum, **given: solved)
    monkeypatch.setattr("kerftone.jobs.plan_drum.with_overtones", lambda *given, **more: solved)

    def tell(doing: str, share: float | None) -> None:
        if "report" in doing:
            progress.stop()

    progress = Progress(tell)
    monkeypatch.setattr("kerftone.jobs.plan_drum.results", lambda *given: progress("Last.") or {})
    with pytest.raises(Stopped):
        plan_drum(PlanRequest(drum=file, folder=tmp_path / "out"), progress)
    assert [path.name for path in tmp_path.iterdir()] == ["drum.toml"]


@pytest.mark.slow
def test_a_solve_is_stopped_from_another_thread() -> None:
    """Well before it would have ended by itself."""
    drum = parse_drum(WREN)
    began = time.monotonic()
    solve(drum)
    whole = time.monotonic() - began
    progress = Progress()
    threading.Timer(0.4 * whole, progress.stop).start()
    began = time.monotonic()
    with pytest.raises(Stopped), obeying(progress.told_to_stop):
        solve(drum)
    assert time.monotonic() - began < 0.9 * whole
