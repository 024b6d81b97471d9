"""The microphone, as blocks of samples like those of a file.

Needs the optional extra `kerftone[mic]` (sounddevice) and the system's PortAudio. Blocks of a tenth of a
second, one channel, at the device's own rate. The device's callback only puts samples on a queue: hearing
happens elsewhere, and blocks that nobody fetched for a minute are dropped, the oldest first.
"""

from __future__ import annotations

import queue
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np

from kerftone.ear.recording import Array
from kerftone.errors import MicrophoneError

BLOCK_S = 0.1
"""How often sound is handed on: a tenth of a second is at once for a reader."""
MOST_BLOCKS = 600
"""A minute of them may wait; then something has stopped reading. Own judgement."""
PATIENCE_S = 5.0
"""How long a microphone may say nothing; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Listening:
    """An open microphone: its name, its rate, and its blocks (n,), which come without end."""

    name: str
    sample_rate: int
    blocks: Iterator[Array]


@contextmanager
def open_microphone() -> Iterator[Listening]:
    """Open the system's default microphone. Raises MicrophoneError when the extra or a microphone is missing."""
    library = _library()
    waiting: queue.Queue[Array] = queue.Queue(maxsize=MOST_BLOCKS)

    def take(block: Any, _frames: int, _time: Any, _status: Any) -> None:
        if waiting.full():
            waiting.get_nowait()
        waiting.put_nowait(np.array(block[:, 0], dtype=np.float64))

    try:
        device = library.query_devices(kind="input")
        rate = round(float(device["default_samplerate"]))
        stream = library.InputStream(
            samplerate=rate, channels=1, dtype="float32", blocksize=round(BLOCK_S * rate), callback=take
        )
        stream.start()
    except (library.PortAudioError, ValueError, KeyError, TypeError) as error:
        raise MicrophoneError(
            f"No microphone can be opened ({_reason(error)}). Plug one in or allow its use in the system's "
            "settings; or record with a phone and listen to the file."
        ) from error
    try:
        yield Listening(name=str(device["name"]), sample_rate=rate, blocks=_blocks(waiting))
    finally:
        stream.stop()
        stream.close()


def _library() -> ModuleType:
    try:
        import sounddevice
    except ImportError as error:
        raise MicrophoneError(
            "Listening live needs the extra for microphones, which is not installed. Install it with "
            "`pip install 'kerftone[mic]'`; or record with a phone and listen to the file."
        ) from error
    except OSError as error:
        raise MicrophoneError(
            "Listening live needs the system's PortAudio library, which is missing. On Debian and its kin run "
            "`apt install libportaudio2`; or record with a phone and listen to the file."
        ) from error
    return sounddevice  # type: ignore[no-any-return]


def _reason(error: Exception) -> str:
    return " ".join(str(error).split()).rstrip(".") or type(error).__name__


def _blocks(waiting: queue.Queue[Array]) -> Iterator[Array]:
    while True:
        try:
            yield waiting.get(timeout=PATIENCE_S)
        except queue.Empty as error:
            raise MicrophoneError(
                f"The microphone has given nothing for {PATIENCE_S:.0f} s. Check its plug and that no other "
                "program holds it, then listen again."
            ) from error
