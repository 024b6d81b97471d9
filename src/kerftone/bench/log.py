"""The log of one drum: a file beside it to which facts are added and from which none is ever taken.

A SQLite file in write-ahead mode, forced to the disk at every fact: once a command has said that something is
recorded, a crash or a cut in power does not lose it. Two commands at once wait for each other. The file is checked
whole each time it is opened; when it is damaged, what can be read is saved to a new file (`rescue.py`) and the
damaged one is left as it is.

The log judges no fact; whoever adds one may do so from what is in the log at that very moment (`Log.add`). What
the facts amount to is `replay.py`'s.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from kerftone.bench.facts import Entry, Fact, Start
from kerftone.bench.log_rows import Spoiled, migrate, pragma, read_entries, version_of, write_entries
from kerftone.bench.log_tables import APPLICATION_ID, MIGRATIONS
from kerftone.bench.rescue import rescue
from kerftone.errors import BenchError, Remedy

LOG_FILE = "bench.sqlite"
WAIT_SECONDS = 15.0
"""How long a command waits for another one to finish writing."""
_BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
_SPOILED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


@dataclass(frozen=True, kw_only=True)
class Telling:
    """A fact to be added; `instead_of` is the number of the fact whose place it takes."""

    fact: Fact
    instead_of: int | None = None


def log_beside(drum_file: Path) -> Path:
    """Where the log of the drum in this file is kept."""
    return drum_file.parent / LOG_FILE


@dataclass(frozen=True)
class Log:
    """An open log. Made by `open_log` and `start_log`."""

    path: Path
    connection: sqlite3.Connection

    def entries(self) -> tuple[Entry, ...]:
        """Every fact told so far, voided ones too, in the order of telling."""
        return read_entries(self.connection)

    def add(self, tell: Callable[[tuple[Entry, ...]], Sequence[Telling]]) -> tuple[Entry, ...]:
        """Add the facts that `tell` makes of what is in the log just now: all of them, or none if it refuses.

        No other command can write in between. When this returns, the facts are on the disk.
        """
        with _plain_words(self.path), _writing(self.connection):
            before = self.entries()
            last = before[-1].number if before else 0
            at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
            new = tuple(
                Entry(number=number, at=at, fact=telling.fact, instead_of=telling.instead_of)
                for number, telling in enumerate(tell(before), start=last + 1)
            )
            write_entries(self.connection, new)
        return new


@contextmanager
def open_log(path: Path) -> Iterator[Log]:
    """The log in this file. Raises BenchError when there is none, or it is busy, damaged or newer than us."""
    if not path.is_file():
        raise _not_begun(path)
    with _plain_words(path), closing(_connect(path)) as connection:
        if version_of(connection) == 0:
            raise _not_begun(path)
        _prepare(connection, path)
        yield Log(path, connection)


@contextmanager
def start_log(path: Path, start: Start) -> Iterator[Log]:
    """A new log that begins with the drum as cut. Raises BenchError when there is one already."""
    if not path.exists():
        path.touch()
    with _plain_words(path), closing(_connect(path)) as connection:
        _prepare(connection, path)
        log = Log(path, connection)

        def first(entries: tuple[Entry, ...]) -> Sequence[Telling]:
            begun = next((entry for entry in entries if isinstance(entry.fact, Start)), None)
            if begun is not None:
                raise BenchError(
                    f"{path} is the log of this drum already, begun on {begun.at[:10]}. A drum is started once, "
                    "as it was cut: go on with it, or move the log away to begin anew.",
                    remedy=Remedy.RECORD_TAP,
                )
            return (Telling(fact=start),)

        log.add(first)
        yield log


def _not_begun(path: Path) -> BenchError:
    return BenchError(
        f"There is no log {path}. Taps and bores are kept beside the drum from when it was cut: begin it.",
        remedy=Remedy.START_LOG,
    )


def _connect(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode=rw", uri=True, timeout=WAIT_SECONDS, isolation_level=None
    )
    for setting in (
        "foreign_keys = ON",
        "recursive_triggers = ON",
        "synchronous = FULL",
    ):
        connection.execute(f"PRAGMA {setting}")
    return connection


def _prepare(connection: sqlite3.Connection, path: Path) -> None:
    """Check the file and bring an older log up to date. Raises BenchError or Spoiled."""
    version = version_of(connection)
    filled = version or connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0]
    if filled and pragma(connection, "application_id") != APPLICATION_ID:
        raise BenchError(
            f"{path} is not the log of a drum, though it has that name. Nothing was changed: move it away, then "
            "begin one.",
            remedy=Remedy.START_LOG,
        )
    if version > len(MIGRATIONS):
        raise BenchError(
            f"{path} was written by a newer Kerftone (log version {version}; this one knows up to "
            f"{len(MIGRATIONS)}). Nothing was read or changed: update Kerftone.",
            given=version,
            limit=len(MIGRATIONS),
        )
    told = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if told != "ok":
        raise Spoiled(str(told))
    if version == 0:
        connection.execute("PRAGMA journal_mode = WAL")
    if version < len(MIGRATIONS):
        with _writing(connection):
            migrate(connection)


@contextmanager
def _writing(connection: sqlite3.Connection) -> Iterator[None]:
    """One transaction that no other writer can come into; undone when anything in it fails."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


@contextmanager
def _plain_words(path: Path) -> Iterator[None]:
    """Turn what SQLite says into what a maker should hear; save what can be saved of a damaged file."""
    try:
        yield
    except Spoiled as error:
        raise _damaged(path, str(error)) from error
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        if code in _SPOILED:
            raise _damaged(path, str(error)) from error
        if code in _BUSY:
            raise BenchError(
                f"{path} has been held by another program for {WAIT_SECONDS:g} seconds. Nothing was recorded: "
                "let the other one end, then run the command again."
            ) from error
        raise BenchError(
            f"{path} cannot be used: {error}. Nothing was recorded: see that the folder is yours to write in "
            "and that the disk has room."
        ) from error


def _damaged(path: Path, why: str) -> BenchError:
    saved = rescue(path)
    if saved is None:
        told = "No fact in it could be read. Restore it from a copy, or move it away and begin anew"
    else:
        lost = f", {saved.missing} before the last could not" if saved.missing else ""
        start = (
            ""
            if saved.has_start
            else (
                " The drum as cut is not among them: after renaming, begin the log again, which takes "
                "it from the drum file."
            )
        )
        told = (
            f"{saved.count} fact{'s' * (saved.count != 1)} could be read and {'are' if saved.count != 1 else 'is'} "
            f"saved in {saved.path}{lost}.{start} Move the damaged file away and give the saved one its name"
        )
    return BenchError(f"{path} is damaged: {' '.join(why.split())}. It is left as it is. {told}.")
