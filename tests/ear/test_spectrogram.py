"""The map of a recording: a tone is where it is, in time and pitch, at its own level."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.ear import spectrogram
from kerftone.ear.spectrogram import Spectrogram

RATE = 16000


def tone(hz: float, seconds: float) -> np.ndarray:
    return 0.5 * np.sin(2 * np.pi * hz * np.arange(round(seconds * RATE)) / RATE)


@pytest.mark.parametrize("hz", [60.0, 147.0, 440.0, 3000.0])
def test_a_tone_stands_at_its_pitch_and_level(hz: float) -> None:
    gathered = Spectrogram(RATE)
    gathered.take(tone(hz, 1.0))
    levels = gathered.levels()
    row = int(np.argmax(levels.db[:, 16]))
    middle = np.sqrt(levels.edges_hz[row] * levels.edges_hz[row + 1])
    assert abs(1200 * np.log2(middle / hz)) < 1200 * np.log2(1 + 5.0 / hz) + 20
    assert levels.db[row, 16] == pytest.approx(20 * np.log10(0.5), abs=0.5)


def test_a_burst_stands_at_its_time() -> None:
    gathered = Spectrogram(RATE)
    gathered.take(np.concatenate([np.zeros(2 * RATE), tone(440.0, 0.2), np.zeros(RATE)]))
    levels = gathered.levels()
    at = (np.argmax(levels.db.max(axis=0)) + 0.5) * levels.column_s
    assert at == pytest.approx(2.1, abs=0.06)


def test_cutting_the_sound_into_blocks_changes_nothing() -> None:
    sound = np.random.default_rng(1).standard_normal(3 * RATE)
    whole, pieces = Spectrogram(RATE), Spectrogram(RATE)
    whole.take(sound)
    for at in range(0, len(sound), 1234):
        pieces.take(sound[at : at + 1234])
    assert np.allclose(whole.levels().db, pieces.levels().db)


def test_a_long_recording_keeps_few_columns_and_its_times(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spectrogram, "MOST_COLUMNS", 40)
    gathered = Spectrogram(RATE)
    sound = np.zeros(20 * RATE)
    sound[14 * RATE : 14 * RATE + RATE // 5] = tone(440.0, 0.2)
    for at in range(0, len(sound), 5000):
        gathered.take(sound[at : at + 5000])
    levels = gathered.levels()
    assert levels.db.shape[1] < 80
    assert (np.argmax(levels.db.max(axis=0)) + 0.5) * levels.column_s == pytest.approx(
        14.1, abs=2 * levels.column_s
    )
    assert levels.db.shape[1] * levels.column_s == pytest.approx(20.0, abs=2 * levels.column_s)
