"""What is printed: readable at 80 columns and in a pipe, JSON that is JSON, no control characters."""

from __future__ import annotations

import io
import json
import math
import sys

import pytest

from kerftone.cli.screen import beside, cells, emit, needle, printable, say, show, show_table

COLUMNS = cells("Place", ">Cents\noff", "Shared\nwith")


def test_results_and_words_go_their_own_ways(capsys: pytest.CaptureFixture[str]) -> None:
    say("a word")
    show("a result")
    assert capsys.readouterr() == ("a result\n", "a word\n")


def test_control_characters_do_not_reach_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    show("Brook\x1b[31m\x07\u202e ±")
    show_table(COLUMNS, [("L1\x1b[2J", "1", "")])
    out = capsys.readouterr().out
    assert "\x1b" not in out and "\x07" not in out and "\u202e" not in out and "±" in out
    assert printable("two\nlines") == "two\nlines"


def test_a_table_fits_80_columns_and_a_pipe(capsys: pytest.CaptureFixture[str]) -> None:
    show_table(COLUMNS, [("L1", "+1.5", " ".join(f"R{n}" for n in range(1, 60))), ("[bold]R1", "-30.0", "")])
    out = capsys.readouterr().out
    lines = out.splitlines()
    assert max(map(len, lines)) <= 80 and "\x1b" not in out
    assert not any(line.endswith(" ") for line in lines)
    assert "[bold]R1" in out, "brackets are the maker's own, not marks of a style"
    assert all(f"R{n}" in out for n in range(1, 60)), "long cells go on in the next line, nothing is cut"
    assert lines[2].index("+1.5") + 4 == lines[-1].index("-30.0") + 5, "numbers end below one another"


def test_long_words_are_wrapped_unless_they_are_to_be_copied(capsys: pytest.CaptureFixture[str]) -> None:
    say("word " * 40)
    show("word " * 40, "  one line")
    out, err = capsys.readouterr()
    assert max(map(len, (out + err).splitlines())) < 80 and out.splitlines()[-1] == "  one line"
    show("/a folder" * 20, wrap=False)
    show()
    assert capsys.readouterr().out == "/a folder" * 20 + "\n", "nothing shown is no empty line either"


def test_words_beside_a_name_keep_their_column() -> None:
    lines = beside("--folder", "word " * 30, 20).splitlines()
    assert lines[0].startswith("  --folder          word") and max(map(len, lines)) < 80
    assert all(line.startswith(" " * 20 + "word") for line in lines[1:])
    assert beside("x" * 30, "word", 20).splitlines() == ["  " + "x" * 30, " " * 20 + "word"]


@pytest.mark.parametrize(
    ("off", "drawn"),
    [
        (-0.4, "[----------|----------]"),
        (12.0, "[----------:-|--------]"),
        (-50.0, "[|---------:----------]"),
        (-51.0, "<----------:----------]"),
        (120.0, "[----------:---------->"),
    ],
)
def test_a_needle_shows_how_far_off_and_which_way(off: float, drawn: str) -> None:
    assert needle(off, half=10) == drawn


def test_an_old_terminal_gets_a_mark_in_place_of_a_sign_it_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding="ascii"))
    show("± one")
    show_table({"±": str}, ["é"])
    sys.stdout.flush()
    assert raw.getvalue().decode("ascii").split("\n")[0] == "? one"


def test_json_is_one_finite_plain_document(capsys: pytest.CaptureFixture[str]) -> None:
    emit({"name": "Brøok", "hz": [1.5, None]})
    out = capsys.readouterr().out
    assert json.loads(out) == {"name": "Brøok", "hz": [1.5, None]} and out.isascii() and out.endswith("}\n")
    with pytest.raises(ValueError, match="not JSON compliant"):
        emit({"hz": math.nan})
    assert capsys.readouterr().out == "", "nothing half"
