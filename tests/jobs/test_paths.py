"""Where a job reads and where it may write."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from kerftone.errors import WriteError
from kerftone.jobs.paths import (
    check_folder,
    check_target,
    drum_path,
    make_folder,
    new_drum_path,
    write_results,
)


def test_a_folder_with_a_drum_in_it_means_the_drum(tmp_path: Path) -> None:
    assert drum_path(tmp_path) == tmp_path, "no drum.toml inside: the reader then says so"
    (tmp_path / "drum.toml").write_text("x")
    assert drum_path(tmp_path) == tmp_path / "drum.toml"
    assert drum_path(tmp_path / "drum.toml") == tmp_path / "drum.toml"
    assert drum_path(tmp_path / "none") == tmp_path / "none"


def test_a_new_drum_goes_into_a_folder_or_is_the_file_that_was_named(tmp_path: Path) -> None:
    assert new_drum_path(tmp_path / "finch") == tmp_path / "finch" / "drum.toml"
    assert new_drum_path(tmp_path / "finch.TOML") == tmp_path / "finch.TOML"
    (tmp_path / "odd.toml").mkdir()
    assert new_drum_path(tmp_path / "odd.toml") == tmp_path / "odd.toml" / "drum.toml"


def test_a_good_target_passes_whether_it_exists_or_not(tmp_path: Path) -> None:
    target = tmp_path / "a.svg"
    check_target(target, ending=".svg", drum=tmp_path / "drum.toml")
    assert list(tmp_path.iterdir()) == [], "checking makes nothing"
    target.write_text("old")
    check_target(target, ending=".svg", drum=tmp_path / "drum.toml")
    assert target.read_text() == "old", "and touches nothing"
    check_target(tmp_path / "b.SVG", ending=".svg", drum=tmp_path / "drum.toml")
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.refusal
@pytest.mark.parametrize(
    "name, words",
    [
        ("a.mp3", ["does not end in .svg", "a.svg"]),
        ("a", ["does not end in .svg", "a.svg"]),
        ("none/a.svg", ["no folder", "name it a.svg"]),
        ("folder.svg", ["is a folder", "folder.svg/drum.svg"]),
        ("pipe.svg", ["not a plain file"]),
        ("drum.svg", ["the drum file itself"]),
    ],
)
def test_a_target_that_cannot_be_is_refused_with_one_that_can(
    tmp_path: Path, name: str, words: list[str]
) -> None:
    (tmp_path / "folder.svg").mkdir()
    os.mkfifo(tmp_path / "pipe.svg")
    with pytest.raises(WriteError) as caught:
        check_target(tmp_path / name, ending=".svg", drum=tmp_path / "drum.svg")
    assert [word for word in words if word not in str(caught.value)] == [], caught.value


@pytest.mark.refusal
def test_a_folder_that_is_closed_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tmp_path.chmod(0o500)
    if os.geteuid() == 0:  # root may write anywhere, so that the system's answer is stood in for
        monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(WriteError, match="closed to you"):
        check_target(tmp_path / "a.svg", ending=".svg", drum=tmp_path / "drum.toml")
    with pytest.raises(WriteError, match="closed to you"):
        check_folder(tmp_path / "new" / "deeper")


def test_a_folder_is_made_with_those_above_it(tmp_path: Path) -> None:
    check_folder(tmp_path / "a" / "b")
    assert not (tmp_path / "a").exists(), "checking makes nothing"
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


@pytest.mark.refusal
def test_a_file_in_the_way_of_a_folder_is_named(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("x")
    with pytest.raises(WriteError, match="is a file"):
        check_folder(tmp_path / "a" / "b")
    with pytest.raises(WriteError, match="cannot be made"):
        make_folder(tmp_path / "a" / "b")


def test_results_go_into_the_folder_together(tmp_path: Path) -> None:
    written = write_results(tmp_path / "out", {"a": b"one", "b": b"two"})
    assert {path: path.read_bytes() for path in written} == {
        tmp_path / "out" / "a": b"one",
        tmp_path / "out" / "b": b"two",
    }
