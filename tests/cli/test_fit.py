"""`kerftone fit`, from file to file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kerftone.drum.file import read_drum

Run = Callable[..., Any]


def test_lengths_go_into_the_file_and_sound_the_aim(run: Run, unfitted: Path) -> None:
    before = unfitted.read_text()
    ran = run("fit", unfitted.parent, "--json")
    assert (ran.code, ran.fault) == (0, None)
    found = ran.document
    lengths = [tongue.length_mm for tongue in read_drum(unfitted).tongues]
    assert lengths == [tongue["length_mm"] for tongue in found["tongues"]]
    assert all(abs(tongue["cents_from_target"] + 30.0) <= 1.0 for tongue in found["tongues"])
    assert found["fit"]["full_solves"] <= 3 and found["written"] == [str(unfitted)]
    kept = [line for line in unfitted.read_text().splitlines() if not line.startswith("length = 1")]
    assert kept == before.splitlines(), "comments and all else as they were"
    check = run("modes", unfitted, "--json").document
    for fitted, solved in zip(found["tongues"], check["tongues"], strict=True):
        assert solved["cents_from_target"] == pytest.approx(fitted["cents_from_target"], abs=0.5)


@pytest.mark.refusal
def test_notes_that_do_not_fit_leave_the_file_alone(run: Run, unfitted: Path) -> None:
    unfitted.write_text(unfitted.read_text().replace("length = 320.0", "length = 240.0"))
    before = unfitted.read_bytes()
    ran = run("fit", unfitted)
    assert ran.code == 2 and ran.fault is None and ran.out == ""
    assert "Row 1 cannot hold its notes" in ran.err and "long" in ran.err and "thick" in ran.err
    assert unfitted.read_bytes() == before
