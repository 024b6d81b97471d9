"""Which drums are there? The folders of one folder that hold a drum.toml.

A drum is named by its folder's name. A name is only ever looked up among the names that the folder has, never put
together into a path, and what a link leads out of the folder is not there.
"""

from __future__ import annotations

import os
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path

from kerftone.errors import KerftoneError
from kerftone.jobs.paths import DRUM_FILE

LONGEST_FOLDER = 60
"""Signs of a folder's name, so that its whole path fits any system. Own judgement."""
_UNWELCOME = re.compile(r"[^\w\- ().,+'#&]+")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?", re.IGNORECASE)


def plain_name(name: str, instead: str) -> str:
    """This name as a file or folder can bear it on every system, `instead` before it if it cannot."""
    words = unicodedata.normalize("NFC", name)
    words = " ".join(_UNWELCOME.sub(" ", words).split()).strip(" .")[:LONGEST_FOLDER].strip(" .")
    return f"{instead} {words}".strip() if not words or _RESERVED.fullmatch(words) else words


class NoSuchDrum(KerftoneError):
    """There is no drum of that name in the folder."""


@dataclass(frozen=True)
class Shelf:
    """The folder with the drums. `only`: the one drum that is shown, where a drum's own folder was opened."""

    root: Path
    only: str | None = None

    @classmethod
    def at(cls, folder: Path) -> Shelf:
        """The shelf to open for this folder: the folder, or of the one that holds it just this drum."""
        folder = Path(os.path.realpath(folder))
        if (folder / DRUM_FILE).is_file():
            return cls(root=folder.parent, only=folder.name)
        return cls(root=folder)

    def names(self) -> list[str]:
        """The drums, by name."""
        if not self.root.is_dir():
            return []
        found = []
        with os.scandir(self.root) as entries:
            for entry in entries:
                wanted = self.only is None or entry.name == self.only
                if wanted and not entry.name.startswith(".") and self._file(entry.name) is not None:
                    found.append(entry.name)
        return sorted(found, key=str.casefold)

    def file(self, name: str) -> Path:
        """The drum's file. Raises NoSuchDrum."""
        path = self._file(name) if name in self.names() else None
        if path is None:
            raise NoSuchDrum(
                f"There is no drum called {name[:60]!r} here. The drums are the folders of {self.root} that hold a "
                f"{DRUM_FILE}: choose one of the list.",
                given=name,
            )
        return path

    def _file(self, name: str) -> Path | None:
        path = self.root / name / DRUM_FILE
        try:
            inside = Path(os.path.realpath(path)).relative_to(os.path.realpath(self.root))
        except (ValueError, OSError):
            return None
        return path if len(inside.parts) > 1 and path.is_file() else None

    def free_folder(self, name: str) -> Path:
        """A folder for a new drum of this name, which is not there yet."""
        words = plain_name(name, "drum")
        number, free = 1, words
        while os.path.lexists(self.root / free):
            number += 1
            free = f"{words} {number}"
        return self.root / free
