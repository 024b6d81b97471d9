"""The log keeps every fact as it was told, and lets none be changed, erased or lost."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

from kerftone.bench import log as log_module
from kerftone.bench import log_rows, log_tables
from kerftone.bench.facts import KINDS, Entry, Noted, Tapped
from kerftone.bench.log import Telling, open_log, start_log
from kerftone.errors import BenchError

from .conftest import AFTERWARDS, START


def entries(path: Path) -> tuple[Entry, ...]:
    with open_log(path) as log:
        return log.entries()


@pytest.mark.roundtrip
def test_every_kind_of_fact_reads_back_as_it_was_told(log_path: Path) -> None:
    told = entries(log_path)
    assert [entry.fact for entry in told] == [START, *AFTERWARDS]
    assert [entry.number for entry in told] == list(range(1, 9))
    assert {entry.fact.kind for entry in told} == set(KINDS)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE facts SET body = '{}' WHERE number = 2",
        "DELETE FROM facts WHERE number = 8",
        "DELETE FROM facts",
        "INSERT OR REPLACE INTO facts VALUES (2, 'now', 'note', '{}', NULL, NULL, 0)",
        "INSERT INTO facts VALUES (9, 'now', 'void', '{}', 99, NULL, 0)",
        "INSERT INTO facts VALUES (9, 'now', 'void', '{}', 4, NULL, 0)",
        "INSERT INTO facts VALUES (9, 'now', 'note', '{}', NULL, 12, 0)",
        "INSERT INTO facts VALUES (9, 'now', 'wish', '{}', NULL, NULL, 0)",
        "INSERT INTO facts VALUES (9, 'now', 'start', '{}', NULL, NULL, 0)",
    ],
)
def test_nobody_can_change_erase_or_misplace_a_fact(log_path: Path, statement: str) -> None:
    before = entries(log_path)
    with closing(sqlite3.connect(log_path)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        with pytest.raises(sqlite3.IntegrityError):
            connection.execute(statement)
        connection.commit()
    assert entries(log_path) == before


def test_the_views_show_what_counts_to_any_program(log_path: Path) -> None:
    with closing(sqlite3.connect(log_path)) as connection:
        assert connection.execute("SELECT number, tongue, hz FROM taps").fetchall() == [(2, 1, 288.1)]
        assert connection.execute("SELECT bit_mm, measured_mm FROM bores").fetchall() == [(15.0, 2.8)]
        connection.execute("INSERT INTO facts VALUES (9, 'now', 'void', '{}', 3, NULL, 0)")
        assert connection.execute("SELECT * FROM bores").fetchall() == []


def test_a_refusal_leaves_nothing_of_what_was_to_be_added(log_path: Path) -> None:
    before = entries(log_path)

    def refuse(_: tuple[Entry, ...]) -> Sequence[Telling]:
        raise BenchError("no")

    def half(_: tuple[Entry, ...]) -> Sequence[Telling]:
        return [Telling(fact=Noted(words="one")), Telling(fact=Noted(words="two"), instead_of=77)]

    with open_log(log_path) as log, pytest.raises(BenchError):
        log.add(refuse)
    with open_log(log_path) as log, pytest.raises(BenchError, match="Nothing was recorded"):
        log.add(half)
    assert entries(log_path) == before


@pytest.mark.refusal
def test_a_drum_is_started_once(log_path: Path) -> None:
    with pytest.raises(BenchError, match="already, begun on 20"), start_log(log_path, START):
        pass
    assert len(entries(log_path)) == 8


@pytest.mark.refusal
def test_a_missing_or_empty_log_is_told_and_not_made(tmp_path: Path) -> None:
    path = tmp_path / "bench.sqlite"
    with pytest.raises(BenchError, match="begin it"), open_log(path):
        pass
    assert not path.exists()
    path.touch()
    with pytest.raises(BenchError, match="begin it"), open_log(path):
        pass
    with start_log(path, START) as log:
        assert len(log.entries()) == 1


@pytest.mark.refusal
def test_a_log_of_a_newer_version_is_left_alone(log_path: Path) -> None:
    with closing(sqlite3.connect(log_path)) as connection:
        connection.execute("PRAGMA user_version = 7")
    before = log_path.read_bytes()
    with pytest.raises(BenchError, match=r"newer Kerftone.*version 7.*update Kerftone"), open_log(log_path):
        pass
    assert log_path.read_bytes() == before


@pytest.mark.refusal
@pytest.mark.parametrize("version", [0, 1])
def test_another_programs_file_is_not_taken_for_a_log(tmp_path: Path, version: int) -> None:
    path = tmp_path / "bench.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE birds (name)")
        connection.execute(f"PRAGMA user_version = {version}")
    before = path.read_bytes()
    with pytest.raises(BenchError, match="not the log of a drum"), start_log(path, START):
        pass
    if version:
        with pytest.raises(BenchError, match="not the log of a drum"), open_log(path):
            pass
    assert path.read_bytes() == before


def test_an_older_log_takes_the_steps_it_lacks_or_none(
    log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = entries(log_path)
    with monkeypatch.context() as newer:
        bad = (*log_rows.MIGRATIONS, "CREATE TABLE extra (x);\nCREATE TABLE extra (x);\n")
        newer.setattr(log_rows, "MIGRATIONS", bad)
        newer.setattr(log_module, "MIGRATIONS", bad)
        with pytest.raises(BenchError, match="already exists"), open_log(log_path):
            pass
    assert entries(log_path) == before
    good = (*log_rows.MIGRATIONS, "CREATE TABLE extra (x);\n")
    monkeypatch.setattr(log_rows, "MIGRATIONS", good)
    monkeypatch.setattr(log_module, "MIGRATIONS", good)
    assert entries(log_path) == before
    with closing(sqlite3.connect(log_path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (len(good),)
        assert connection.execute("SELECT * FROM extra").fetchall() == []


def test_taps_of_a_log_of_before_the_states_of_the_bottom_are_read_and_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A log of the first version, written with its tables and its fields: "on" is glued there."""
    path = tmp_path / "bench.sqlite"
    old = [Tapped(tongue=1, hz=288.1, bottom_on=False), Tapped(tongue=1, hz=290.0)]
    with monkeypatch.context() as then:
        for module in (log_rows, log_module):
            then.setattr(module, "MIGRATIONS", log_tables.MIGRATIONS[:1])
        then.setattr(log_rows, "body", lambda fact: {k: v for k, v in vars(fact).items() if k != "bottom"})
        with start_log(path, START) as log:
            log.add(lambda _: [Telling(fact=fact) for fact in old])
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (1,)
        assert "bottom_on" in str(connection.execute("SELECT body FROM facts WHERE number = 2").fetchone())
        assert '"bottom"' not in str(connection.execute("SELECT body FROM facts").fetchall())
    with open_log(path) as log:
        assert [entry.fact for entry in log.entries()[1:]] == old
        log.add(lambda _: [Telling(fact=Tapped(tongue=1, hz=291.0, bottom_on=False, bottom="table"))])
        states = [entry.fact.state for entry in log.entries() if isinstance(entry.fact, Tapped)]
    assert states == ["off", "glued", "table"]
    with closing(sqlite3.connect(path)) as connection:
        shown = connection.execute("SELECT bottom FROM taps ORDER BY number").fetchall()
    assert [state for (state,) in shown] == states


