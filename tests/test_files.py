"""A write is whole or not at all."""

from __future__ import annotations

import os
import signal
import stat
from pathlib import Path

import pytest

from kerftone.errors import WriteError
from kerftone.files import atomic_write, names_ending, write_together


class Crash(BaseException):
    """The machine stops here."""


def test_the_new_bytes_are_in_the_file(tmp_path: Path) -> None:
    target = tmp_path / "drum.toml"
    atomic_write(target, b"one")
    atomic_write(target, b"two")
    assert target.read_bytes() == b"two"
    assert [path.name for path in tmp_path.iterdir()] == ["drum.toml"]


@pytest.mark.parametrize("step", ["fsync", "replace", "fdopen"])
@pytest.mark.parametrize("failure", [Crash(), OSError(28, "No space left on device")])
def test_a_crash_on_the_way_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, failure: BaseException
) -> None:
    target = tmp_path / "drum.toml"
    target.write_bytes(b"old")

    def fail(*_: object, **__: object) -> None:
        raise failure

    monkeypatch.setattr(os, step, fail)
    with pytest.raises((Crash, WriteError)):
        atomic_write(target, b"new and longer")
    assert target.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["drum.toml"]


def test_nothing_takes_the_old_files_place_before_it_is_on_the_disk(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    fsync, replace = os.fsync, os.replace
    monkeypatch.setattr(os, "fsync", lambda fd: (steps.append("fsync"), fsync(fd))[1])
    monkeypatch.setattr(os, "replace", lambda a, b: (steps.append("replace"), replace(a, b))[1])
    atomic_write(tmp_path / "drum.toml", b"x")
    assert steps[:2] == ["fsync", "replace"]


def test_permissions_of_the_old_file_are_kept(tmp_path: Path) -> None:
    target = tmp_path / "drum.toml"
    target.write_bytes(b"old")
    target.chmod(0o640)
    atomic_write(target, b"new")
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_a_new_file_has_the_permissions_any_new_file_has(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    atomic_write(tmp_path / "ours", b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_link_still_points_to_the_file_it_named(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_bytes(b"old")
    link.symlink_to(real)
    atomic_write(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


@pytest.mark.refusal
def test_a_folder_that_is_not_there_is_told_plainly(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="Nothing was changed"):
        atomic_write(tmp_path / "missing" / "drum.toml", b"x")


@pytest.mark.refusal
def test_a_folder_is_not_written_over(tmp_path: Path) -> None:
    with pytest.raises(WriteError, match="it is a folder"):
        atomic_write(tmp_path, b"x")


@pytest.mark.parametrize("failure", [Crash(), OSError(28, "No space left on device")])
def test_files_written_together_are_all_new_or_all_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failure: BaseException
) -> None:
    files = {tmp_path / name: b"new" for name in ("a", "b", "c")}
    (tmp_path / "b").write_bytes(b"old")
    calls: list[int] = []
    fsync = os.fsync

    def fail_late(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 3:
            raise failure
        fsync(handle)

    monkeypatch.setattr(os, "fsync", fail_late)
    with pytest.raises((Crash, WriteError)):
        write_together(files)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == [("b", b"old")]
    monkeypatch.setattr(os, "fsync", fsync)
    write_together(files)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == dict.fromkeys("abc", b"new")


def test_ctrl_c_between_two_files_waits_for_the_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    replace = os.replace

    def broken_off(scratch: Path, target: Path) -> None:
        signal.raise_signal(signal.SIGINT)
        replace(scratch, target)

    monkeypatch.setattr(os, "replace", broken_off)
    with pytest.raises(KeyboardInterrupt):
        write_together({tmp_path / "a": b"new", tmp_path / "b": b"new"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "b"]
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_the_files_of_an_ending_are_named_in_order_without_links_and_folders(tmp_path: Path) -> None:
    for name in ("b.toml", "A.toml", ".toml", "c.txt"):
        (tmp_path / name).write_text("x")
    (tmp_path / "d.toml").mkdir()
    (tmp_path / "e.toml").symlink_to(tmp_path / "b.toml")
    assert names_ending(tmp_path, ".toml") == ["A", "b"]
