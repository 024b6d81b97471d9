"""Answers kept beside a drum: found again for the same question only, never wrong, safe to lose."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.design import Bore, Drum, Tuning
from kerftone.drum.file import parse_drum
from kerftone.modal import shelf as shelf_module
from kerftone.modal.result import Modes, Solved, TopView
from kerftone.modal.shelf import MOST_KEPT, Shelf, model_version, shelf_beside

from ..drums import WREN

rng = np.random.default_rng(3)
MODES = Modes(
    hz=np.array([101.5, 202.25, 404.125]),
    strike=rng.normal(size=(2, 3)),
    sweep=rng.normal(size=(2, 3)),
    volume=rng.normal(size=3),
    view=TopView(
        points_mm=rng.normal(size=(3, 2)), triangles=np.array([[0, 1, 2]]), lift=rng.normal(size=(3, 3))
    ),
    unknowns=4321,
    seconds=1.5,
)
ANSWER = Solved(
    modes=MODES,
    gradients={"top": rng.normal(size=(2, 10)), "box": rng.normal(size=(2, 10))},
    joints={"top": rng.normal(size=2)},
    rounded=rng.normal(size=2),
)


@pytest.fixture
def drum() -> Drum:
    return parse_drum(WREN)


@pytest.fixture
def shelf(tmp_path: Path, drum: Drum) -> Shelf:
    made = shelf_beside(tmp_path / "drum.toml")
    made.keep(drum, 20, ANSWER)
    return made


def only_file(shelf: Shelf) -> Path:
    assert shelf.folder is not None
    (file,) = shelf.folder.iterdir()
    return file


@pytest.mark.roundtrip
def test_what_was_kept_comes_back_to_the_last_bit(shelf: Shelf, drum: Drum) -> None:
    found = shelf.solved(drum, 20)
    assert found is not None and found.modes.view is not None and MODES.view is not None
    for name in ("hz", "strike", "sweep", "volume"):
        assert np.array_equal(getattr(found.modes, name), getattr(MODES, name))
    for name in ("points_mm", "triangles", "lift"):
        assert np.array_equal(getattr(found.modes.view, name), getattr(MODES.view, name))
    assert (found.modes.unknowns, found.modes.seconds) == (4321, 1.5)
    assert list(found.gradients) == ["top", "box"] and list(found.joints) == ["top"]
    assert np.array_equal(found.joints["top"], ANSWER.joints["top"])
    assert all(np.array_equal(found.gradients[part], ANSWER.gradients[part]) for part in found.gradients)


CHANGES: dict[str, Callable[[Drum], Drum]] = {
    "a length by a hundredth": lambda d: d.with_lengths(
        tuple((tongue.length_mm or 0.0) + 0.01 * (n == 1) for n, tongue in enumerate(d.tongues))
    ),
    "a board a little denser": lambda d: replace(
        d, top=replace(d.top, elastic=replace(d.top.elastic, density_kg_m3=d.top.elastic.density_kg_m3 + 0.1))
    ),
    "how it stands": lambda d: replace(
        d, box=replace(d.box, stands="free" if d.box.stands == "held" else "held")
    ),
    "a bore": lambda d: replace(d, bores=(Bore(x_mm=60.0, y_mm=35.0, diameter_mm=12.0, depth_mm=3.0),)),
    "a weight": lambda d: replace(d, tongues=(replace(d.tongues[0], weight_g=2.0), *d.tongues[1:])),
    "tongues in another order": lambda d: replace(d, tongues=d.tongues[::-1]),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_changed_drum_finds_nothing(shelf: Shelf, drum: Drum, change: Callable[[Drum], Drum]) -> None:
    assert shelf.solved(change(drum), 20) is None


def test_more_modes_than_were_asked_for_are_not_found(shelf: Shelf, drum: Drum) -> None:
    assert shelf.solved(drum, 30) is None
    assert shelf.solved(drum, 20) is not None


def test_a_name_or_a_tuning_is_nothing_to_the_solver(shelf: Shelf, drum: Drum) -> None:
    renamed = replace(drum, name="Other", tuning=replace(Tuning(), reference_hz=442.0, aim_cents=0.0))
    assert shelf.solved(renamed, 20) is not None


def test_another_model_finds_nothing(shelf: Shelf, drum: Drum, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shelf_module, "model_version", lambda: "another")
    assert shelf.solved(drum, 20) is None


def test_the_model_has_another_name_when_its_source_is_another(monkeypatch: pytest.MonkeyPatch) -> None:
    now = model_version()
    monkeypatch.setattr(Path, "read_bytes", lambda path: b"one line more")
    model_version.cache_clear()
    try:
        assert model_version() != now
    finally:
        model_version.cache_clear()


SPOILED: dict[str, Callable[[bytes], bytes]] = {
    "cut off": lambda data: data[: len(data) // 2],
    "empty": lambda data: b"",
    "no archive": lambda data: b"# a drum",
    "one bit turned": lambda data: data[:400] + bytes([data[400] ^ 8]) + data[401:],
}


@pytest.mark.parametrize("spoil", SPOILED.values(), ids=SPOILED)
def test_a_damaged_file_is_as_good_as_none(shelf: Shelf, drum: Drum, spoil: Callable[[bytes], bytes]) -> None:
    file = only_file(shelf)
    file.write_bytes(spoil(file.read_bytes()))
    assert shelf.solved(drum, 20) is None
    shelf.keep(drum, 20, ANSWER)
    assert shelf.solved(drum, 20) is not None


def test_a_file_under_another_answers_name_is_not_read(shelf: Shelf, drum: Drum) -> None:
    other = CHANGES["a bore"](drum)
    mine = only_file(shelf)
    shelf.keep(other, 20, ANSWER)
    assert shelf.folder is not None
    (theirs,) = set(shelf.folder.iterdir()) - {mine}
    mine.replace(theirs)
    assert shelf.solved(other, 20) is None


def test_the_folder_may_be_deleted_at_any_time(shelf: Shelf, drum: Drum) -> None:
    only_file(shelf).unlink()
    assert shelf.folder is not None
    shelf.folder.rmdir()
    assert shelf.solved(drum, 20) is None
    shelf.keep(drum, 20, ANSWER)
    assert shelf.solved(drum, 20) is not None


def test_where_nothing_can_be_written_nothing_is_kept_and_nothing_said(tmp_path: Path, drum: Drum) -> None:
    (tmp_path / shelf_module.FOLDER).write_text("not a folder")
    shelf = shelf_beside(tmp_path / "drum.toml")
    shelf.keep(drum, 20, ANSWER)
    assert shelf.solved(drum, 20) is None
    assert Shelf().solved(drum, 20) is None


def test_so_many_answers_are_kept_those_last_asked_for(shelf: Shelf, drum: Drum) -> None:
    first = only_file(shelf)
    lengths = [tongue.length_mm or 0.0 for tongue in drum.tongues]
    drums = [drum.with_lengths(tuple(mm + n for mm in lengths)) for n in range(1, MOST_KEPT + 3)]
    for n, other in enumerate(drums):
        shelf.keep(other, 20, ANSWER)
        assert shelf.solved(drum, 20) is not None, "asked for again and again, it stays"
        assert shelf.folder is not None
        for file in shelf.folder.iterdir():
            if file != first:
                os.utime(file, (n + file.stat().st_mtime - 1e6, file.stat().st_mtime - 1e6))
    assert shelf.folder is not None
    assert len(list(shelf.folder.iterdir())) == MOST_KEPT
    assert shelf.solved(drums[0], 20) is None
    assert shelf.solved(drums[-1], 20) is not None
