"""Opening recordings: every format a maker has, and one clear message for each way it can be wrong."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

sys.path.insert(0, str(Path(__file__).parent))

from recordings import from_phone, taps, written

from kerftone.ear import guard
from kerftone.ear.guard import open_sound, read_recording
from kerftone.ear.listen import analyse
from kerftone.ear.recording import Recording
from kerftone.errors import RecordingError

RUN = ((220.0, 0.4), (330.0, 1.6))


def heard_hz(path: Path) -> list[float]:
    return heard_in(read_recording(path))


def heard_in(recording: Recording) -> list[float]:
    return [one.hz for one in analyse(recording.samples[:, 0], recording.sample_rate).strikes]


@pytest.mark.roundtrip
@pytest.mark.parametrize(
    "name, subtype",
    [
        ("a.wav", "PCM_U8"),
        ("a.wav", "PCM_16"),
        ("a.wav", "PCM_24"),
        ("a.wav", "PCM_32"),
        ("a.wav", "FLOAT"),
        ("a.wav", "DOUBLE"),
        ("a.flac", "PCM_24"),
        ("a.ogg", "VORBIS"),
        ("a.ogg", "OPUS"),
        ("a.mp3", "MPEG_LAYER_III"),
        ("a.aiff", "PCM_16"),
    ],
)
def test_every_usual_format_is_heard_at_its_own_rate(tmp_path: Path, name: str, subtype: str) -> None:
    rate = 48000
    path = written(tmp_path / name, taps(RUN, rate=rate), rate=rate, subtype=subtype)
    with open_sound(path) as sound:
        assert (sound.about.sample_rate, sound.about.channels) == (rate, 1)
        assert sound.about.seconds == pytest.approx(3.0, abs=0.06)
        assert sound.about.broken == ""
        assert heard_in(sound.whole()) == pytest.approx([220.0, 330.0], rel=1e-3)


@pytest.mark.roundtrip
@pytest.mark.parametrize(
    "name, kind, codec, rate",
    [
        ("a.m4a", "ipod", "aac", 44100),
        ("a.m4a", "ipod", "alac", 44100),
        ("a.3gp", "3gp", "aac", 16000),
        ("a.webm", "webm", "libopus", 48000),
        ("a.aac", "adts", "aac", 44100),
    ],
)
def test_what_phones_write_is_heard(tmp_path: Path, name: str, kind: str, codec: str, rate: int) -> None:
    path = from_phone(tmp_path / name, taps(RUN, rate=rate), kind=kind, codec=codec, rate=rate)
    with open_sound(path) as sound:
        assert sound.about.sample_rate == rate
        assert heard_in(sound.whole()) == pytest.approx([220.0, 330.0], rel=1e-3)


@pytest.mark.parametrize("rate", [8000, 11025, 22050, 96000, 192000])
def test_no_rate_is_changed(tmp_path: Path, rate: int) -> None:
    sound = taps(((220.0, 0.3),), rate=rate, seconds=1.2)
    recording = read_recording(written(tmp_path / "a.wav", sound, rate=rate, subtype="FLOAT"))
    assert recording.sample_rate == rate
    assert recording.samples.shape == (len(sound), 1)
    assert np.array_equal(recording.samples[:, 0], np.float32(sound)), "the samples are the file's own"


def test_the_name_s_ending_does_not_matter(tmp_path: Path) -> None:
    path = written(tmp_path / "a.mp3", taps(RUN), kind="WAV")
    assert heard_hz(path) == pytest.approx([220.0, 330.0], rel=1e-4)


@pytest.mark.parametrize("better", [0, 1])
def test_of_two_channels_the_one_with_less_noise_is_heard(tmp_path: Path, better: int) -> None:
    good = taps(RUN)
    poor = good + 0.02 * np.random.default_rng(3).standard_normal(len(good))
    pair = [poor, good] if better else [good, poor]
    with open_sound(written(tmp_path / "a.wav", np.stack(pair, 1))) as sound:
        assert sound.about.chosen == better


def test_a_clipped_channel_is_heard_only_when_there_is_no_other(tmp_path: Path) -> None:
    good = taps(RUN, noise=1e-3)
    cut = np.clip(8.0 * good, -0.9, 0.9)
    with open_sound(written(tmp_path / "a.wav", np.stack([cut, 0.5 * good], 1))) as sound:
        assert sound.about.chosen == 1 and sound.about.clipped == 0.0
    with open_sound(written(tmp_path / "b.wav", cut)) as sound:
        assert sound.about.clipped > 0.01


def test_a_dead_channel_is_not_heard(tmp_path: Path) -> None:
    good = taps(RUN)
    with open_sound(written(tmp_path / "a.wav", np.stack([np.zeros_like(good), good], 1))) as sound:
        assert sound.about.chosen == 1


def test_samples_that_are_not_numbers_count_as_silence(tmp_path: Path) -> None:
    sound = taps(RUN)
    sound[1000:1010] = np.nan
    recording = read_recording(written(tmp_path / "a.wav", sound, subtype="FLOAT"))
    assert not recording.samples[1000:1010].any() and np.isfinite(recording.samples).all()


def refusal(path: Path) -> str:
    with pytest.raises(RecordingError) as caught, open_sound(path) as sound:
        list(sound.blocks)
    assert str(caught.value).startswith(f"{path}: ")
    assert caught.value.path == str(path)
    return str(caught.value)


@pytest.mark.refusal
def test_a_missing_file_a_folder_and_a_device_are_told(tmp_path: Path) -> None:
    assert "no such file" in refusal(tmp_path / "none.wav")
    written(tmp_path / "b.wav", taps(RUN))
    assert f"{tmp_path / 'b.wav'}" in refusal(tmp_path), "a folder's message names a recording in it"
    if os.path.exists("/dev/zero"):  # noqa: PTH110
        assert "not a plain file" in refusal(Path("/dev/zero"))


@pytest.mark.refusal
def test_an_empty_file_and_one_without_samples_are_told(tmp_path: Path) -> None:
    (tmp_path / "a.wav").touch()
    assert "empty" in refusal(tmp_path / "a.wav")
    assert "no sound" in refusal(written(tmp_path / "b.wav", np.zeros(0)))


@pytest.mark.refusal
def test_silence_is_told(tmp_path: Path) -> None:
    assert "silence" in refusal(written(tmp_path / "a.wav", np.zeros(44100)))


@pytest.mark.refusal
@pytest.mark.parametrize("name", ["letter.wav", "letter.m4a", "letter.txt", "letter.raw"])
def test_what_is_no_sound_is_told_whatever_its_name(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("Dear wood, it is I who saws. " * 40)
    message = refusal(tmp_path / name)
    assert "no sound" in message and "WAV" in message


@pytest.mark.refusal
def test_a_list_that_points_to_other_files_is_not_followed(tmp_path: Path) -> None:
    written(tmp_path / "a.wav", taps(RUN))
    (tmp_path / "list.m3u8").write_text(f"#EXTM3U\n#EXTINF:3,\n{tmp_path / 'a.wav'}\n#EXT-X-ENDLIST\n")
    (tmp_path / "list.wav").write_text(f"ffconcat version 1.0\nfile '{tmp_path / 'a.wav'}'\n")
    assert "no sound" in refusal(tmp_path / "list.m3u8")
    assert "no sound" in refusal(tmp_path / "list.wav")


@pytest.mark.refusal
@pytest.mark.parametrize("name", ["a.wav", "a.flac", "a.ogg", "a.mp3", "a.aiff"])
def test_a_recording_that_breaks_off_is_told_and_can_be_heard_in_part(tmp_path: Path, name: str) -> None:
    subtype = {".ogg": "VORBIS", ".mp3": "MPEG_LAYER_III"}.get(Path(name).suffix, "PCM_16")
    path = written(tmp_path / name, taps(RUN), subtype=subtype)
    path.write_bytes(path.read_bytes()[: int(0.5 * path.stat().st_size)])
    message = refusal(path)
    assert "breaks off" in message and "or hear what is there" in message
    recording = read_recording(path, part=True)
    assert 0.5 < len(recording.samples) / 44100 < 2.5
    assert analyse(recording.samples[:, 0], 44100).strikes[0].hz == pytest.approx(220.0, rel=1e-3)


@pytest.mark.refusal
def test_a_phone_s_recording_without_its_table_of_contents_is_told(tmp_path: Path) -> None:
    path = from_phone(tmp_path / "a.m4a", taps(RUN), kind="ipod", codec="aac", rate=44100)
    path.write_bytes(path.read_bytes()[: int(0.6 * path.stat().st_size)])
    assert "table of contents" in refusal(path)


@pytest.mark.refusal
@pytest.mark.parametrize("rate, words", [(1000, "1000 samples a second"), (2_000_000, "2000000 samples")])
def test_a_rate_no_recorder_has_is_told(tmp_path: Path, rate: int, words: str) -> None:
    assert words in refusal(written(tmp_path / "a.wav", taps(RUN), rate=rate))


@pytest.mark.refusal
def test_more_than_a_day_is_refused_at_once(tmp_path: Path) -> None:
    """A hole in the file makes it long without filling the disk."""
    path = written(tmp_path / "a.w64", taps(RUN, rate=8000), rate=8000, subtype="PCM_U8")
    head = bytearray(path.read_bytes())
    at = head.index(b"data") + 16
    long = 8000 * 3600 * 30
    head[at : at + 8] = (long + 24).to_bytes(8, "little")
    with path.open("wb") as file:
        file.write(head)
        file.truncate(long + len(head))
    assert "30 hours" in refusal(path)


@pytest.mark.refusal
def test_a_float_file_far_beyond_full_scale_is_told(tmp_path: Path) -> None:
    sound = taps(RUN)
    sound[500] = 1e30
    assert "full scale" in refusal(written(tmp_path / "a.wav", sound, subtype="FLOAT"))


@pytest.mark.refusal
def test_a_decoder_that_dies_or_falls_silent_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Python that ends by a signal, or sleeps, stands in for a decoder brought down by a file."""
    path = written(tmp_path / "a.wav", taps(RUN))
    python = tmp_path / "python"
    monkeypatch.setattr(sys, "executable", str(python))
    monkeypatch.setattr(guard, "PATIENCE_S", 0.5)
    for script in (
        "kill -SEGV $$",
        "exec sleep 30",
        "printf 'A\\377\\377'",
        "printf 'S\\004\\000\\000\\000ab'",
    ):
        python.write_text(f"#!/bin/sh\n{script}\n")
        python.chmod(0o755)
        assert "damaged" in refusal(path)


def test_a_long_recording_comes_in_small_blocks(tmp_path: Path) -> None:
    rate, minutes = 8000, 20
    path = tmp_path / "long.wav"
    minute = taps(((220.0, 0.5),), rate=rate, seconds=60.0)
    with soundfile.SoundFile(path, "w", rate, 1, "PCM_16") as file:
        for _ in range(minutes):
            file.write(minute)
    with open_sound(path) as sound:
        sizes = [len(block) for block in sound.blocks]
    assert sum(sizes) == rate * 60 * minutes and max(sizes) <= 16384
