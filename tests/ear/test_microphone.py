"""The microphone, with a stand-in for the library that reaches it."""

from __future__ import annotations

import builtins
import sys
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kerftone.ear import microphone
from kerftone.ear.microphone import open_microphone
from kerftone.errors import MicrophoneError


class PortAudioError(Exception):
    """As the library's own."""


class Stream:
    """Gives three blocks as soon as it is started."""

    closed = False

    def __init__(self, *, samplerate: int, callback: Callable[..., None], **_: Any) -> None:
        self.rate, self.callback = samplerate, callback

    def start(self) -> None:
        for n in range(3):
            self.callback(np.full((4, 1), 0.1 * n, np.float32), 4, None, None)

    def stop(self) -> None:
        pass

    def close(self) -> None:
        Stream.closed = True


def library(**changed: Any) -> SimpleNamespace:
    usual = {
        "query_devices": lambda kind: {"name": "Bench mic", "default_samplerate": 48000.0},
        "InputStream": Stream,
        "PortAudioError": PortAudioError,
    }
    return SimpleNamespace(**(usual | changed))


def test_blocks_come_as_the_device_gives_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library())
    with open_microphone() as heard:
        assert (heard.name, heard.sample_rate) == ("Bench mic", 48000)
        assert [float(next(heard.blocks)[0]) for _ in range(3)] == pytest.approx([0.0, 0.1, 0.2])
    assert Stream.closed


@pytest.mark.refusal
def test_a_microphone_that_falls_silent_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", library())
    monkeypatch.setattr(microphone, "PATIENCE_S", 0.05)
    with open_microphone() as heard, pytest.raises(MicrophoneError, match="given nothing"):
        list(heard.blocks)


@pytest.mark.refusal
def test_a_missing_microphone_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(kind: str) -> None:
        raise PortAudioError("Error querying device -1")

    monkeypatch.setitem(sys.modules, "sounddevice", library(query_devices=none))
    with pytest.raises(MicrophoneError, match="No microphone") as caught, open_microphone():
        pass
    assert "listen to the file" in str(caught.value)


@pytest.mark.refusal
@pytest.mark.parametrize(
    "error, words",
    [(ImportError("no module"), "kerftone[mic]"), (OSError("PortAudio library not found"), "libportaudio2")],
)
def test_a_missing_library_is_told_with_its_name(
    monkeypatch: pytest.MonkeyPatch, error: Exception, words: str
) -> None:
    usual = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "sounddevice":
            raise error
        return usual(name, *args, **kwargs)

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(MicrophoneError) as caught, open_microphone():
        pass
    assert words in str(caught.value)
