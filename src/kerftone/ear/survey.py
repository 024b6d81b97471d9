"""What a recording is and which of its channels to hear, in one pass that keeps nothing.

For each channel: its peak, how much of it lies in cut-off peaks (runs of three samples or more at one and the
same extreme), and how far its loudest moment stands above its quiet ones, from the levels of frames of 50 ms
counted in steps of 1 dB. The better channel has the greater height; one that is cut off loses 40 dB. Two
channels within 1 dB are as good as each other, and the louder is heard.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.decode import Block, BrokenError, Open
from kerftone.ear.recording import About

FRAME_S = 0.05
"""How finely loudness is counted; own judgement."""
LOWEST_DB = -100
"""From here on, to HIGHEST_DB, loudness is counted, of full scale; wide, own judgement."""
HIGHEST_DB = 20
"""Beyond full scale too: some files hold such numbers."""
QUIET_PART = 0.2
"""The quietest frames that tell the noise; own judgement."""
CUT_LOSES_DB = 40.0
"""How much worse a channel counts that is cut off at full scale; own judgement."""
CUT_SHARE = 1e-4
"""From this share of flat samples on it is cut off; own judgement."""
AS_GOOD_DB = 1.0
"""Channels nearer than this are alike, and the first is taken; own judgement."""
FLAT_RUN = 3
"""So many equal samples at the top are flat, not chance; own judgement."""
MOST_CHANNELS = 32
"""More are no recording of a tap; own judgement."""
LEAST_RATE, MOST_RATE = 4000, 400_000
"""Samples a second: outside these no recorder works; own judgement."""
MOST_S = 24 * 3600.0
"""A day: longer is a wrong file; own judgement."""
ESTIMATE_PART = 0.9
"""A length that is only estimated counts as met by this much of it."""
LOUDEST = 1000.0
"""Samples beyond this many times full scale are no sound but a damaged file."""


class UnfitError(Exception):
    """The file is sound, but not a recording of taps: the text says which limit it crosses."""


def check_shape(opened: Open) -> None:
    """Refuse rates, channels and lengths that no recording of taps has. Raises UnfitError."""
    if not LEAST_RATE <= opened.sample_rate <= MOST_RATE:
        raise UnfitError(
            f"it says it has {opened.sample_rate} samples a second. Recordings have {LEAST_RATE} to "
            f"{MOST_RATE}: record at 44100 or 48000"
        )
    if not 1 <= opened.channels <= MOST_CHANNELS:
        raise UnfitError(
            f"it says it has {opened.channels} channels. At most {MOST_CHANNELS} are read: save it in mono "
            "or stereo"
        )
    if opened.promised is not None and opened.promised > MOST_S * opened.sample_rate:
        hours = opened.promised / opened.sample_rate / 3600.0
        raise UnfitError(
            f"it is {hours:.0f} hours long. At most {MOST_S / 3600:.0f} hours are heard in one go: cut it "
            "into pieces"
        )


class Levels:
    """What is gathered of the channels while their blocks go by."""

    def __init__(self, sample_rate: int, channels: int) -> None:
        self.size = max(1, round(FRAME_S * sample_rate))
        self.counts = np.zeros((channels, HIGHEST_DB - LOWEST_DB + 1), dtype=np.int64)
        self.peaks = np.zeros((channels, 2))
        self.flat = np.zeros(channels, dtype=np.int64)
        self.rest = np.zeros((0, channels), dtype=np.float32)
        self.frames = 0

    def take(self, block: Block) -> None:
        """Count this block in."""
        self.frames += len(block)
        self._peaks(block)
        held = np.concatenate([self.rest, block])
        whole = len(held) // self.size
        used, self.rest = held[: whole * self.size], held[whole * self.size :]
        if whole:
            self._count(used.reshape(whole, self.size, -1))

    def _count(self, framed: Block) -> None:
        power = np.mean(framed.astype(np.float64) ** 2, axis=1)
        db = np.round(10.0 * np.log10(np.maximum(power, 1e-12)))
        steps = (np.clip(db, LOWEST_DB, HIGHEST_DB) - LOWEST_DB).astype(np.int64)
        for channel in range(steps.shape[1]):
            np.add.at(self.counts[channel], steps[:, channel], 1)

    def _peaks(self, block: Block) -> None:
        """The extremes, and how many samples lie in flat runs at them; a new extreme begins the count anew."""
        apart = np.ascontiguousarray(block.T)  # several times faster than down the columns
        ends = np.stack([apart.max(axis=1), -apart.min(axis=1)], axis=1).astype(np.float64)
        for channel, both in enumerate(ends):
            if np.any(both > self.peaks[channel] * (1.0 + 1e-5)):
                self.flat[channel] = 0
            self.peaks[channel] = np.maximum(self.peaks[channel], both)
            for sign, peak, end in zip((1.0, -1.0), self.peaks[channel], both, strict=True):
                if peak > 1e-4 and end >= peak * (1.0 - 1e-5):
                    self.flat[channel] += _flat(sign * apart[channel], peak)

    def best(self) -> int:
        """The channel to hear."""
        if self.rest.size and not self.counts.any():
            self._count(self.rest[None])
        heights = np.array([self._height_db(channel) for channel in range(len(self.counts))])
        good = np.flatnonzero(heights >= heights.max() - AS_GOOD_DB)
        return int(good[np.argmax(self.peaks[good].max(axis=1))])

    def _height_db(self, channel: int) -> float:
        count = self.counts[channel]
        if not count.any() or not self.peaks[channel].any():
            return -math.inf
        below = np.cumsum(count)
        quiet = int(np.searchsorted(below, QUIET_PART * below[-1]))
        loudest = int(np.flatnonzero(count)[-1])
        cut = self.flat[channel] > CUT_SHARE * self.frames
        # Digital silence between taps is no better than a very quiet room.
        return loudest - max(quiet, -90 - LOWEST_DB) - CUT_LOSES_DB * bool(cut)


def _flat(samples: NDArray[np.float32], peak: float) -> int:
    high = np.concatenate([[False], samples >= peak * (1.0 - 1e-5), [False]])
    turns = np.flatnonzero(high[1:] != high[:-1])
    runs = turns[1::2] - turns[::2]
    return int(runs[runs >= FLAT_RUN].sum())


def finite(block: Block) -> Block:
    """The block with silence where its samples are not numbers."""
    return np.nan_to_num(block, nan=0.0, posinf=0.0, neginf=0.0)


def survey(opened: Open, *, tick: Callable[[], None] = lambda: None) -> About:
    """Read all of an open file and say what it is. `tick` is called for each block. Raises UnfitError."""
    check_shape(opened)
    levels = Levels(opened.sample_rate, opened.channels)
    broken = "its end is missing" if opened.cut else ""
    try:
        for block in opened.blocks:
            levels.take(finite(block))
            tick()
            if levels.frames > MOST_S * opened.sample_rate:
                raise UnfitError(f"it goes on for more than {MOST_S / 3600:.0f} hours: cut it into pieces")
    except BrokenError as error:
        broken = str(error) or "its bytes make no sense there"
    if opened.estimate and levels.frames < ESTIMATE_PART * opened.estimate:
        broken = broken or "its end is missing"
    chosen = levels.best()
    peak = float(levels.peaks[chosen].max())
    if peak > LOUDEST:
        raise UnfitError(f"its samples reach {peak:.0e} times full scale, so it is damaged: save it again")
    return About(
        sample_rate=opened.sample_rate,
        channels=opened.channels,
        chosen=chosen,
        frames=levels.frames,
        peak=peak,
        clipped=float(levels.flat[chosen]) / max(levels.frames, 1),
        promised=opened.promised,
        broken=broken,
    )
