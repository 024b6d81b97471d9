"""`kerftone fit`, from file to file. Where only words are tested, the fit is stood in for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum, read_drum
from kerftone.jobs.find_lengths import fit_record, fit_words
from kerftone.tune import mend
from kerftone.tune.mend import Mend
from kerftone.tune.reach import OutOfReach

from ..drums import REED, WREN

Run = Callable[..., Any]


@pytest.mark.slow
def test_lengths_go_into_the_file_and_sound_the_aim(run: Run, unfitted: Path) -> None:
    before = unfitted.read_text()
    ran = run("fit", unfitted.parent, "--json")
    assert (ran.code, ran.fault) == (0, None)
    found = ran.document
    lengths = [tongue.length_mm for tongue in read_drum(unfitted).tongues]
    assert lengths == [tongue["length_mm"] for tongue in found["tongues"]]
    assert all(abs(tongue["cents_from_target"] + 30.0) <= 1.0 for tongue in found["tongues"])
    assert found["fit"]["full_solves"] <= 3 and found["written"] == [str(unfitted)]
    assert all(abs(cents) <= 1.0 for cents in found["fit"]["off_cents"])
    kept = [line for line in unfitted.read_text().splitlines() if not line.startswith("length = 1")]
    assert kept == before.splitlines(), "comments and all else as they were"
    check = run("modes", unfitted, "--json").document
    for fitted, solved in zip(found["tongues"], check["tongues"], strict=True):
        assert solved["cents_from_target"] == pytest.approx(fitted["cents_from_target"], abs=0.5)


@pytest.fixture
def refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """The notes cannot be had; the best lengths found are 141.25 and 104.5 mm."""

    def fit_or_mend(drum: Drum, progress: Any, look: object = None) -> None:
        raise OutOfReach("It cannot be.", found=drum.with_lengths((141.25, 104.5)), given=3.0, limit=1.0)

    monkeypatch.setattr(mend, "fit_or_mend", fit_or_mend)


@pytest.mark.refusal
def test_on_a_refusal_the_best_lengths_found_are_written_beside_the_file(
    run: Run, unfitted: Path, refused: None
) -> None:
    before = unfitted.read_bytes()
    ran = run("fit", unfitted)
    beside = unfitted.with_name("drum.best-found.toml")
    assert ran.code == 2 and ran.fault is None and ran.out == ""
    assert f"It cannot be. {unfitted} is left as it is; the best lengths found are in {beside}." in ran.err
    assert unfitted.read_bytes() == before
    best = read_drum(beside)
    assert [tongue.length_mm for tongue in best.tongues] == [141.25, 104.5]
    assert "# the low one" in beside.read_text(), "the maker's own words are kept in it"
    assert sorted(path.name for path in unfitted.parent.iterdir()) == ["drum.best-found.toml", "drum.toml"]


@pytest.mark.refusal
def test_with_json_a_refusal_says_its_numbers_too(run: Run, unfitted: Path, refused: None) -> None:
    error = run("fit", unfitted, "--json").document["error"]
    assert error["kind"] == "OutOfReach" and (error["given"], error["limit"]) == (3.0, 1.0)
    assert "drum.best-found.toml" in error["message"]


@pytest.mark.refusal
def test_a_second_refusal_replaces_the_best_found_before(run: Run, unfitted: Path, refused: None) -> None:
    beside = unfitted.with_name("drum.best-found.toml")
    beside.write_text("old")
    assert run("fit", unfitted).code == 2
    assert read_drum(beside).tongues[0].length_mm == 141.25


def test_plan_keeps_what_was_found_as_fit_does(
    run: Run, unfitted: Path, tmp_path: Path, refused: None
) -> None:
    before = unfitted.read_bytes()
    ran = run("plan", unfitted, "-o", tmp_path / "out")
    assert ran.code == 2 and "the best lengths found are in" in ran.err
    assert unfitted.read_bytes() == before and unfitted.with_name("drum.best-found.toml").is_file()


def test_stopped_by_hand_the_file_is_as_it_was(
    run: Run, unfitted: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(drum: Drum, progress: Any, look: object = None) -> None:
        progress("Confirming with a solve of the whole drum (60 % done).")
        raise KeyboardInterrupt

    monkeypatch.setattr(mend, "fit_or_mend", stopped)
    before = unfitted.read_bytes()
    ran = run("fit", unfitted)
    assert ran.code == 130 and ran.out == "" and "60 % done" in ran.err
    assert unfitted.read_bytes() == before
    assert [path.name for path in unfitted.parent.iterdir()] == ["drum.toml"]


@pytest.mark.refusal
def test_notes_that_do_not_fit_leave_the_file_alone(
    run: Run, unfitted: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing stood in for but the search for a change that would help."""
    monkeypatch.setattr(mend, "mended", lambda drum, **options: None)
    unfitted.write_text(unfitted.read_text().replace("length = 320.0", "length = 240.0"))
    before = unfitted.read_bytes()
    ran = run("fit", unfitted)
    assert ran.code == 2 and ran.fault is None and ran.out == ""
    assert "Row 1 cannot hold its notes" in ran.err and "long" in ran.err and "thick" in ran.err
    assert unfitted.read_bytes() == before
    best = read_drum(unfitted.with_name("drum.best-found.toml"))
    assert sum(tongue.length_mm or 0.0 for tongue in best.tongues) > 185.0, "they are longer than the row"


