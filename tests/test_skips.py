"""A test whose program is missing is told by name, and counted."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

SAMPLE = """
import pytest

@pytest.mark.needs("a-program-nobody-has")
def test_with_it():
    raise AssertionError("must not run")

@pytest.mark.needs("/a/file/nobody/has.sf2")
def test_with_a_file():
    raise AssertionError("must not run")

@pytest.mark.needs("sh")
def test_with_a_shell():
    pass
"""


def test_a_test_without_its_program_is_named_and_counted(tmp_path: Path) -> None:
    (tmp_path / "conftest.py").write_text((Path(__file__).parent / "conftest.py").read_text("utf-8"))
    (tmp_path / "test_sample.py").write_text(SAMPLE)
    (tmp_path / "pytest.ini").write_text("[pytest]\nmarkers =\n    needs: a program\n")
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(tmp_path)],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        check=False,
    )
    lines = done.stdout.strip().splitlines()
    assert done.returncode == 0, done.stdout
    assert "2 tests skipped:" in lines
    assert any("test_with_it: a-program-nobody-has is not installed" in line for line in lines)
    assert any("test_with_a_file: /a/file/nobody/has.sf2 is not installed" in line for line in lines)
    assert lines[-1].startswith("1 passed, 2 skipped")
