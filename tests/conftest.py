"""What all tests share: a test that cannot run here is skipped by name and counted, never silently."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

PACKAGES = {
    "ccx": "calculix-ccx",
    "chromium": "chromium",
    "/usr/share/sounds/sf2/FluidR3_GM.sf2": "fluid-soundfont-gm",
}
"""The Debian packages of the programs, and of the files by their whole path, that tests need."""


def _there(needed: str) -> bool:
    return Path(needed).is_file() if needed.startswith("/") else shutil.which(needed) is not None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip tests whose program or file is not on this system."""
    for item in items:
        for mark in item.iter_markers("needs"):
            program = str(mark.args[0])
            if not _there(program):
                package = PACKAGES.get(program, program)
                why = f"{program} is not installed (Debian package {package})"
                item.add_marker(pytest.mark.skip(reason=why))


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
