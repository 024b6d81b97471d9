"""One drum that is open on the page: its text, its history, and its file kept in step.

The file stays the truth. Every change is in the history before it is acknowledged, and in the file a moment later,
whole or not at all. A change made to the file by anything else is taken in as a step of its own, never overwritten.
Methods may be called from any thread; one at a time is let in.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from kerftone.app.text_history import History, fingerprint
from kerftone.drum.design import Drum
from kerftone.drum.edit import Change, edited
from kerftone.drum.file import check_drum_text, parse_drum
from kerftone.drum.reading import read_text
from kerftone.errors import DrumFileError, KerftoneError
from kerftone.files import atomic_write

SETTLE_S = 0.25
"""How long after the last change the file is written. Own judgement: dragging gives many in a row."""
FIRST, OUTSIDE = "the drum as it was opened", "a change made outside this page"
Stamp = tuple[int, int, int] | None


class OpenDrum:
    """A drum's text and everything about it that does not need a solve.

    revision: grows with every change of the text. drum: what the text means; None while it means nothing, and
    `broken` says why.
    """

    def __init__(self, path: Path, name: str) -> None:
        """Open the drum of this file. Raises DrumFileError when it cannot be read, WriteError."""
        self.path, self.name = path, name
        self.lock = threading.RLock()
        self.history = History(path.parent)
        self.revision = 0
        self.drum: Drum | None = None
        self.broken: DrumFileError | None = None
        self.sound: dict[str, Any] | None = None
        """What the solver last said of it, with the revision it was said of."""
        self.papers: dict[str, bytes] = {}
        """Booklet, templates and the like, as last made, by file name."""
        self._timer: threading.Timer | None = None
        self._stamp: Stamp = None
        self._begin()

    def _begin(self) -> None:
        on_disk = read_text(self.path)
        self._stamp = self._stamped()
        known = self.history.text()
        if known is None:
            self.history.add(on_disk, FIRST)
            self.history.note_written(on_disk)
        elif known != on_disk:
            if self.history.written == fingerprint(on_disk):
                self._write(known)  # it ended before the last change came into the file
            else:
                self.history.add(on_disk, OUTSIDE)
                self.history.note_written(on_disk)
        self._take(self.history.text() or on_disk)

    @property
    def text(self) -> str:
        """The drum file's text as it holds now."""
        return self._text

    def _take(self, text: str) -> None:
        """Make this the text that holds."""
        self._text = text
        self.revision += 1
        try:
            self.drum, self.broken = parse_drum(text, str(self.path)), None
        except DrumFileError as error:
            self.drum, self.broken = None, error

    def look(self) -> None:
        """Take in what was changed outside, if anything was."""
        with self.lock:
            if self._stamped() == self._stamp:
                return
            try:
                on_disk = read_text(self.path)
            except DrumFileError as error:
                self.broken = error
                self._stamp = self._stamped()
                return
            self._stamp = self._stamped()
            if fingerprint(on_disk) in (self.history.written, fingerprint(self._text)):
                return
            self._cancel()
            self.history.add(on_disk, OUTSIDE)
            self.history.note_written(on_disk)
            self._take(on_disk)

    def change(self, changes: Sequence[Change], what: str) -> None:
        """Make changes as one step. Raises KerftoneError, with nothing changed, where the drum would mean nothing."""
        with self.lock:
            self.look()
            if self.drum is None:
                assert self.broken is not None
                raise self.broken
            self.put(edited(self._text, changes), what)

    def put(self, text: str, what: str) -> None:
        """Make this whole text the drum's, as one step. Raises KerftoneError where it would mean nothing."""
        with self.lock:
            self.look()
            check_drum_text(text, str(self.path))
            if text != self._text:
                self.history.add(text, what)
                self._take(text)
                self._write_soon()

    def read_again(self) -> None:
        """Take the same text in anew: a file that it names has changed."""
        with self.lock:
            self._take(self._text)

    def step(self, by: int) -> bool:
        """Undo (-1) or redo (1) one step; False where there is none."""
        with self.lock:
            self.look()
            if not self.history.move(by):
                return False
            self._take(self.history.text() or "")
            self._write_soon()
            return True

    def flush(self) -> None:
        """Put the text into the file now."""
        with self.lock:
            self._cancel()
            self.look()
            if self.history.written != fingerprint(self._text):
                self._write(self._text)

    def close(self) -> None:
        """Write what is still to be written, and let go."""
        self.flush()
        with self.lock:
            self.history.close()

    def _write_soon(self) -> None:
        self._cancel()
        self._timer = threading.Timer(SETTLE_S, self._write_in_time)
        self._timer.daemon = True
        self._timer.start()

    def _write_in_time(self) -> None:
        with self.lock:
            if self._timer is None:
                return  # something else has written or taken over meanwhile
            try:
                self.flush()
            except KerftoneError as error:
                self.broken = DrumFileError(
                    f"{error} What you changed is kept in the history.", path=str(self.path)
                )

    def _cancel(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer = None

    def _write(self, text: str) -> None:
        atomic_write(self.path, text.encode("utf-8"))
        self.history.note_written(text)
        # Something else may have written it since: then the stamp is not ours, and the next look takes that in.
        stamp = self._stamped()
        with suppress(DrumFileError):
            self._stamp = stamp if read_text(self.path) == text else None

    def _stamped(self) -> Stamp:
        """By what a change of the file is noticed without reading it."""
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size, found.st_ino
