"""Opening a recording safely: one clear message whatever is wrong with the file, and never a crash.

The file is decoded in a process of its own (`decoder`). If that process dies, or says nothing for 20 seconds,
the file is refused and the program goes on. What is refused and why: `open_sound`.
"""

from __future__ import annotations

import json
import os
import stat
import struct
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from kerftone.ear.recording import About, Array, Recording, Sound
from kerftone.errors import RecordingError, Remedy

PATIENCE_S = 20.0
"""How long the decoder may say nothing before it is given up; own judgement."""
SILENT = 1e-5
"""A peak under this share of full scale (-100 dB) is no recording of anything."""
SHORT_S, SHORT_PART = 0.1, 0.01
"""A recording is cut short when both this much and this share of what the file promises are missing."""
ENDINGS = (".wav", ".flac", ".ogg", ".mp3", ".aiff", ".aif", ".m4a", ".3gp", ".webm", ".aac", ".amr", ".mp4")
FORMATS = "WAV, FLAC, Ogg, MP3, AIFF, m4a, 3gp and webm are read"


class _DiedError(Exception):
    """The decoding process ended, or went silent, without a last word."""


def check_path(path: Path) -> None:
    """Refuse what is not a plain file with something in it. Raises RecordingError."""
    shown = str(path)
    try:
        about = os.stat(path)  # noqa: PTH116 - also for names that no Path method takes
        size = about.st_size
    except (OSError, ValueError) as error:
        missing = isinstance(error, FileNotFoundError)
        reason = "there is no such file" if missing else getattr(error, "strerror", None) or str(error)
        raise RecordingError(f"{reason}. Check the name and the folder.", path=shown) from error
    if stat.S_ISDIR(about.st_mode):
        inside = _sounds_in(path)
        example = inside[0] if inside else "tap.wav"
        raise RecordingError(
            f"this is a folder. Recordings are named one by one: {path / example}.",
            path=shown,
            nearest=str(path / example),
        )
    if not stat.S_ISREG(about.st_mode):
        raise RecordingError(
            "this is not a plain file. Only plain files are heard: save it as one.", path=shown
        )
    if not size:
        raise RecordingError(
            "the file is empty, 0 bytes. Copy it again from the recorder, or record again.",
            path=shown,
            given=0,
        )
    if not os.access(path, os.R_OK):
        raise RecordingError("the file is closed to you. Change its permissions.", path=shown)


def _sounds_in(folder: Path) -> list[str]:
    try:
        return sorted(one.name for one in folder.iterdir() if one.suffix.lower() in ENDINGS)
    except OSError:
        return []


@contextmanager
def open_sound(path: Path, *, part: bool = False) -> Iterator[Sound]:
    """Open a recording: what it is, and its better channel block by block.

    Raises RecordingError for a missing, empty, silent or damaged file, a folder, a file that is no sound, a
    rate, a channel count or a length out of bounds; and for one that breaks off before its end, unless `part`
    asks for what is there. Held by tests/ear/test_guard.py.
    """
    check_path(path)
    with _decoding(path) as messages:
        try:
            about = _about(messages, path)
            _check(about, path, part=part)
            yield Sound(about=about, blocks=_samples(messages, path))
        except _DiedError as error:
            raise _damaged(path) from error


def read_recording(path: Path, *, part: bool = False) -> Recording:
    """A whole recording in memory, one channel: for short ones. Raises RecordingError as `open_sound`."""
    with open_sound(path, part=part) as sound:
        return sound.whole()


def _about(messages: Iterator[tuple[bytes, bytes]], path: Path) -> About:
    for letter, body in messages:
        if letter == b"A":
            return About(**json.loads(body))
        if letter == b"E":
            raise _refusal(json.loads(body), path)
    raise _DiedError


def _samples(messages: Iterator[tuple[bytes, bytes]], path: Path) -> Iterator[Array]:
    try:
        for letter, body in messages:
            if letter == b"S":
                yield np.frombuffer(body, dtype="<f4").astype(np.float64)
            elif letter == b"Z":
                return
    except _DiedError as error:
        raise _damaged(path) from error


