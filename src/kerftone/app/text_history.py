"""Every text a drum file has had, so that any change can be undone, also tomorrow.

An SQLite file beside the drum. It is also the journal: a change counts as done when it is in here, and the drum file
follows within a moment. `written` is the fingerprint of what this program last put into the drum file, by which a
change made outside is told from one of ours that a crash kept from being written.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import zlib
from pathlib import Path

from kerftone.errors import WriteError

FILE = ".kerftone-history.sqlite"
_TABLES = """
CREATE TABLE IF NOT EXISTS steps (number INTEGER PRIMARY KEY, what TEXT NOT NULL, text BLOB NOT NULL);
CREATE TABLE IF NOT EXISTS marks (name TEXT PRIMARY KEY, value TEXT NOT NULL);
"""


def fingerprint(text: str) -> str:
    """A short name for a text."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


class History:
    """The steps of one drum. Used by one thread at a time."""

    def __init__(self, folder: Path) -> None:
        """Open the history of the drum in this folder; begun anew where it is missing or cannot be read."""
        self.path = folder / FILE
        try:
            self._base = self._opened()
        except sqlite3.DatabaseError:
            try:
                os.replace(self.path, self.path.with_suffix(".spoilt"))  # noqa: PTH105 - follows no link
                self._base = self._opened()
            except (OSError, sqlite3.DatabaseError) as error:
                raise WriteError(
                    f"The history {self.path} cannot be kept: {error}. Changes must be undoable: make the drum's "
                    "folder yours to write in.",
                    given=str(self.path),
                ) from error

    def _opened(self) -> sqlite3.Connection:
        base = sqlite3.connect(self.path, check_same_thread=False, isolation_level=None)
        base.executescript(_TABLES)
        return base

    def close(self) -> None:
        """Let go of the file."""
        self._base.close()

    @property
    def at(self) -> int:
        """The number of the step that holds now; 0 before the first."""
        return int(self._mark("at") or 0)

    @property
    def written(self) -> str | None:
        """The fingerprint of the text last put into the drum file."""
        return self._mark("written")

    def note_written(self, text: str) -> None:
        """Keep what has just been put into the drum file."""
        self._keep("written", fingerprint(text))

    def text(self) -> str | None:
        """The text that holds now."""
        row = self._base.execute("SELECT text FROM steps WHERE number = ?", (self.at,)).fetchone()
        return None if row is None else zlib.decompress(row[0]).decode("utf-8", "surrogatepass")

    def add(self, text: str, what: str) -> None:
        """A new step after the one that holds now; steps that were undone are gone with it."""
        number = self.at + 1
        packed = zlib.compress(text.encode("utf-8", "surrogatepass"))
        with self._base:
            self._base.execute("BEGIN IMMEDIATE")
            self._base.execute("DELETE FROM steps WHERE number >= ?", (number,))
            self._base.execute("INSERT INTO steps VALUES (?, ?, ?)", (number, what, packed))
            self._keep("at", str(number))

    def undo_words(self) -> str | None:
        """What undoing would take back; None at the beginning."""
        return self._what(self.at) if self.at > 1 else None

    def redo_words(self) -> str | None:
        """What redoing would bring back; None at the end."""
        return self._what(self.at + 1)

    def move(self, by: int) -> bool:
        """One step back (-1) or forth (1); False where there is none."""
        number = self.at + by
        if number < 1 or self._what(number) is None:
            return False
        self._keep("at", str(number))
        return True

    def _what(self, number: int) -> str | None:
        row = self._base.execute("SELECT what FROM steps WHERE number = ?", (number,)).fetchone()
        return None if row is None else str(row[0])

    def _mark(self, name: str) -> str | None:
        row = self._base.execute("SELECT value FROM marks WHERE name = ?", (name,)).fetchone()
        return None if row is None else str(row[0])

    def _keep(self, name: str, value: str) -> None:
        self._base.execute("INSERT OR REPLACE INTO marks VALUES (?, ?)", (name, value))
