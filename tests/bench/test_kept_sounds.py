"""A tap's sound is kept beside the log, exactly, once, and whole or not at all."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from kerftone.bench.kept_sounds import FOLDER, keep_recording
from kerftone.errors import RecordingError, WriteError

from ..ear.recordings import taps, written


def kept(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / FOLDER).iterdir())


@pytest.mark.roundtrip
@pytest.mark.parametrize("subtype, rate", [("PCM_16", 44100), ("PCM_24", 96000), ("PCM_U8", 11025)])
def test_an_integer_recording_is_kept_sample_for_sample(tmp_path: Path, subtype: str, rate: int) -> None:
    """Read back by the library itself, not by the room that wrote it."""
    sound = taps([(220.0, 0.3)], rate=rate, seconds=1.5, noise=1e-2)
    source = written(tmp_path / "take.wav", sound, rate=rate, subtype=subtype)
    name = keep_recording(source, tmp_path / "bench.sqlite")
    before, _ = soundfile.read(source, dtype="int32")
    after, rate_kept = soundfile.read(tmp_path / name, dtype="int32")
    assert rate_kept == rate
    assert np.array_equal(before, after)
    assert soundfile.info(tmp_path / name).format == "FLAC"


def test_a_float_recording_is_kept_to_24_bits(tmp_path: Path) -> None:
    sound = taps([(220.0, 0.3)], seconds=1.5)
    source = written(tmp_path / "take.wav", sound, subtype="FLOAT")
    after, _ = soundfile.read(tmp_path / keep_recording(source, tmp_path / "bench.sqlite"))
    assert np.max(np.abs(after - np.float32(sound))) <= 2.0**-24 * 1.001


def test_the_same_recording_is_kept_once_and_another_takes_no_ones_place(tmp_path: Path) -> None:
    log = tmp_path / "bench.sqlite"
    one = written(tmp_path / "one.wav", taps([(220.0, 0.3)], seconds=1.5))
    again = tmp_path / "again.flac"
    soundfile.write(again, soundfile.read(one, dtype="int16")[0], 44100, subtype="PCM_16")
    other = written(tmp_path / "other.wav", taps([(221.0, 0.3)], seconds=1.5))
    first = keep_recording(one, log)
    bytes_then = (tmp_path / first).read_bytes()
    assert keep_recording(again, log) == first
    assert keep_recording(other, log) != first
    assert (tmp_path / first).read_bytes() == bytes_then
    assert len(kept(tmp_path)) == 2


def test_the_better_channel_of_two_is_the_one_kept(tmp_path: Path) -> None:
    good = taps([(220.0, 0.3)], seconds=1.5)
    hiss = taps([], seconds=1.5, noise=1e-2)
    source = written(tmp_path / "take.wav", np.stack([hiss, good], axis=1))
    whole, _ = soundfile.read(source, dtype="int32")
    after, _ = soundfile.read(tmp_path / keep_recording(source, tmp_path / "bench.sqlite"), dtype="int32")
    assert np.array_equal(after, whole[:, 1])


@pytest.mark.refusal
def test_a_recording_that_cannot_be_read_leaves_nothing_behind(tmp_path: Path) -> None:
    source = tmp_path / "take.wav"
    source.write_bytes(b"RIFF" + b"\x00" * 400)
    with pytest.raises(RecordingError, match=r"take\.wav"):
        keep_recording(source, tmp_path / "bench.sqlite")
    assert kept(tmp_path) == []


@pytest.mark.refusal
def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    source = written(tmp_path / "take.wav", taps([(220.0, 0.3)], seconds=1.5))
    (tmp_path / FOLDER).write_text("in the way")
    with pytest.raises(WriteError, match=r"cannot be kept in .*bench\.taps.*Nothing was recorded"):
        keep_recording(source, tmp_path / "bench.sqlite")


@pytest.mark.refusal
def test_a_full_disk_midway_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    source = written(tmp_path / "take.wav", taps([(220.0, 0.3)], seconds=1.5))
    monkeypatch.setattr("kerftone.bench.kept_sounds.os.fsync", full)
    with pytest.raises(WriteError, match="No space left"):
        keep_recording(source, tmp_path / "bench.sqlite")
    assert kept(tmp_path) == []
