"""The rows of the log's one table: writing entries, reading them back, and knowing a spoiled one.

Nothing here opens files or waits for others: see `log.py`.
"""

from __future__ import annotations

import json
import sqlite3
import zlib
from collections.abc import Iterator, Sequence
from typing import Any

from kerftone.bench.facts import Entry, Voided, body, from_body
from kerftone.bench.log_tables import APPLICATION_ID, MIGRATIONS

SELECT = "SELECT number, at, kind, body, voids, instead_of, seal FROM facts"


class Spoiled(Exception):
    """The file is not what was written: SQLite's word for it, or ours."""


def migrate(connection: sqlite3.Connection) -> None:
    """Take the steps that an older or empty log lacks, inside the transaction that is open."""
    for step in MIGRATIONS[version_of(connection) :]:
        for statement in _statements(step):
            connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")


def _statements(script: str) -> Iterator[str]:
    """The statements of a script one by one, so that a transaction can hold them all."""
    pending = ""
    for line in script.strip().splitlines(keepends=True):
        pending += line
        if sqlite3.complete_statement(pending):
            yield pending
            pending = ""


def pragma(connection: sqlite3.Connection, name: str) -> int:
    """A number that SQLite keeps in the file's head."""
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def version_of(connection: sqlite3.Connection) -> int:
    """How many steps of `schema.py` this file has taken; 0 for an empty one."""
    return pragma(connection, "user_version")


def write_entries(connection: sqlite3.Connection, entries: Sequence[Entry]) -> None:
    """Put these entries at the end of the table."""
    for entry in entries:
        text = json.dumps(body(entry.fact), ensure_ascii=False, allow_nan=False)
        voids = entry.fact.number if isinstance(entry.fact, Voided) else None
        row = (entry.number, entry.at, entry.fact.kind, text, voids, entry.instead_of)
        connection.execute("INSERT INTO facts VALUES (?, ?, ?, ?, ?, ?, ?)", (*row, seal(row)))


def read_entries(connection: sqlite3.Connection) -> tuple[Entry, ...]:
    """All entries; raises Spoiled at the first that does not read as it was written."""
    return tuple(entry_of(row) for row in connection.execute(f"{SELECT} ORDER BY number"))


def entry_of(row: Sequence[Any]) -> Entry:
    """The entry in a row of the table. Raises Spoiled when the row does not fit its seal."""
    number, at, kind, text, _, instead_of, sealed = row
    if sealed != seal(row[:-1]):
        raise Spoiled(f"entry {number} is not as it was written")
    try:
        return Entry(number=number, at=at, fact=from_body(kind, json.loads(text)), instead_of=instead_of)
    except (ValueError, TypeError, AttributeError) as error:
        raise Spoiled(f"entry {number} cannot be read: {error}") from error


def seal(row: Sequence[object]) -> int:
    """A checksum of a row's other columns."""
    return zlib.crc32(json.dumps(list(row)).encode())
