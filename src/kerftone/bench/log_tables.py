"""The tables of the log: what SQLite itself sees to, and how an older log becomes a newer one.

One table holds the facts, numbered from 1 without gaps; a fact's fields are JSON. Triggers refuse every change
and every deletion, whoever asks, and let facts come only at the end. `seal` is a checksum of the row, so that a
spoiled byte in it is noticed; SQLite's own check sees to the rest of the file. Views show each kind as columns
to anyone who opens the file with another program.
"""

from __future__ import annotations

APPLICATION_ID = 0x4B424E48
"""Written into the file, so that another program's file is not taken for a log."""

_FIRST = """
CREATE TABLE facts (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    at TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (
        kind IN ('start', 'tap', 'bore', 'lengthen', 'trim', 'weight', 'note', 'void')
    ),
    body TEXT NOT NULL CHECK (json_valid(body)),
    voids INTEGER UNIQUE REFERENCES facts(number) CHECK ((voids IS NOT NULL) = (kind = 'void')),
    instead_of INTEGER UNIQUE REFERENCES facts(number),
    seal INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX one_start ON facts(kind) WHERE kind = 'start';
CREATE TRIGGER never_changed BEFORE UPDATE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are never changed: void one and tell it anew'); END;
CREATE TRIGGER never_erased BEFORE DELETE ON facts
BEGIN SELECT RAISE(ABORT, 'facts are never erased: void one instead'); END;
CREATE TRIGGER only_at_the_end BEFORE INSERT ON facts
WHEN EXISTS (SELECT 1 FROM facts WHERE number >= new.number)
BEGIN SELECT RAISE(ABORT, 'facts are only added at the end'); END;
CREATE TRIGGER only_earlier_ones BEFORE INSERT ON facts
WHEN new.voids >= new.number OR new.instead_of >= new.number
BEGIN SELECT RAISE(ABORT, 'only an earlier fact can be voided or replaced'); END;
CREATE VIEW taps AS SELECT number, at, json_extract(body, '$.tongue') AS tongue, json_extract(body, '$.hz') AS hz,
    json_extract(body, '$.plus_minus_cents') AS plus_minus_cents, json_extract(body, '$.bottom_on') AS bottom_on,
    json_extract(body, '$.top_glued') AS top_glued, json_extract(body, '$.temperature_c') AS temperature_c,
    json_extract(body, '$.humidity_pct') AS humidity_pct, json_extract(body, '$.recording') AS recording
    FROM facts WHERE kind = 'tap' AND number NOT IN (SELECT voids FROM facts WHERE voids IS NOT NULL);
CREATE VIEW bores AS SELECT number, at, json_extract(body, '$.tongue') AS tongue,
    json_extract(body, '$.x_mm') AS x_mm, json_extract(body, '$.y_mm') AS y_mm,
    json_extract(body, '$.bit_mm') AS bit_mm, json_extract(body, '$.depth_mm') AS depth_mm,
    json_extract(body, '$.measured_mm') AS measured_mm
    FROM facts WHERE kind = 'bore' AND number NOT IN (SELECT voids FROM facts WHERE voids IS NOT NULL);
"""

_SECOND = """
DROP VIEW taps;
CREATE VIEW taps AS SELECT number, at, json_extract(body, '$.tongue') AS tongue, json_extract(body, '$.hz') AS hz,
    json_extract(body, '$.plus_minus_cents') AS plus_minus_cents, json_extract(body, '$.bottom_on') AS bottom_on,
    json_extract(body, '$.top_glued') AS top_glued, json_extract(body, '$.temperature_c') AS temperature_c,
    json_extract(body, '$.humidity_pct') AS humidity_pct, json_extract(body, '$.recording') AS recording,
    coalesce(json_extract(body, '$.bottom'), iif(json_extract(body, '$.bottom_on'), 'glued', 'off')) AS bottom
    FROM facts WHERE kind = 'tap' AND number NOT IN (SELECT voids FROM facts WHERE voids IS NOT NULL);
"""

MIGRATIONS: tuple[str, ...] = (_FIRST, _SECOND)
"""Step n makes a log of version n into one of version n + 1; a new log takes them all. Steps are only added."""