def test_many_commands_at_once_lose_nothing(log_path: Path) -> None:
    """Each adds a tap that counts what is there, so that two at once would be seen."""

    def tap(entries: tuple[Entry, ...]) -> Sequence[Telling]:
        return [Telling(fact=Tapped(tongue=1, hz=100.0 + len(entries)))]

    def work() -> None:
        for _ in range(10):
            with open_log(log_path) as log:
                log.add(tap)

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    heard = [entry.fact.hz for entry in entries(log_path)[8:] if isinstance(entry.fact, Tapped)]
    assert heard == [108.0 + n for n in range(40)]


@pytest.mark.refusal
def test_a_log_that_is_held_for_too_long_is_told(log_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log_module, "WAIT_SECONDS", 0.2)
    with closing(sqlite3.connect(log_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with open_log(log_path) as log, pytest.raises(BenchError, match="Nothing was recorded"):
            log.add(lambda _: [Telling(fact=Noted(words="late"))])
    assert len(entries(log_path)) == 8


def test_new_logs_are_written_ahead(log_path: Path) -> None:
    with closing(sqlite3.connect(log_path)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


WRITERS = """\
import os, sys
from pathlib import Path
from kerftone.bench.facts import Noted
from kerftone.bench.log import Telling, open_log

def write():
    while True:
        with open_log(Path(sys.argv[1])) as log:
            for _ in range(5):
                new = log.add(lambda entries: [Telling(fact=Noted(words=f"after {len(entries)} " + "x" * 500))])
                print(new[0].number, flush=True)

for _ in sys.stdin:
    writer = os.fork() or write()
    print("begun", writer, flush=True)
    os.waitpid(writer, 0)
    print("ended", flush=True)
"""
"""A writer for each line it is sent, split off from a process that has all loaded; it says which one that is."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork, which this system does not have")
def test_killed_at_any_instant_nothing_acknowledged_is_lost(log_path: Path) -> None:
    environment = dict(os.environ, PYTHONPATH=str(Path(log_module.__file__).parents[2]))
    acknowledged = 0
    with subprocess.Popen(
        [sys.executable, "-c", WRITERS, str(log_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
    ) as writers:
        assert writers.stdin is not None and writers.stdout is not None
        for instant in range(12):
            print(file=writers.stdin, flush=True)
            writer, written = 0, 0
            while (
                not writer or written < 1 + 7 * instant % 9
            ):  # into the midst of its writing, each time elsewhere
                line = writers.stdout.readline()
                if line.startswith("begun"):
                    writer = int(line.split()[1])
                else:
                    acknowledged, written = int(line), written + 1
            os.kill(writer, signal.SIGKILL)
            rest = [int(line) for line in iter(writers.stdout.readline, "ended\n")]
            acknowledged = rest[-1] if rest else acknowledged
            told = entries(log_path)
            assert acknowledged <= told[-1].number <= acknowledged + 1
            assert [entry.number for entry in told] == list(range(1, len(told) + 1))
        writers.stdin.close()
    assert acknowledged >= 12
