"""How a command ends: its exit code, and what it says when it cannot do what was asked."""

from __future__ import annotations

import json
import math
import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.cli.declarations import declarations
from kerftone.errors import DrumFileError, KerftoneError, Remedy
from kerftone.jobs.refusal import refusal_record
from kerftone.stopping import Stopped

Run = Callable[..., Any]


def test_help_and_version_end_well(run: Run) -> None:
    assert run("--help").code == run("-h").code == run("plan", "--help").code == run().code == 0
    version = run("--version")
    assert version.code == 0 and version.out.startswith("kerftone ")


@pytest.mark.refusal
@pytest.mark.parametrize(
    "args",
    [
        ("modes", "drum.toml", "--cuont", "3"),
        ("modes", "drum.toml", "--count", "many"),
        ("modes", "drum.toml", "--count", "0"),
        ("modes", "drum.toml", "--stands", "sideways"),
        ("modes",),
        ("sing",),
        ("hear", "drum.toml"),
        ("new", "--notes", "D3"),
    ],
)
def test_a_command_that_cannot_be_read_ends_in_2_with_one_message(run: Run, args: tuple[str, ...]) -> None:
    ran = run(*args)
    assert ran.code == 2 and ran.fault is None
    assert ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1 and "--help" in ran.err


@pytest.mark.refusal
@pytest.mark.parametrize("command", ["modes", "fit", "hear", "layout", "plan"])
def test_a_missing_drum_ends_in_2_with_one_message(run: Run, command: str, tmp_path: Path) -> None:
    output = {"hear": "a.wav", "layout": "a.svg", "plan": "out"}.get(command)
    more = () if output is None else ("-o", tmp_path / output)
    ran = run(command, tmp_path / "none.toml", *more)
    assert ran.code == 2 and ran.fault is None and ran.out == ""
    assert len(ran.err.strip().splitlines()) == 1
    assert "none.toml: there is no such file" in ran.err and "kerftone new" in ran.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.refusal
def test_with_json_a_mistake_is_one_document_too(run: Run, wren: Path) -> None:
    wren.write_text(wren.read_text().replace("cherry, black", "chery, black"))
    ran = run("modes", wren, "--json")
    error = ran.document["error"]
    assert ran.code == 2
    assert error["kind"] == "DrumFileError" and error["line"] == 5 and error["path"] == str(wren)
    assert error["message"] in ran.err
    assert "cherry, black" in error["nearest"]


@pytest.mark.refusal
def test_with_json_a_wrong_option_is_one_document_too(run: Run, wren: Path) -> None:
    ran = run("modes", wren, "--json", "--cuont", "3")
    assert ran.code == 2
    assert "--cuont" in ran.document["error"]["message"]


def test_numbers_behind_a_mistake_are_finite_and_plain() -> None:
    error = KerftoneError("x", given=math.nan, limit=np.float64(2.5), nearest=(Path("a"), math.inf, "b", 3))
    told = refusal_record(error)
    assert told["given"] is None and told["limit"] == 2.5 and told["nearest"] == ["a", None, "b", 3]
    assert json.dumps(told, allow_nan=False)
    assert refusal_record(DrumFileError("bad", path="d.toml", line=7))["message"] == "d.toml, line 7: bad"


def test_every_remedy_is_a_command_or_an_option_that_there_is(run: Run) -> None:
    """What stands in backquotes or after dashes is looked up in the help."""
    told = declarations()["remedies"]
    assert set(told) == set(Remedy)
    for words in told.values():
        commands = [command.split()[1:] for command in re.findall(r"`([^`]+)`", words)]
        for command in commands:
            assert run(*command, "--help").code == 0, words
        options = re.findall(r"--[a-z]+", words)
        pages = [
            run(*command, "--help").out
            for command in (("new",), ("listen",), ("bench", "tap"), ("board", "tap"))
        ]
        assert all(any(option in page for page in pages) for option in options), words
        assert commands or options, words


def test_a_job_that_was_told_to_stop_ends_in_130_and_says_nothing(
    run: Run, wren: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _broken(monkeypatch, Stopped())
    ran = run("layout", wren, "-o", tmp_path / "a.svg")
    assert (ran.code, ran.out, ran.err) == (130, "", "")


def _broken(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def read(path: object) -> None:
        raise error

    monkeypatch.setattr("kerftone.jobs.draw_layout.read_drum", read)


def test_ctrl_c_ends_in_130_and_says_nothing(
    run: Run, wren: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _broken(monkeypatch, KeyboardInterrupt())
    ran = run("layout", wren, "-o", tmp_path / "a.svg")
    assert (ran.code, ran.out, ran.err) == (130, "", "")


def test_a_fault_of_the_program_is_not_dressed_up_as_a_mistake(
    run: Run, wren: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _broken(monkeypatch, RuntimeError("a fault"))
    ran = run("layout", wren, "-o", tmp_path / "a.svg")
    assert ran.code == 1 and isinstance(ran.fault, RuntimeError)


@pytest.mark.refusal
def test_a_library_the_system_lacks_is_told_with_its_mend(
    run: Run, wren: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reason = "libquadmath.so.0: cannot open shared object file: No such file or directory"
    _broken(monkeypatch, ImportError(reason))
    ran = run("layout", wren, "-o", tmp_path / "a.svg")
    assert ran.code == 2 and reason in ran.err and "apt install libquadmath0" in ran.err
    _broken(monkeypatch, ImportError("no module named wood"))
    assert run("layout", wren, "-o", tmp_path / "a.svg").code == 1


def _start(*args: object) -> subprocess.Popen[str]:
    """The command in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "kerftone", *(str(arg) for arg in args)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler) and None,
    )


@pytest.mark.skipif(os.name != "posix", reason="signals as on POSIX systems")
def test_a_real_ctrl_c_in_the_middle_of_a_solve_ends_in_130(wren: Path) -> None:
    process = _start("modes", wren, "--json")
    assert process.stderr is not None
    first = process.stderr.readline()
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert "Solving" in first
    # Met while the solver's library loads, the signal ends the process by itself: a shell reports 130 then too.
    assert process.returncode in (130, -signal.SIGINT)
    assert out == "" and err == ""


@pytest.mark.skipif(os.name != "posix", reason="pipes as on POSIX systems")
def test_a_reader_that_goes_away_leaves_no_traceback() -> None:
    process = _start("--help")
    assert process.stdout is not None and process.stderr is not None
    process.stdout.close()
    err = process.stderr.read()
    process.wait(timeout=60)
    assert process.returncode == 1 and err == ""
