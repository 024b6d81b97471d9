"""The benchmarks are run by hand: that they still can be is all that is looked at here."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "benchmarks"


def test_every_benchmark_can_be_loaded() -> None:
    names = sorted(path.stem for path in FOLDER.glob("*.py"))
    assert len(names) > 10
    loaded = subprocess.run(
        [
            sys.executable,
            "-c",
            f"import importlib\nfor name in {names!r}:\n    importlib.import_module(name)",
        ],
        cwd=FOLDER,
        env=os.environ | {"PYTHONPATH": os.pathsep.join([str(FOLDER), os.environ.get("PYTHONPATH", "")])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert loaded.returncode == 0, loaded.stderr
