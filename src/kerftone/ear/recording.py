"""What a recording is, before anything is heard in it.

A recording is one channel of samples at its own rate: it is never resampled. Of a stereo recording the
better channel is taken, the one in which the taps stand highest above the quiet moments, and one whose peaks
are cut off only when there is no other. Samples are fractions of full scale; time is in seconds.

A short recording may be held whole (`Recording`); a long one is a `Sound`, which says what it is first and
then gives its samples block by block. Opening files is `guard`'s, reading their bytes `decode`'s.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Recording:
    """A recording held whole: samples (frames, channels) in -1..1, and the share of them that is cut off."""

    samples: Array
    sample_rate: int
    clipped: float


@dataclass(frozen=True, kw_only=True)
class About:
    """What a recording is, found in one pass over it.

    channels: how many there are; chosen: the one that is heard, from 0. frames: samples a channel. peak: the
    largest sample of the chosen channel against full scale. clipped: the share of its samples that lie in
    cut-off peaks. promised: how many frames the file says it has, where it says so. broken: why reading ended
    before the end of the file, in words; empty when it did not.
    """

    sample_rate: int
    channels: int
    chosen: int
    frames: int
    peak: float
    clipped: float
    promised: int | None = None
    broken: str = ""

    @property
    def seconds(self) -> float:
        """How long the recording is."""
        return self.frames / self.sample_rate


@dataclass(frozen=True, kw_only=True)
class Sound:
    """A recording that is open: what it is, and its chosen channel in blocks (n,), to be read once."""

    about: About
    blocks: Iterator[Array]

    def whole(self) -> Recording:
        """All of it at once, as one channel. For short recordings: memory grows with the length."""
        parts = list(self.blocks)
        samples = np.concatenate(parts) if parts else np.zeros(0)
        return Recording(
            samples=samples[:, None], sample_rate=self.about.sample_rate, clipped=self.about.clipped
        )
