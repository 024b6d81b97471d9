from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from kerftone.errors import RecordingError
from kerftone.tune.board_taps import board_tones

RATE = 44_100


def recording(path: Path, *hz: float) -> Path:
    """Invented taps a second and a half apart, each one decaying tone, over a little noise."""
    rng = np.random.default_rng(3)
    sound = 1e-4 * rng.standard_normal(int(RATE * (1.0 + 1.5 * len(hz))))
    t = np.arange(int(1.4 * RATE)) / RATE
    for number, one in enumerate(hz):
        start = int(RATE * (0.5 + 1.5 * number))
        sound[start : start + len(t)] += 0.3 * np.sin(2 * np.pi * one * t) * np.exp(-t / 0.15)
    soundfile.write(path, sound, RATE)
    return path


def test_taps_of_one_tone_are_one_tone_with_its_pitch(tmp_path: Path) -> None:
    heard = board_tones(recording(tmp_path / "taps.wav", 318.2, 318.2, 318.2))
    (tone,) = heard.tones
    assert tone.taps == 3 and 1200 * abs(np.log2(tone.hz / 318.2)) < 1.0
    assert heard.rare_hz == ()


def test_a_pitch_heard_once_among_many_is_a_slip(tmp_path: Path) -> None:
    heard = board_tones(recording(tmp_path / "taps.wav", 318.2, 318.2, 451.0, 318.2))
    assert len(heard.tones) == 1 and heard.rare_hz == pytest.approx((451.0,), rel=1e-3)


@pytest.mark.refusal
def test_a_recording_without_a_tap_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="no tap is heard"):
        board_tones(recording(tmp_path / "taps.wav"))
