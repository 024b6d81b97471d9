"""A process that solves for days: it grows no further, and the library stays silent."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="asks /proc how large the process is"),
]

ROOT = Path(__file__).parents[2]
WARM, SOLVES, TONGUES, KEPT = 3, 20, 60, 3
MOST_MB = 12.0
"""How much a process may grow while it does all that; one solved drum alone takes more, see the last test."""

SCRIPT = f"""
import sys
import ngsolve as ng
from kerftone.drum.file import parse_drum
from kerftone.modal.frame import assemble
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import solve
from kerftone.modal.threads import at_most

drum = parse_drum(open(sys.argv[1], encoding="utf-8").read())
keep, kept = sys.argv[2] == "keep", []
ROUGH = Fineness(corner_kerfs=1.5, largest_mm=90.0, grading=1.0, wall_mm=60.0)

def megabytes():
    return int(open("/proc/self/statm").read().split()[1]) * 4 / 1024

def once(number):
    found = solve(drum.with_lengths((140.0 + 0.01 * number, 105.0)), 8, fineness=ROUGH)
    if keep:
        kept.append(found)
    return found

for _ in range(9000):
    ng.Timer("one of many")  # as many stopwatches as some hundred solves take
with at_most(1):
    frame = assemble(once(0)).frame
    for number in range({WARM}):
        once(number)
    before = megabytes()
    for number in range({KEPT} if keep else {SOLVES}):
        once(number)
    for number in range(0 if keep else {TONGUES}):
        frame.fresh_tongue(drum.with_lengths((140.0 - 0.1 * number, 105.0)), 0)
print(megabytes() - before)
"""


def grown_mb(wren: Path, how: str) -> tuple[float, str]:
    """How many MB such a process grows, and what it says on its standard error."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(wren), how], capture_output=True, text=True, check=True
    )
    return float(done.stdout.splitlines()[-1]), done.stderr


@pytest.fixture
def wren(tmp_path: Path) -> Path:
    from ..drums import WREN

    file = tmp_path / "drum.toml"
    file.write_text(WREN, "utf-8")
    return file


def test_many_solves_and_tongues_leave_nothing_behind(wren: Path) -> None:
    grown, said = grown_mb(wren, "drop")
    assert grown < MOST_MB
    assert said == ""


def test_that_what_is_left_behind_would_be_seen(wren: Path) -> None:
    assert grown_mb(wren, "keep")[0] > 2.0 * MOST_MB
