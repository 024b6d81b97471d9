"""A small seeded slice of the spoiled recordings that benchmarks/fuzz_recordings.py makes by the thousand."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import pytest

from kerftone.ear.guard import open_sound
from kerftone.ear.listen import analyse_stream
from kerftone.errors import RecordingError

SCRIPT = Path(__file__).parents[2] / "benchmarks" / "fuzz_recordings.py"
spec = importlib.util.spec_from_file_location("fuzz_recordings", SCRIPT)
assert spec is not None and spec.loader is not None
fuzz = importlib.util.module_from_spec(spec)
sys.modules["fuzz_recordings"] = fuzz
spec.loader.exec_module(fuzz)


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    return dict(fuzz.whole_files())


def test_the_recordings_are_heard_while_they_are_whole(files: dict[str, bytes], tmp_path: Path) -> None:
    for name, data in files.items():
        path = tmp_path / name
        path.write_bytes(data)
        assert fuzz.become(path) == "heard", name


def test_a_number_is_always_spoiled_in_the_same_way(files: dict[str, bytes]) -> None:
    assert fuzz.spoiled(files, 41) == fuzz.spoiled(files, 41)
    assert len({fuzz.spoiled(files, 21 * n)[1] for n in range(20)}) == 20


@pytest.mark.parametrize("first", [0, 5])
def test_spoiled_recordings_are_heard_or_refused(first: int, files: dict[str, bytes], tmp_path: Path) -> None:
    """Through the guard, as the command reads them; anything but an answer or a refusal fails."""
    for number in range(first, first + 5):
        name, data = fuzz.spoiled(files, number)
        path = tmp_path / f"{number}.{name}"
        path.write_bytes(data)
        try:
            with open_sound(path, part=True) as sound:
                analyse_stream(sound.blocks, sound.about.sample_rate)
        except RecordingError as error:
            assert str(path) in str(error)
