"""`kerftone hear`, from file to sound."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import soundfile

from kerftone.cli import make
from kerftone.shop.verdict import Check

Run = Callable[..., Any]


def test_the_sound_file_is_what_was_promised_and_holds_the_notes(
    run: Run, answered: Path, tmp_path: Path, predicted: Any
) -> None:
    target = tmp_path / "wren.wav"
    ran = run("hear", answered, "-o", target, "--mallet", "soft-rubber", "--json")
    assert (ran.code, ran.fault) == (0, None)
    sound, rate = soundfile.read(target)
    assert rate == 48000 and sound.ndim == 1
    assert np.max(np.abs(sound)) == pytest.approx(10 ** (-3 / 20), rel=1e-3), "peak 3 dB under full scale"
    assert ran.document["mallet"] == "soft rubber"
    assert ran.document["seconds"] == pytest.approx(len(sound) / rate, abs=1e-3)
    first = sound[int(0.15 * rate) : int(1.2 * rate)]
    heard = np.argmax(np.abs(np.fft.rfft(first * np.hanning(len(first))))) * rate / len(first)
    lowest = min(tongue.heard.hz for tongue in predicted.tongues)
    assert heard == pytest.approx(lowest, abs=2.0), "the lowest tongue is heard first"


@pytest.mark.refusal
@pytest.mark.parametrize(
    "args, words",
    [
        (("-o", "a.wav", "--mallet", "spoon"), ["spoon", "soft rubber"]),
        (("-o", "a.mp3"), [".wav", "a.wav"]),
        (("-o", "none/a.wav"), ["no folder none"]),
    ],
)
def test_a_slip_is_told_before_any_work(
    run: Run,
    wren: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    args: tuple[str, ...],
    words: list[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("hear", wren, *args)
    assert ran.code == 2 and "Solving" not in ran.err
    assert [word for word in words if word not in ran.err] == []
    assert [path.name for path in tmp_path.iterdir()] == [wren.parent.name]


def test_a_check_of_the_pickup_is_told_with_its_mend(capsys: pytest.CaptureFixture[str]) -> None:
    checks = (
        Check(
            name="Knocks", verdict="mind", numbers="20 dB under the notes", mend="cork under the disc helps"
        ),
        Check(name="Bass", verdict="good", numbers="loses 1 dB"),
    )
    done: Any = SimpleNamespace(
        written=Path("a.wav"),
        seconds=1.0,
        preview=SimpleNamespace(rate_hz=48000, in_words=lambda: "Struck."),
        struck=(),
        heard=None,
        pickup=SimpleNamespace(checks=lambda: checks),
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(make, "ringing_words", lambda heard: "Rings.")
        make.show_sound(done)
    told = capsys.readouterr().err.splitlines()
    assert told[-2:] == ["Knocks: 20 dB under the notes. Cork under the disc helps", "Bass: loses 1 dB."]
