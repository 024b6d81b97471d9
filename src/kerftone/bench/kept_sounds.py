"""Keeping the sound of a tap beside the log, so that it can be heard again.

A folder `bench.taps` beside the log holds one FLAC file a recording: the channel that was heard, at its own rate,
24 bits a sample. Integer recordings of up to 24 bits are kept exactly; finer ones are rounded to 24 bits (about
-144 dB). A file is named by what is in it, so the same recording is kept once and none ever takes another's
place; it appears whole or not at all.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from pathlib import Path

import numpy as np
import soundfile

from kerftone.ear.guard import open_sound
from kerftone.errors import WriteError

FOLDER = "bench.taps"
_FULL = 2**23
"""Full scale of a sample of 24 bits."""


def keep_recording(source: Path, log: Path, *, part: bool = False) -> str:
    """Keep the sound in `source` beside the log; the name for the log's fact, such as bench.taps/1f0c….flac.

    Call it before the fact is added: a kept sound without a fact does no harm, a fact without its sound would.
    Raises RecordingError when it cannot be read, WriteError when it cannot be kept. Held by
    tests/bench/test_kept_sounds.py.

    Parameters
    ----------
    source : Path
        The recording as the maker has it.
    log : Path
        The log's own file.
    part : bool, optional
        Keep what can be heard of one that breaks off.
    """
    folder = log.parent / FOLDER
    try:
        folder.mkdir(exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".tap.", suffix=".new", dir=folder)
        os.close(handle)
    except OSError as error:
        raise _refusal(folder, error.strerror or str(error)) from error
    scratch = Path(name)
    try:
        digest = _encode(source, scratch, part=part)
        target = folder / f"{digest}.flac"
        if not target.exists():
            _settle(scratch, target)
    except (OSError, soundfile.SoundFileError) as error:
        raise _refusal(folder, getattr(error, "strerror", None) or str(error)) from error
    finally:
        with suppress(FileNotFoundError):
            scratch.unlink()
    return f"{FOLDER}/{target.name}"


def _encode(source: Path, scratch: Path, *, part: bool) -> str:
    """Write the heard channel as FLAC, block by block; a short digest of its samples and rate."""
    digest = hashlib.sha256()
    with open_sound(source, part=part) as sound:
        rate = sound.about.sample_rate
        digest.update(f"{rate} ".encode())
        with soundfile.SoundFile(
            scratch, "w", samplerate=rate, channels=1, format="FLAC", subtype="PCM_24"
        ) as out:
            for block in sound.blocks:
                steps = np.clip(np.rint(block * _FULL), -_FULL, _FULL - 1).astype("<i4")
                digest.update(steps.tobytes())
                out.write(steps << 8)  # the library takes the upper 24 of 32 bits
    return digest.hexdigest()[:16]


def _settle(scratch: Path, target: Path) -> None:
    """To the disk, then in one step to its name."""
    with scratch.open("rb") as stream:
        os.fsync(stream.fileno())
    umask = os.umask(0)
    os.umask(umask)
    scratch.chmod(0o666 & ~umask)
    scratch.replace(target)


def _refusal(folder: Path, reason: str) -> WriteError:
    return WriteError(
        f"The recording cannot be kept in {folder}: {reason}. Nothing was recorded: see that the folder is yours to "
        "write in and that the disk has room.",
        given=str(folder),
    )
