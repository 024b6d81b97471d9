"""The starter on the desktop is a file that starts the page, in the way of each system."""

from __future__ import annotations

import os
import shlex
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from kerftone.app.shortcut import make_shortcut
from kerftone.errors import WriteError

ODD = Path('/drums of mine/50% "best" $HOME `x`')


@pytest.mark.parametrize("system, ending", [("linux", ".desktop"), ("darwin", ".command"), ("win32", ".bat")])
def test_it_lies_on_the_desktop_and_names_this_python_and_the_folder(
    tmp_path: Path, system: str, ending: str
) -> None:
    file = make_shortcut(Path("/drums"), system=system, where=tmp_path)
    text = file.read_text()
    assert file.name == f"Kerftone{ending}"
    assert sys.executable in text and "drums" in text and "open" in text
    assert bool(stat.S_IMODE(file.stat().st_mode) & 0o100) == (ending != ".bat")


def test_an_odd_folder_comes_through_the_shell_of_a_mac(tmp_path: Path) -> None:
    text = make_shortcut(ODD, system="darwin", where=tmp_path).read_text()
    assert shlex.split(text.splitlines()[1])[-1] == str(ODD)


def test_an_odd_folder_comes_through_the_desktop_entry(tmp_path: Path) -> None:
    text = make_shortcut(ODD, system="linux", where=tmp_path).read_text()
    line = next(line for line in text.splitlines() if line.startswith("Exec="))
    # A string value is unescaped first, then the quoted words are, then %% is a per cent sign.
    words = shlex.split(line.removeprefix("Exec=").replace("\\\\", "\\"))
    plain = words[-1].replace("\\$", "$").replace("\\`", "`")  # which shlex leaves as they are
    assert plain.replace("%%", "%") == str(ODD)


def test_an_odd_folder_stands_in_a_batch_file_as_windows_reads_it(tmp_path: Path) -> None:
    """From memory: a doubled per cent sign is one, quotes hold blanks, and the code page of UTF-8 is named."""
    lines = make_shortcut(Path("/für/50% oak"), system="win32", where=tmp_path).read_bytes().split(b"\r\n")
    assert lines[:2] == [b"@echo off", b"chcp 65001 >nul"]
    assert lines[2].decode("utf-8").endswith('-m kerftone open "/für/50%% oak"')


def test_the_command_a_double_click_runs_starts_the_program(tmp_path: Path) -> None:
    file = make_shortcut(None, system="darwin", where=tmp_path)
    helped = file.read_text().replace(" open", " open --help")
    done = subprocess.run(
        ["/bin/sh", "-c", helped], capture_output=True, text=True, env=os.environ, check=False
    )
    assert done.returncode == 0 and "FOLDER" in done.stdout


@pytest.mark.refusal
def test_without_a_desktop_it_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="lies on the desktop"):
        make_shortcut(None, where=tmp_path / "none")