@dataclass(frozen=True)
class Heard:
    number: int
    clarity: float


@dataclass(frozen=True)
class Found:
    """What the words are made from, without a solve behind it."""

    drum: Drum
    off_cents: tuple[float, ...] = (0.2, -0.4)
    notes: tuple[Heard, ...] = (Heard(0, 0.97), Heard(1, 0.99))
    full_solves: int = 2
    clarity_reached: float = 0.97
    clarity_worst: float | None = 0.55
    clarity_best: float | None = 0.98
    sure: float | None = 0.875
    tried: tuple[int, ...] = (1, 2, 3)
    kept: Any = field(default_factory=lambda: SimpleNamespace(safe=0.5))


@pytest.fixture
def found() -> Found:
    return Found(drum=parse_drum(WREN))


def test_clear_notes_are_compared_with_other_arrangements(found: Any) -> None:
    words = fit_words(found, None)
    assert words == [
        "Every note comes out clear: 0.97 at the least. The notes were tried in 3 orders: the least clear note has "
        "from 0.55 to 0.98. Every note can be tuned clear so on 88 of 100 boards such as yours may be."
    ]
    (same,) = fit_words(replace(found, clarity_worst=0.98), None)
    assert "orders" not in same, "where none is clearer nothing is compared"


def test_where_the_box_breathes_on_a_note_on_many_boards_it_is_said_with_what_helps(found: Any) -> None:
    closed = replace(found, drum=parse_drum(REED))
    words = fit_words(closed, None)[-1]
    assert "on 50 of 100 boards" in words and "height of the walls helps most" in words
    assert fit_record(closed)["off_breathing_share"] == 0.5
    assert len(fit_words(replace(closed, kept=SimpleNamespace(safe=0.95)), None)) == 1


def test_an_arrangement_that_cannot_be_tuned_is_called_that(found: Any) -> None:
    (words,) = fit_words(replace(found, clarity_worst=0.0, sure=None), None)
    assert "in the worst they cannot be brought in tune at all" in words and "boards" not in words


def test_places_that_were_the_makers_are_said_to_be_kept(found: Any) -> None:
    (words,) = fit_words(replace(found, clarity_worst=None, clarity_best=None, sure=None), None)
    assert words.endswith("The places of the tongues were yours and are kept.")


def test_a_note_that_is_not_clear_is_named_with_the_change_that_was_tried(found: Any) -> None:
    murky = replace(found, notes=(Heard(0, 0.97), Heard(1, 0.62)), clarity_reached=0.62, sure=None)
    change = Mend(words="a top 340 mm long", drum=found.drum, least_clarity=0.95)
    words = fit_words(murky, change)
    assert words[0] == "Bb4 does not come out clear: 0.62 of what is heard is its note."
    assert words[1] == "Tried on the model, every note is clear with a top 340 mm long."
    assert len(words) == 3 and "0.62" in words[2]
    assert not any("Tried" in line for line in fit_words(murky, None)), (
        "nothing is offered that was not tried"
    )


def test_what_is_off_is_said_with_its_note(found: Any) -> None:
    words = fit_words(replace(found, off_cents=(0.9, -2.34)), None)
    assert words[0].startswith("Bb4 is still -2.3 cents off its aim")
    assert len(fit_words(replace(found, off_cents=(0.9, -1.0)), None)) == 1


def test_the_record_for_scripts_holds_numbers_or_nothing(found: Any) -> None:
    assert fit_record(found) == {
        "full_solves": 2,
        "off_cents": [0.2, -0.4],
        "clarity_reached": 0.97,
        "clarity_worst": 0.55,
        "clarity_best": 0.98,
        "clear_boards_share": 0.875,
        "off_breathing_share": None,
        "works_with": None,
    }
    bare = fit_record(
        replace(found, clarity_worst=None, clarity_best=None, sure=None),
        Mend(words="a top 340 mm long", drum=found.drum, least_clarity=0.95),
    )
    assert bare["clarity_worst"] is bare["clarity_best"] is bare["clear_boards_share"] is None
    assert bare["works_with"] == "a top 340 mm long"
