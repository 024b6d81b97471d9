"""The file stays the truth: undo without limit and across restarts, nothing outside overwritten, nothing lost."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from kerftone.app.open_drum import OpenDrum
from kerftone.app.text_history import FILE
from kerftone.drum.edit import Change
from kerftone.drum.file import read_drum
from kerftone.errors import DrumFileError, KerftoneError

from ..drums import WREN


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "drum.toml"
    path.write_text(WREN, "utf-8")
    return path


def opened(file: Path) -> OpenDrum:
    return OpenDrum(file, "Wren")


def set_length(drum: OpenDrum, mm: float) -> None:
    drum.change([Change(at=("tongues", 0, "length"), value=mm)], f"length {mm}")


def length(drum: OpenDrum) -> float | None:
    assert drum.drum is not None
    return drum.drum.tongues[0].length_mm


def test_a_change_comes_into_the_file_by_itself_and_comments_stay(file: Path) -> None:
    drum = opened(file)
    set_length(drum, 141.5)
    assert read_drum(file).tongues[0].length_mm == 140.0
    deadline = time.monotonic() + 5.0
    while read_drum(file).tongues[0].length_mm != 141.5 and time.monotonic() < deadline:
        time.sleep(0.02)
    assert file.read_text() == WREN.replace("length = 140.0", "length = 141.5")


def test_many_changes_in_a_row_are_one_write(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    writes = []
    monkeypatch.setattr("kerftone.app.open_drum.atomic_write", lambda path, data: writes.append(data))
    monkeypatch.setattr("kerftone.app.open_drum.SETTLE_S", 60.0)  # however slow this machine is
    drum = opened(file)
    for step in range(30):
        set_length(drum, 140.0 + step / 10)
    drum.flush()
    assert len(writes) == 1 and b"142.9" in writes[0]


def test_undo_and_redo_go_all_the_way_also_after_a_restart(file: Path) -> None:
    drum = opened(file)
    for step in range(1, 121):
        set_length(drum, 140.0 + step / 100)
    drum.close()
    again = opened(file)
    assert again.history.undo_words() == "length 141.2"
    for _ in range(120):
        assert again.step(-1)
    assert not again.step(-1)
    again.flush()
    assert file.read_text() == WREN
    assert length(again) == 140.0
    for _ in range(120):
        assert again.step(1)
    assert not again.step(1)
    assert length(again) == 141.2


def test_a_change_after_an_undo_takes_the_place_of_what_was_undone(file: Path) -> None:
    drum = opened(file)
    set_length(drum, 141.0)
    set_length(drum, 142.0)
    drum.step(-1)
    set_length(drum, 150.0)
    assert drum.history.redo_words() is None
    drum.step(-1)
    assert length(drum) == 141.0


def test_a_change_outside_is_taken_in_as_a_step_and_never_overwritten(file: Path) -> None:
    drum = opened(file)
    set_length(drum, 141.0)  # not in the file yet
    theirs = WREN.replace('"Wren"', '"Theirs"')
    file.write_text(theirs)
    drum.flush()
    assert file.read_text() == theirs
    assert drum.drum is not None and drum.drum.name == "Theirs"
    drum.step(-1)
    assert length(drum) == 141.0
    drum.close()
    assert "141.0" in file.read_text()


def test_a_change_outside_in_the_moment_after_ours_was_written_is_not_missed(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drum = opened(file)
    theirs = WREN.replace('"Wren"', '"Theirs"')

    def written_and_changed(path: Path, data: bytes) -> None:
        path.write_bytes(data)
        path.write_text(theirs)

    monkeypatch.setattr("kerftone.app.open_drum.atomic_write", written_and_changed)
    set_length(drum, 141.0)
    drum.flush()
    drum.look()
    assert drum.drum is not None and drum.drum.name == "Theirs"


def test_a_file_spoilt_outside_is_shown_as_such_and_undone(file: Path) -> None:
    drum = opened(file)
    file.write_text(WREN.replace("length = 140.0", "length = oak"))
    drum.look()
    assert drum.drum is None and drum.broken is not None and drum.broken.line is not None
    with pytest.raises(DrumFileError):
        set_length(drum, 141.0)
    drum.step(-1)
    drum.flush()
    assert file.read_text() == WREN and drum.broken is None


@pytest.mark.parametrize("how", ["before it is written", "after"])
def test_what_was_acknowledged_survives_a_program_that_is_killed(file: Path, how: str) -> None:
    drum = opened(file)
    set_length(drum, 141.0)
    if how == "after":
        drum.flush()
    drum._cancel()  # the process ends here: no timer fires, nothing is closed
    again = opened(file)
    assert length(again) == 141.0
    assert read_drum(file).tongues[0].length_mm == 141.0


def test_a_change_made_while_the_program_was_not_running_is_kept(file: Path) -> None:
    first = opened(file)
    set_length(first, 141.0)
    first.close()
    file.write_text(WREN.replace("length = 140.0", "length = 149.0"))
    drum = opened(file)
    assert length(drum) == 149.0
    drum.step(-1)
    assert length(drum) == 141.0


@pytest.mark.refusal
def test_a_value_out_of_bounds_is_refused_and_nothing_is_changed(file: Path) -> None:
    drum = opened(file)
    with pytest.raises(KerftoneError, match="nearest that works is 60 mm") as caught:
        drum.change([Change(at=("top", "thickness"), value=600.0)], "thickness")
    assert caught.value.nearest == 60.0
    assert drum.revision == 1 and drum.history.undo_words() is None


def test_a_spoilt_history_is_put_aside_and_begun_anew(file: Path) -> None:
    (file.parent / FILE).write_bytes(b"not a database at all" * 100)
    drum = opened(file)
    set_length(drum, 141.0)
    assert drum.step(-1)
