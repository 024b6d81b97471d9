"""How loud each pitch is from moment to moment, for a picture, of a recording of any length.

Frames of an eighth of a second, four to a frame's length, put into rows of equal width in cents from 40 Hz
up. When there are more columns than a picture can show, neighbours are joined by their louder, so memory
does not grow with the length. Levels are dB of a full-scale sine wave; drawing is `draw.hearing`'s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.fft

from kerftone.ear.recording import Array

FRAME_S = 0.125
"""Long enough to part low tones; own judgement."""
LOWEST_HZ, HIGHEST_HZ = 40.0, 8000.0
"""What is drawn: the pitches of tongues and their partials; own judgement."""
ROWS = 420
"""As many as a screen shows; own judgement."""
MOST_COLUMNS = 1600
"""As many as a screen shows; own judgement."""
FLOOR_DB = -140.0
"""Below what any recorder can tell."""


@dataclass(frozen=True, kw_only=True)
class Levels:
    """db (rows, columns), the pitches between the rows (rows + 1,), and the seconds a column lasts."""

    db: Array
    edges_hz: Array
    column_s: float


class Spectrogram:
    """Gathers the picture while the blocks go by."""

    def __init__(self, sample_rate: int) -> None:
        self.sample_rate = sample_rate
        self.hop = max(1, round(FRAME_S * sample_rate / 4))
        self.size = 4 * self.hop
        self.window = np.hanning(self.size + 2)[1:-1]
        # Twice as long as the frame, with zeros: the low rows are narrower than the frame's own steps.
        self.long = 2 * self.size
        top = min(HIGHEST_HZ, 0.49 * sample_rate)
        self.edges_hz = np.geomspace(LOWEST_HZ, top, ROWS + 1)
        bins = np.round(self.edges_hz * self.long / sample_rate).astype(np.int64)
        self.starts, self.last = bins[:-1], int(bins[-1])
        self.rest = np.zeros(self.size // 2)
        self.columns: list[Array] = []
        self.joined = 1
        self.waiting: list[Array] = []

    def take(self, block: Array) -> None:
        """Take in the next samples (n,)."""
        held = np.concatenate([self.rest, block])
        count = max(0, (len(held) - self.size) // self.hop + 1)
        frames = (
            np.lib.stride_tricks.sliding_window_view(held, self.size)[:: self.hop][:count] if count else ()
        )
        for frame in frames:
            self._column(np.asarray(frame))
        self.rest = held[count * self.hop :]

    def _column(self, frame: Array) -> None:
        scale = 2.0 / float(np.sum(self.window))
        power = np.abs(scipy.fft.rfft(frame * self.window, self.long) * scale) ** 2
        self.waiting.append(np.maximum.reduceat(power[: self.last + 1], self.starts))
        if len(self.waiting) == self.joined:
            self.columns.append(np.max(self.waiting, axis=0))
            self.waiting = []
        if len(self.columns) >= 2 * MOST_COLUMNS:
            even = self.columns[: 2 * (len(self.columns) // 2)]
            self.columns = [np.maximum(a, b) for a, b in zip(even[::2], even[1::2], strict=True)]
            self.joined *= 2

    def levels(self) -> Levels:
        """The picture so far."""
        columns = self.columns or [np.zeros(ROWS)]
        power = np.stack(columns, axis=1)
        db = 10.0 * np.log10(np.maximum(power, 10.0 ** (0.1 * FLOOR_DB)))
        return Levels(db=db, edges_hz=self.edges_hz, column_s=self.joined * self.hop / self.sample_rate)
