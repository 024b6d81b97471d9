"""Saving what can be read of a damaged log into a new file.

The damaged file is never touched: copies of it are read, row by row, so that a bad page costs only the facts on it.
Where the first page is spoiled, which holds the list of tables, a fresh log's first page is put in its place: both
have the same tables on the same pages. A fact counts as saved only if it fits its seal.
"""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import tempfile
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from kerftone.bench.facts import Entry, Start, Voided
from kerftone.bench.log_rows import SELECT, Spoiled, entry_of, migrate, write_entries
from kerftone.files import atomic_write

PAGE = 4096
"""Bytes in a page of SQLite, its usual size."""
LARGEST_GAP = 500
"""When the table cannot be read through, numbers are asked for one by one until so many in turn give nothing."""


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What was saved and where; `missing`: how many numbers before the last saved one have no fact."""

    path: Path
    count: int
    missing: int
    has_start: bool


def rescue(path: Path) -> Saved | None:
    """Save every fact of a damaged log that can still be read beside it; None when there is none.

    Run again on the same file it writes the same name. Held by tests/bench/test_rescue.py.
    """
    found: dict[int, Entry] = {}
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        fresh = _new_file(folder / "fresh.sqlite", ())
        for copy in (_copied(path, folder / "copy.sqlite"), _mended(path, folder / "mended.sqlite", fresh)):
            found = _readable(copy) | found
        entries = _consistent(found)
        if not entries:
            return None
        data = _new_file(folder / "saved.sqlite", entries).read_bytes()
    name = hashlib.sha256(path.read_bytes()).hexdigest()[:8]
    target = path.with_name(f"{path.stem}-rescued-{name}{path.suffix}")
    atomic_write(target, data)
    return Saved(
        path=target,
        count=len(entries),
        missing=entries[-1].number - len(entries),
        has_start=any(isinstance(entry.fact, Start) for entry in entries),
    )


def _copied(path: Path, target: Path) -> Path:
    """The file with what was written ahead of it."""
    shutil.copyfile(path, target)
    ahead = path.with_name(path.name + "-wal")
    if ahead.is_file():
        shutil.copyfile(ahead, target.with_name(target.name + "-wal"))
    return target


def _mended(path: Path, target: Path, fresh: Path) -> Path:
    """The file with a fresh log's first page, told how many pages there really are."""
    data, first = path.read_bytes(), bytearray(fresh.read_bytes()[:PAGE])
    pages = -(-max(len(data), PAGE) // PAGE)
    first[28:32] = pages.to_bytes(4, "big")
    first[24:28] = first[92:96]  # the count of pages is believed only when these two agree
    target.write_bytes(bytes(first) + data[PAGE:].ljust((pages - 1) * PAGE, b"\0"))
    return target


def _new_file(path: Path, entries: tuple[Entry, ...]) -> Path:
    """A whole new log of these entries, in one file."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA page_size = {PAGE}")
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("BEGIN IMMEDIATE")
        migrate(connection)
        write_entries(connection, entries)
        connection.execute("COMMIT")
    return path


def _readable(path: Path) -> dict[int, Entry]:
    """The facts of this copy that can be read, by number."""
    found: dict[int, Entry] = {}
    with suppress(sqlite3.DatabaseError), closing(sqlite3.connect(path)) as connection:
        connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
        try:
            for row in connection.execute(f"{SELECT} NOT INDEXED"):
                _keep(found, row)
        except (sqlite3.DatabaseError, OverflowError):
            _one_by_one(connection, found)
    return found


def _one_by_one(connection: sqlite3.Connection, found: dict[int, Entry]) -> None:
    number = last = 0
    while number < last + LARGEST_GAP:
        number += 1
        with suppress(sqlite3.DatabaseError, OverflowError):
            row = connection.execute(f"{SELECT} WHERE number = ?", (number,)).fetchone()
            if row is not None:
                _keep(found, row)
        if number in found:
            last = number


def _keep(found: dict[int, Entry], row: tuple[object, ...]) -> None:
    with suppress(Spoiled, TypeError, ValueError):
        entry = entry_of(row)
        found[entry.number] = entry


def _consistent(found: dict[int, Entry]) -> tuple[Entry, ...]:
    """The saved facts in order, without what points at facts that are lost."""
    kept = []
    for _, entry in sorted(found.items()):
        if isinstance(entry.fact, Voided) and entry.fact.number not in found:
            continue
        kept.append(entry if entry.instead_of in found else replace(entry, instead_of=None))
    return tuple(kept)