def _refusal(told: dict[str, Any], path: Path) -> RecordingError:
    if told["kind"] == "unfit":
        return RecordingError(f"{told['text']}.", path=str(path))
    if _headless(path):
        return RecordingError(
            "the recording breaks off before its table of contents, so nothing in it can be heard. Copy it "
            "again from the recorder, or record again.",
            path=str(path),
        )
    return RecordingError(
        f"no sound can be found in this file, whatever its name says. {FORMATS}: save it as WAV, or copy it "
        "again if it played before.",
        path=str(path),
    )


def _headless(path: Path) -> bool:
    """Whether this begins as a phone's recording does, but lacks the table of contents (the box `moov`).

    Boxes of ISO 14496-12: four bytes of length, four of name; phones write that table last.
    """
    size = path.stat().st_size
    at = 0
    with path.open("rb") as file:
        while at + 8 <= size:
            file.seek(at)
            length, name = struct.unpack(">I4s", file.read(8))
            if at == 0 and name != b"ftyp":
                return False
            if name == b"moov":
                return False
            if length == 1 and at + 16 <= size:
                length = struct.unpack(">Q", file.read(8))[0]
            if length < 8:
                break
            at += length
    return at > 0


def _check(about: About, path: Path, *, part: bool) -> None:
    """Refuse what cannot be heard although it could be decoded."""
    promised = about.promised or 0
    missing = promised - about.frames
    short = missing > max(SHORT_S * about.sample_rate, SHORT_PART * promised)
    if not about.frames:
        raise RecordingError(
            "the file has a sound file's head, but no sound. Copy it again from the recorder, or record again.",
            path=str(path),
            given=0,
        )
    if (short or about.broken) and not part:
        told = f" of the {promised / about.sample_rate:.1f} s it promises" if short else ""
        raise RecordingError(
            f"the recording breaks off: {about.seconds:.1f} s{told} can be read. Copy it again from the "
            "recorder, or hear what is there.",
            remedy=Remedy.HEAR_PART,
            path=str(path),
            given=about.seconds,
            limit=promised / about.sample_rate or None,
        )
    if about.peak < SILENT:
        raise RecordingError(
            f"there is only silence in its {about.seconds:.1f} s. Check that the recorder had the right "
            "microphone and was not muted.",
            path=str(path),
            given=about.peak,
            limit=SILENT,
        )


def _damaged(path: Path) -> RecordingError:
    return RecordingError(
        "the file is damaged: decoding it failed. Copy it again from the recorder, or save it as WAV with the "
        "program that can still play it.",
        path=str(path),
    )


@contextmanager
def _decoding(path: Path) -> Iterator[Iterator[tuple[bytes, bytes]]]:
    """The messages of a decoding process that ends with this block."""
    threads = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    where = {"PYTHONPATH": os.pathsep.join(os.path.abspath(one) for one in sys.path if one)}  # noqa: PTH100
    with subprocess.Popen(
        [sys.executable, "-P", "-m", "kerftone.ear.decoder", os.path.abspath(path)],  # noqa: PTH100
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, **threads, **where},
    ) as child:
        try:
            yield _messages(child)
        finally:
            child.kill()


def _messages(child: subprocess.Popen[bytes]) -> Iterator[tuple[bytes, bytes]]:
    """Message after message; raises _DiedError when the child ends or is silent for too long."""
    assert child.stdout is not None
    while True:
        # A timer that kills works on every system; waiting on a pipe with a limit does not.
        dog = threading.Timer(PATIENCE_S, child.kill)
        dog.start()
        try:
            head = child.stdout.read(5)
            body = child.stdout.read(struct.unpack("<I", head[1:])[0]) if len(head) == 5 else b""
        finally:
            dog.cancel()
        if len(head) < 5 or len(body) < struct.unpack("<I", head[1:])[0]:
            raise _DiedError
        yield head[:1], body
