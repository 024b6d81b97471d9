"""Lengths go back into the file; nothing else in it changes."""

from __future__ import annotations

import difflib
import os
from dataclasses import replace
from pathlib import Path

import pytest

from kerftone.drum import Drum, parse_drum, read_drum, save_lengths
from kerftone.drum.design import Side
from kerftone.errors import DrumFileError, WriteError

OPEN = """\
# my first drum
name = "Brook"   # after the dog
units = "mm"
[top]
wood = "cherry, black"
length = 420   # planed by hand
width = 190
thickness = 16
[slots]
kerf = 3
end_margin = 32
side_margin = 26

# low ones first
[[tongues]]
note = "D3"  # the low one

# then this
[[tongues]]
    note = "F3"
    row = 2
    side = "left"
    length = 151.5   # was 150

[[tongues]]
note = "A3"
[box]
wood = "ash, white"
wall = 12
height = 95
"""


def placed(drum: Drum, *places: tuple[int, Side, float]) -> Drum:
    return replace(
        drum,
        tongues=tuple(
            replace(tongue, row=row, side=side, length_mm=mm)
            for tongue, (row, side, mm) in zip(drum.tongues, places, strict=True)
        ),
    )


def changes(before: str, after: str) -> list[str]:
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[0] in "+-"]


@pytest.mark.roundtrip
def test_lengths_and_places_go_in_and_everything_else_stays(tmp_path: Path) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(OPEN)
    drum = placed(read_drum(path), (1, "left", 160.12345), (2, "right", 140.0), (2, "left", 99.996))
    saved = save_lengths(path, drum)
    assert [t.length_mm for t in saved.tongues] == [160.12, 140.0, 100.0]
    assert read_drum(path) == saved
    assert sorted(changes(OPEN, path.read_text())) == sorted(
        [
            "+ row = 1",
            '+ side = "left"',
            "+ length = 160.12",
            '-     side = "left"',
            "-     length = 151.5   # was 150",
            '+     side = "right"',
            "+     length = 140.0   # was 150",
            "+ row = 2",
            '+ side = "left"',
            "+ length = 100.0",
        ]
    )
    text = path.read_text()
    assert 'note = "D3"  # the low one\nrow = 1\nside = "left"\nlength = 160.12\n\n# then this' in text


@pytest.mark.roundtrip
def test_a_second_save_of_the_same_lengths_changes_no_byte(tmp_path: Path, w4: str) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(w4)
    saved = save_lengths(path, read_drum(path))
    first = path.read_bytes()
    assert save_lengths(path, saved) == saved
    assert path.read_bytes() == first


@pytest.mark.roundtrip
def test_a_file_in_inches_stays_in_inches(tmp_path: Path) -> None:
    path = tmp_path / "drum.toml"
    text = OPEN.replace('"mm"', '"in"').replace("420", "16.5").replace("190", '"7 1/2"')
    text = text.replace("= 16\n", '= "5/8"\n').replace("= 3\n", '= "1/8"\n').replace("= 32", "= 1.25")
    text = (
        text.replace("= 26", "= 1").replace("151.5", '"5 7/8"').replace("= 12", "= 0.5").replace("95", "3.75")
    )
    path.write_text(text)
    drum = placed(read_drum(path), (1, "left", 160.0), (2, "left", 150.0), (2, "right", 120.0))
    saved = save_lengths(path, drum)
    assert 'length = "6 5/16 (6.299)"\n' in path.read_text()  # 160 / 25.4 = 6.2992
    assert 'length = "5 29/32"   # was 150\n' in path.read_text()  # 150 / 25.4 = 5.9055, 29/32 = 0.90625
    assert 'width = "7 1/2"' in path.read_text()
    assert saved.tongues[0].length_mm == pytest.approx(160.0, abs=0.0127)


