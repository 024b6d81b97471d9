"""`kerftone modes`, from file to answer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ..drums import REED
from .stubs import stubbed  # noqa: F401 - a fixture

Run = Callable[..., Any]


def test_with_json_there_is_one_document_on_stdout_and_words_on_stderr(run: Run, answered: Path) -> None:
    before = answered.read_text()
    ran = run("modes", answered.parent, "--count", "6", "--json")
    assert (ran.code, ran.fault) == (0, None)
    whole = ran.document
    assert set(whole) == {"warnings", "tongues", "modes_hz", "air", "model"}
    assert len(whole["modes_hz"]) == 6
    assert whole["model"]["unknowns"] > 1000 and whole["model"]["seconds"] > 0.0
    assert "Solving" in ran.err
    assert answered.read_text() == before, "asking changes nothing"


@pytest.mark.outside
def test_letting_the_drum_loose_raises_its_low_notes(run: Run, wren: Path) -> None:
    """A light box that is let loose gives way: both ends of the spring move, so the pitch goes up."""
    ran = run("modes", wren, "--stands", "free", "--json")
    whole = ran.document
    assert whole["stands"] == {"asked": "free", "file": "held"}
    shifts = [tongue["shift_cents"] for tongue in whole["tongues"]]
    assert all(5.0 < shift < 300.0 for shift in shifts), shifts


def test_a_drum_asked_to_stand_as_it_does_shows_no_shift(run: Run, answered: Path) -> None:
    ran = run("modes", answered, "--stands", "held")
    assert ran.code == 0
    assert "instead of" not in ran.out and "held still below" in ran.out
    assert "Solving" not in ran.err, "the answer is kept, and no other is needed"


@pytest.mark.refusal
def test_a_drum_without_lengths_is_sent_to_fit(run: Run, unfitted: Path) -> None:
    ran = run("modes", unfitted, "--json")
    assert ran.code == 2 and "kerftone fit" in ran.document["error"]["message"]
    assert ran.document["error"]["kind"] == "NeedsFitError"


@pytest.mark.usefixtures("stubbed")
def test_with_the_bottom_off_it_says_what_to_tune_to(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "drum.toml"
    file.write_text(REED)
    ran = run("modes", file, "--bottom", "off")
    assert (ran.code, ran.fault) == (0, None)
    assert "With the box open below, tune each tongue to the last column" in " ".join(ran.out.split())
    assert "Tune to" in ran.out
    assert "Tune to" not in run("modes", file).out


@pytest.mark.refusal
@pytest.mark.parametrize("on", ["feet", "table", "lap"])
def test_what_the_drum_is_on_is_not_passed_over_in_vacuo(run: Run, wren: Path, on: str) -> None:
    for command in (("modes", wren), ("hear", wren, "-o", wren.with_name("a.wav"))):
        ran = run(*command, "--in-vacuo", "--on", on)
        assert ran.code == 2 and f"Asked for are no air, and on {on}." in ran.err
