"""Which part of a recording belongs to one blow.

A blow is heard from its moment to the next blow, or to where the sound is cut off or damped by a hand, and
compared with what was there before it. Everything here is counted in samples of the recording.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import scipy.ndimage
from numpy.typing import NDArray

from kerftone.ear.segment import Segment

Array = NDArray[np.float64]

SHORTEST_S = 0.04
"""In less no tone is fitted; own judgement."""
HUM_LINES, HUM_NEAR_HZ = 16, 2.0
"""How many multiples of the mains' frequency are looked at, and how near; own judgement."""
CUT_OFF = 0.003
"""A fall of 25 dB in 50 ms is no decay of wood (T60 0.12 s), it is a hand or the end of the take."""


@dataclass(frozen=True, kw_only=True)
class Where:
    """Where to listen: samples, the blow, the ends of what may be used before and after it, all in samples."""

    samples: Array
    sample_rate: int
    blow: int
    before: int
    end: int
    clipped: bool = False
    hum_hz: float | None = None
    windows_hz: Sequence[tuple[float, float]] = field(default=())

    def segment(self, skip_s: float, seconds: float, *, fall_part: float = 0.12) -> Segment | None:
        """The segment that begins `skip_s` after the blow; None where too little is left.

        Parameters
        ----------
        skip_s : float
            From the blow to its beginning, in s.
        seconds : float
            How long it is, in s.
        fall_part : float, optional
            What part of it falls off softly at its end.
        """
        first = self.blow + round(skip_s * self.sample_rate)
        last = min(self.end, first + round(seconds * self.sample_rate))
        if last - first < SHORTEST_S * self.sample_rate * 0.5:
            return None
        rise = min(0.010, max(0.003, skip_s))
        return Segment(self.samples[first:last], self.sample_rate, rise_s=rise, fall_part=fall_part)

    def ended(self) -> Where:
        """The same, its end brought forward to where the sound is cut off or damped by a hand."""
        step = max(1, round(0.005 * self.sample_rate))
        count = (self.end - self.blow) // step
        if count < 12:
            return self
        power = (self.samples[self.blow : self.blow + count * step].reshape(count, step) ** 2).mean(axis=1)
        # Medians of 50 ms, which a click does not move, against each other 50 ms apart.
        level = scipy.ndimage.median_filter(power, size=10, mode="nearest")
        falls = np.flatnonzero(level[10:] < CUT_OFF * level[:-10]) + 5
        falls = falls[falls >= 6]
        if not len(falls):
            return self
        return replace(self, end=self.blow + int(falls[0]) * step)

    def hinted(self, hz: float) -> bool:
        """Whether a pitch is where one is expected; everywhere when nothing is."""
        return not self.windows_hz or any(low <= hz <= high for low, high in self.windows_hz)

    def on_hum(self, hz: float) -> bool:
        """Whether a pitch lies on a line of the mains hum that this recording has."""
        if self.hum_hz is None:
            return False
        line = round(hz / self.hum_hz)
        return line <= HUM_LINES and abs(hz - line * self.hum_hz) < HUM_NEAR_HZ
