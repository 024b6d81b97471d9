"""What all tests share: threads, the sharing out of tests among workers, and skips that are never silent.

Every worker computes on one thread: the threads of the solver and of the linear algebra spin while they wait for each
other, so that two workers with two threads each take several times the processor time for the same answers.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

for _threads in ("NGS_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(_threads, "1")  # read when the libraries are loaded, so before any of them is

settings.register_profile("quick", max_examples=50, deadline=None)
settings.register_profile("full", max_examples=200, deadline=None)
settings.load_profile("quick")  # `make test-all` asks for the full one

PACKAGES = {
    "ccx": "calculix-ccx",
    "chromium": "chromium",
    "/usr/share/sounds/sf2/FluidR3_GM.sf2": "fluid-soundfont-gm",
}
"""The Debian packages of the programs, and of the files by their whole path, that tests need."""


GROUPS = {"fitted": "fitted", "bench": "W1", "solved_w1": "W1", "said": "Wren", "planned": "Wren"}
"""Fixtures that cost a solve, and the drum each starts from: files that use one drum share a worker, and begin first.
Every other file is a group of its own, as its fixtures are its own. A file may also say `xdist_group` itself.
"""


def _there(needed: str) -> bool:
    return Path(needed).is_file() if needed.startswith("/") else shutil.which(needed) is not None


@pytest.hookimpl(tryfirst=True)  # before xdist reads the marks
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Send tests that start from one drum to one worker, and skip those whose program or file is not here."""
    _share_out(items)
    for item in items:
        for mark in item.iter_markers("needs"):
            program = str(mark.args[0])
            if not _there(program):
                package = PACKAGES.get(program, program)
                why = f"{program} is not installed (Debian package {package})"
                item.add_marker(pytest.mark.skip(reason=why))


def _share_out(items: list[pytest.Item]) -> None:
    """Mark the files of each drum, and put the costly files first: no worker ends with one while others idle."""
    drums: dict[Path, str] = {}
    for item in items:
        for fixture in getattr(item, "fixturenames", ()):
            if fixture in GROUPS:
                drums.setdefault(item.path, GROUPS[fixture])
    costly = {
        item.path
        for item in items
        for mark in ("slow", "xdist_group")
        if item.get_closest_marker(mark) is not None
    }
    order = list(dict.fromkeys(GROUPS.values()))

    def turn(item: pytest.Item) -> int:
        drum = drums.get(item.path)
        return order.index(drum) if drum else len(order) + (item.path not in costly)

    for item in items:
        if item.path in drums:
            item.add_marker(pytest.mark.xdist_group(drums[item.path]))
    items.sort(key=turn)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Hand out whole files, or all files of one drum together."""
    from xdist.scheduler import LoadGroupScheduling

    class ByDrumOrFile(LoadGroupScheduling):
        def _split_scope(self, nodeid: str) -> str:
            group = str(super()._split_scope(nodeid))
            return nodeid.split("::")[0] if group == nodeid else group

    return ByDrumOrFile(config, log) if config.getvalue("dist") == "loadgroup" else None


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
