"""Long jobs end when they are told to, at any moment: nothing half-written, no process left behind.

Each job is stopped from another thread here, and by Ctrl-C as a command in a process of its own.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kerftone.jobs.advise_next import AdviceRequest, advise_next
from kerftone.jobs.begin_drum import NewDrumRequest, begin_drum
from kerftone.jobs.find_lengths import LengthsRequest, find_lengths
from kerftone.jobs.predict_notes import NotesRequest, predict_notes
from kerftone.jobs.progress import Progress
from kerftone.jobs.record_fact import TapRequest, record_tap
from kerftone.jobs.start_log import StartRequest, start_the_log
from kerftone.stopping import Stop, Stopped

from ..drums import WREN

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="asks /proc for what still runs"),
]
WITHOUT_LENGTHS = "\n".join(line for line in WREN.splitlines() if not line.startswith("length = 1"))
NOTES = "D4 F4 A4 C5"
SOON_S = 10.0
"""A second on an idle machine; on one that is shared, as much as it takes to be given the processor a few times."""

JOBS: dict[str, tuple[Callable[[Path], Callable[[Progress], object]], tuple[str, ...]]] = {
    "fit": (
        lambda place: lambda told: find_lengths(LengthsRequest(drum=place / "bare.toml"), told),
        ("fit", "bare.toml"),
    ),
    "modes": (
        lambda place: lambda told: predict_notes(NotesRequest(drum=place / "drum.toml"), told),
        ("modes", "drum.toml"),
    ),
    "new": (
        lambda place: (
            lambda told: begin_drum(NewDrumRequest(where=place / "made", notes=NOTES, wood="cherry"), told)
        ),
        ("new", "made", "--notes", NOTES, "--wood", "cherry"),
    ),
    "bench next": (
        lambda place: lambda told: advise_next(AdviceRequest(drum=place / "drum.toml"), told),
        ("bench", "next", "drum.toml"),
    ),
}
"""Each long job, in this process and as a command."""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with a drum whose tongues were tapped, and one without lengths."""
    file = tmp_path / "drum.toml"
    file.write_text(WREN)
    (tmp_path / "bare.toml").write_text(WITHOUT_LENGTHS)
    start_the_log(StartRequest(drum=file))
    for tongue, hz in ((1, 288.5), (2, 452.0)):
        record_tap(TapRequest(drum=file, tongue=tongue, hz=hz))
    return tmp_path


def written(place: Path) -> dict[str, bytes]:
    """Every file but what solves are kept in; the log's own side files come and go with it."""
    return {
        path.relative_to(place).as_posix(): path.read_bytes()
        for path in place.rglob("*")
        if path.is_file() and ".cache" not in path.as_posix() and not path.name.endswith(("-wal", "-shm"))
    }


def half_written(place: Path) -> list[Path]:
    """Files that were being written, in the caches too."""
    return [path for path in place.rglob("*") if path.name.endswith((".new", ".tmp", ".part"))]


def children() -> list[int]:
    """The processes that this one has and that have not ended."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            state, parent = (process / "stat").read_text().rpartition(")")[2].split()[:2]
        except (FileNotFoundError, ProcessLookupError):
            continue
        if int(parent) == os.getpid() and state != "Z":
            found.append(int(process.name))
    return found


class StopAt(Stop):
    """Told from another thread at this look of the work in this process; worker processes have a copy of it."""

    def __init__(self, look: int) -> None:
        super().__init__()
        self.left, self.at, self.process = look, 0.0, os.getpid()

    @property
    def told(self) -> bool:
        here = os.getpid() == self.process
        self.left -= here
        if here and self.left == 0:
            self.at = time.monotonic()
            teller = threading.Thread(target=self.now)
            teller.start()
            teller.join()
        return super().told


@pytest.mark.parametrize("look", [2, 4, 7], ids="at look {}".format)
@pytest.mark.parametrize("name", JOBS)
def test_a_job_stopped_from_another_thread_leaves_everything_as_it_was(
    place: Path, name: str, look: int
) -> None:
    """The shortest, `modes`, looks a dozen times in the thread that was called; those of its solve have their own."""
    before, there = written(place), children()
    stop, progress = StopAt(look), Progress()
    progress._stop = stop
    with pytest.raises(Stopped):
        JOBS[name][0](place)(progress)
    assert time.monotonic() - stop.at < SOON_S
    assert sorted(children()) == sorted(there)
    assert written(place) == before
    assert half_written(place) == []


def test_a_job_is_stopped_by_whoever_is_told_its_steps(place: Path) -> None:
    """In the thread that works, as a page or a script may do it."""
    before = written(place)

    def tell(doing: str, share: float | None) -> None:
        progress.stop()

    progress = Progress(tell)
    with pytest.raises(Stopped):
        JOBS["new"][0](place)(progress)
    assert written(place) == before


def in_session(number: int) -> list[int]:
    """The processes of this session that have not ended."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            fields = (process / "stat").read_text().rpartition(")")[2].split()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if int(fields[3]) == number and fields[0] != "Z":
            found.append(int(process.name))
    return found


@pytest.mark.parametrize("name", JOBS)
def test_ctrl_c_ends_a_command_and_all_its_processes(place: Path, name: str) -> None:
    before = written(place)
    process = subprocess.Popen(
        [sys.executable, "-m", "kerftone", *JOBS[name][1]],
        cwd=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler) and None,
    )
    try:
        assert process.stderr is not None
        assert process.stderr.readline()
        time.sleep(0.7)
        os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to all of them
        out, err = process.communicate(timeout=60.0)
        # Met while the solver's library loads, the signal ends the process by itself.
        assert process.returncode in (130, -signal.SIGINT), (out, err)
        assert in_session(process.pid) == []
        assert out == "" and "Traceback" not in err
        assert written(place) == before
        assert half_written(place) == []
    finally:
        process.kill()
        process.wait()


def test_what_stays_behind_is_seen(place: Path) -> None:
    """The checks themselves, on a child that goes on and a file half written."""
    there = children()
    sleeper: Any = subprocess.Popen(
        [sys.executable, "-c", "import time; time.sleep(60)"], start_new_session=True
    )
    try:
        assert set(children()) - set(there) == {sleeper.pid}
        assert in_session(sleeper.pid) == [sleeper.pid]
    finally:
        sleeper.kill()
        sleeper.wait()
    (place / ".drum.toml.x.new").write_text("half")
    assert len(half_written(place)) == 1
