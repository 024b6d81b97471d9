"""What the solving process does with plain values: which model answers, and what it holds. The models are stubbed."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from kerftone.app import tasks
from kerftone.drum.file import parse_drum
from kerftone.errors import NeedsFitError
from kerftone.jobs.progress import Progress
from kerftone.units import written_length

from ..drums import WREN

WISHES = {"key": "Wren", "text": WREN, "path": "/nowhere/drum.toml"}


def asked(text: str = WREN) -> Any:
    """What the solving process is asked while a tip is dragged."""
    return {"key": "Wren", "drum": parse_drum(text, WISHES["path"])}


def model(drum: Any, by: str) -> Any:
    """Stands for a model: says who it is."""
    return SimpleNamespace(drum=drum, document=lambda: {"by": by})


@pytest.fixture(autouse=True)
def stubbed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasks, "_held", type(tasks._held)())
    made = SimpleNamespace(document=lambda: {"by": "tables", "slopes": [[1.0]]})
    monkeypatch.setattr(tasks, "sound_of", lambda live, drum, slopes=False: made)
    monkeypatch.setattr(tasks, "serves", lambda live, drum: len(drum.tongues) == len(live.drum.tongues))
    monkeypatch.setattr(tasks, "look_at_drum", lambda request, progress: model(request.drum, "full solve"))


def test_without_a_model_nothing_is_said() -> None:
    assert tasks.sound(asked()) is None


def test_the_very_drum_that_was_solved_has_the_full_solves_word_and_another_the_tables() -> None:
    assert tasks.look(dict(WISHES), Progress())["by"] == "full solve"
    assert tasks.sound(asked()) == {"by": "full solve"}
    said = tasks.sound(asked(WREN.replace("length = 140.0", "length = 139.0")))
    assert said is not None and said["by"] == "tables"


def test_a_drum_that_the_tables_do_not_serve_or_without_lengths_gets_no_answer() -> None:
    tasks.look(dict(WISHES), Progress())
    more = WREN.replace("[box]", '[[tongues]]\nnote = "F4"\nrow = 2\nside = "left"\nlength = 100.0\n[box]')
    assert tasks.sound(asked(more)) is None
    assert tasks.sound(asked(WREN.replace("length = 140.0", ""))) is None


def test_the_models_of_the_latest_drums_are_held_and_no_more() -> None:
    for number in range(tasks.MOST_HELD + 2):
        tasks.look(WISHES | {"key": str(number)}, Progress())
    assert list(tasks._held) == ["2", "3", "4"]


def test_a_drum_on_its_feet_is_solved_once_for_all_that_is_struck_there(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stood: list[str] = []

    def stand(live: Any, on: str, progress: Progress) -> Any:
        stood.append(on)
        return model(live.drum, f"on {on}")

    monkeypatch.setattr(tasks, "standing_on", stand)
    named = [
        tasks._standing(WISHES | {"on": on}, Progress()).document()["by"]
        for on in ("nothing", "lap", "lap", "feet")
    ]
    assert named == ["full solve", "on lap", "on lap", "on feet"] and stood == ["lap", "feet"]
    again = WISHES | {"on": "lap", "text": WREN.replace("length = 140.0", "length = 139.0")}
    tasks._standing(again, Progress())
    assert stood == ["lap", "feet", "lap"], "another drum is solved anew"


def test_found_lengths_are_held_as_the_file_will_state_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the drum read back would not be the one that was solved, and would be solved again for its sound."""
    from kerftone.jobs import suggest_lengths as module
    from kerftone.jobs.live_pitch import LiveModel

    found = parse_drum(WREN).with_lengths((141.23456, 105.98765))
    live = LiveModel(
        drum=found,
        prediction=SimpleNamespace(tongues=()),
        tables=None,
        shift_cents=(),  # type: ignore[arg-type]
    )
    monkeypatch.setattr(LiveModel, "document", lambda live: {})
    monkeypatch.setattr(
        module,
        "suggest_lengths",
        lambda request, progress: SimpleNamespace(live=live, document=dict, works_with=None),
    )
    tasks.lengths(dict(WISHES), Progress())
    held = tasks._held["Wren"].drum
    written = WREN.replace("140.0", str(written_length(141.23456, "mm"))).replace(
        "105.0", str(written_length(105.98765, "mm"))
    )
    assert held == parse_drum(written, WISHES["path"])
    assert held != replace(held, tongues=found.tongues)


@pytest.mark.refusal
def test_a_refusal_carries_what_works_as_changes_and_its_own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    from kerftone.jobs import suggest_lengths as module
    from kerftone.tune.reach import OutOfReach

    def refuse(request: Any, progress: Any) -> Any:
        error = OutOfReach("Too short.", "It works with a top 400 mm long.", short_mm=80.0)
        error.works_with = replace(request.drum, top=replace(request.drum.top, length_mm=400.0))
        raise error

    monkeypatch.setattr(module, "suggest_lengths", refuse)
    with pytest.raises(tasks.Offering, match="It works with a top 400 mm long") as caught:
        tasks.lengths(dict(WISHES), Progress())
    assert caught.value.offer == [{"do": "set", "at": ["top", "length"], "mm": 400.0}]


@pytest.mark.refusal
def test_papers_of_a_drum_without_lengths_are_refused() -> None:
    with pytest.raises(NeedsFitError, match="have the lengths found first"):
        tasks.papers(WISHES | {"text": WREN.replace("length = 140.0", ""), "papers": "pdf"}, Progress())