@pytest.mark.roundtrip
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_a_file_with_its_tongues_in_one_list_and_any_line_ends_is_kept(tmp_path: Path, ending: str) -> None:
    head, rest = OPEN.split("\n# low ones first\n")
    body = 'tongues = [ { note = "D3" }, {note="F3", row=2, side="left"},\n'
    body += '  { note = "A3", length = 9e1 } ] # all\n'
    text = (head.replace("[top]", body + "[top]") + rest[rest.index("[box]") :]).replace("\n", ending)
    path = tmp_path / "drum.toml"
    path.write_bytes(text.encode())
    drum = placed(read_drum(path), (1, "left", 160.0), (2, "left", 150.0), (1, "right", 120.0))
    save_lengths(path, drum)
    after = path.read_bytes().decode()
    assert '{ note = "D3", row = 1, side = "left", length = 160.0 }' in after
    assert '{note="F3", row=2, side="left", length = 150.0}' in after
    assert read_drum(path).tongues == drum.tongues
    assert after.count("\n") == text.count("\n") and after.count("\r") == text.count("\r")


@pytest.mark.roundtrip
def test_a_file_without_a_line_end_at_its_end_takes_new_lines(tmp_path: Path) -> None:
    box = OPEN[OPEN.index("[box]") :]
    text = (OPEN.replace(box, "").replace("[top]", box + "[top]")).rstrip()
    path = tmp_path / "drum.toml"
    path.write_text(text)
    drum = placed(read_drum(path), (1, "left", 160.0), (2, "left", 150.0), (1, "right", 120.0))
    save_lengths(path, drum)
    assert path.read_text().endswith('note = "A3"\nrow = 1\nside = "right"\nlength = 120.0')


def test_lengths_written_to_another_file_leave_the_drums_own_as_it_is(tmp_path: Path) -> None:
    path, beside = tmp_path / "drum.toml", tmp_path / "best.toml"
    path.write_text(OPEN)
    drum = placed(read_drum(path), (1, "left", 160.0), (2, "left", 150.0), (1, "right", 120.0))
    saved = save_lengths(path, drum, to=beside)
    assert path.read_text() == OPEN
    assert read_drum(beside) == saved and saved.tongues == drum.tongues
    assert '# my first drum\nname = "Brook"   # after the dog' in beside.read_text()


@pytest.mark.refusal
def test_what_is_refused_is_not_written_to_another_file_either(tmp_path: Path) -> None:
    path, beside = tmp_path / "drum.toml", tmp_path / "best.toml"
    path.write_text(OPEN)
    drum = placed(read_drum(path), (1, "left", 160.0), (1, "left", 150.0), (1, "right", 120.0))
    with pytest.raises(DrumFileError):
        save_lengths(path, drum, to=beside)
    assert path.read_text() == OPEN and not beside.exists()


@pytest.mark.refusal
def test_a_file_whose_notes_were_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(OPEN)
    drum = placed(read_drum(path), (1, "left", 160.0), (2, "left", 150.0), (1, "right", 120.0))
    path.write_text(OPEN.replace("A3", "G3"))
    with pytest.raises(DrumFileError, match="run the command again"):
        save_lengths(path, drum)
    assert path.read_text() == OPEN.replace("A3", "G3")


@pytest.mark.refusal
def test_lengths_that_would_make_the_file_wrong_are_not_written(tmp_path: Path) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(OPEN)
    drum = placed(read_drum(path), (1, "left", 160.0), (1, "left", 150.0), (1, "right", 120.0))
    with pytest.raises(DrumFileError, match="already is"):
        save_lengths(path, drum)
    assert path.read_text() == OPEN


def test_a_crash_while_saving_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "drum.toml"
    path.write_text(OPEN)
    drum = placed(parse_drum(OPEN), (1, "left", 160.0), (2, "left", 150.0), (1, "right", 120.0))

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(WriteError, match="No space left"):
        save_lengths(path, drum)
    assert path.read_text() == OPEN
    assert [path.name for path in tmp_path.iterdir()] == ["drum.toml"]
