"""A starter for the page on the maker's desktop, to be opened with a double click.

One small text file in the way of each system; it starts this very Python, so it works for as long as that stays where
it is. Only the Linux one has been run by us.
"""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

from kerftone.errors import WriteError
from kerftone.files import atomic_write

NAME = "Kerftone"


def desktop(system: str = sys.platform) -> Path:
    """The folder whose files lie on the desktop."""
    if system.startswith("linux"):
        with suppress(OSError, subprocess.SubprocessError):
            words = ("xdg-user-dir", "DESKTOP")
            told = subprocess.run(words, capture_output=True, text=True, timeout=5, check=True).stdout.strip()
            if told and Path(told) != Path.home():
                return Path(told)
    return Path.home() / "Desktop"


def make_shortcut(folder: Path | None, *, system: str = sys.platform, where: Path | None = None) -> Path:
    """Put the starter on the desktop; the file. Raises WriteError, also where there is no desktop."""
    place = desktop(system) if where is None else where
    if not place.is_dir():
        raise WriteError(
            f"There is no folder {place}. A starter lies on the desktop: make that folder, or begin the page from a "
            "terminal.",
            given=str(place),
        )
    words = [sys.executable, "-m", "kerftone", "open", *([] if folder is None else [str(folder.absolute())])]
    ending, text = _starter(words, system)
    file = place / f"{NAME}{ending}"
    atomic_write(file, text.encode("utf-8"))
    if not system.startswith("win"):
        file.chmod(file.stat().st_mode | 0o111)
    return file


def _starter(words: list[str], system: str) -> tuple[str, str]:
    """The ending and the text of the file for this system."""
    if system.startswith("win"):
        # The code page of UTF-8 first, else a folder with an umlaut is not found (from memory).
        return (
            ".bat",
            f"@echo off\r\nchcp 65001 >nul\r\n{subprocess.list2cmdline(words).replace('%', '%%')}\r\npause\r\n",
        )
    if system == "darwin":
        return ".command", f"#!/bin/sh\nexec {shlex.join(words)}\n"
    quoted = " ".join(_desktop_word(word) for word in words)
    lines = ("[Desktop Entry]", "Type=Application", f"Name={NAME}", f"Exec={quoted}", "Terminal=true")
    return ".desktop", os.linesep.join(lines) + "\n"


def _desktop_word(word: str) -> str:
    """A word of an Exec line, by the quoting of the desktop entry specification (from memory)."""
    safe = word.replace("%", "%%")
    for char in ("\\", '"', "`", "$"):
        safe = safe.replace(char, "\\" + char)
    return '"' + safe.replace("\\", "\\\\") + '"'
