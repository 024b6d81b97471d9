"""What all tests share: threads, the sharing out of tests among workers, and skips that are never silent.

Every worker computes on one thread: the threads of the solver and of the linear algebra spin while they wait for each
other, so that two workers with two threads each take several times the processor time for the same answers.
"""

from __future__ import annotations

import os
import shutil
import signal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

for _threads in ("NGS_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")  # read when the libraries are loaded, so before any of them is

if (
    signal.getsignal(signal.SIGINT) is signal.SIG_IGN
):  # as in a shell's background jobs: no test could stop anything
    signal.signal(signal.SIGINT, signal.default_int_handler)

settings.register_profile("quick", max_examples=50, deadline=None)
settings.register_profile("full", max_examples=200, deadline=None)
settings.load_profile("quick")  # `make test-all` asks for the full one

PACKAGES = {
    "ccx": "calculix-ccx",
    "chromium": "chromium",
    "/usr/share/sounds/sf2/FluidR3_GM.sf2": "fluid-soundfont-gm",
}
"""The Debian packages of the programs, and of the files by their whole path, that tests need."""


TOGETHER = {
    "fitted": ("tune/test_fit.py", "tune/test_loop.py"),
    "W1": (
        *(
            "modal/test_frame.py",
            "modal/test_reference.py",
            "modal/test_sensitivity.py",
            "modal/test_notes.py",
        ),
        *("tune/test_advise.py", "tune/test_instrument.py", "tune/test_confirm.py", "tune/test_offer.py"),
        *(
            "tune/test_own_steps.py",
            "tune/test_near_root.py",
            "modal/test_detuned.py",
            "modal/test_rounded.py",
        ),
    ),
    "main": ("test_main_job.py",),
    "Brook in air": (
        "air/test_reference.py",
        "air/test_wood.py",
        "air/test_breathing.py",
        "modal/test_surface.py",
    ),
    "Wren": (
        "jobs/test_prediction.py",
        "jobs/test_live_pitch.py",
        "jobs/test_compare_wood.py",
        "jobs/test_show_motions.py",
        "modal/test_skin.py",
        "jobs/test_print_papers.py",
        "jobs/test_loudness.py",
        "jobs/test_preview_sound.py",
        "jobs/test_shaken_places.py",
        "sound/test_single_blows.py",
        "cli/test_app.py",
        "cli/test_prediction_words.py",
        "cli/test_hear.py",
        "cli/test_listen.py",
        "cli/test_modes.py",
        "cli/test_plan.py",
        "jobs/test_wood_rows.py",
        "jobs/test_struck_places.py",
    ),
}
"""Files whose tests start from one drum: one worker takes them all and solves it once. These begin first, as they
cost most. Every other file goes to a worker by itself. Held by test_sharing.py.
"""


@pytest.fixture(scope="session")
def predicted() -> Any:
    """What the model predicts of the small drum; solved once for all tests."""
    from kerftone.drum.file import parse_drum
    from kerftone.jobs.prediction import predict

    from .drums import WREN

    return predict(parse_drum(WREN))


def _there(needed: str) -> bool:
    return Path(needed).is_file() if needed.startswith("/") else shutil.which(needed) is not None


def group_of(nodeid: str) -> str:
    """The files that this test goes to a worker with: by the name of their drum, or its own file."""
    file = nodeid.split("::")[0]
    return next((name for name, files in TOGETHER.items() if file.removeprefix("tests/") in files), file)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the costly files first, so that no worker ends with one while others idle; skip what cannot run here."""
    slow = {item.path for item in items if item.get_closest_marker("slow")}
    order = list(TOGETHER)

    def turn(item: pytest.Item) -> int:
        group = group_of(item.nodeid)
        return order.index(group) if group in TOGETHER else len(order) + (item.path not in slow)

    items.sort(key=turn)
    for item in items:
        for mark in item.iter_markers("needs"):
            program = str(mark.args[0])
            if not _there(program):
                package = PACKAGES.get(program, program)
                why = f"{program} is not installed (Debian package {package})"
                item.add_marker(pytest.mark.skip(reason=why))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Hand out whole files, those of one drum together."""
    from xdist.scheduler import LoadFileScheduling

    class ByDrumOrFile(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return group_of(nodeid)

    return ByDrumOrFile(config, log) if config.getvalue("dist") == "loadfile" else None


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Say how many tests were skipped, which, and why."""
    skipped = terminalreporter.stats.get("skipped", [])
    if not skipped:
        return
    terminalreporter.write_line("")
    terminalreporter.write_line(f"{len(skipped)} test{'s' * (len(skipped) != 1)} skipped:")
    for report in skipped:
        why = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        terminalreporter.write_line(f"  {report.nodeid}: {why.removeprefix('Skipped: ')}")
