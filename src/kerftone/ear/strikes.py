"""When the wood was struck.

A blow lifts many bands at once within two hundredths of a second; a ringing tongue, a beat or steady noise
does not. So the rise of the level is measured in each band, in decibels over a floor that hides the noise,
and added up. What is found here are moments; whether a tone began there is for `partials` to say, which is
how a click of the workshop is told from a tap.

Times in seconds. The floor is four times the noise of the band, or 55 dB under the loudest moment.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.background import Background, Frames

Array = NDArray[np.float64]

LAG_FRAMES = 3
"""A rise is told against what was so many frames before; own judgement."""
DEAD_DB, MOST_DB = 1.5, 18.0
"""Rises smaller than the first are chance; larger than the second count no more."""
LEAST_RISE_DB = 9.0
"""The rises of all bands, added up, that make a blow."""
RANGE_DB = 55.0
"""What is so much weaker than the loudest is left out of the rises; own judgement."""
NEAREST_S = 0.06
"""Two blows nearer than this are one."""
OF_PREVIOUS, OF_LOUDEST = 0.01, 2.5e-4
"""A blow brings at least so much power, of what sounds just before it and of the loudest of the last second."""
BOUNCE_S, OF_BOUNCE = 0.2, 0.01
"""So soon after another the second share is larger: wood that was just struck still rattles."""
PROOF_S, FALL_POWER = 0.03, 0.03
"""A sound that falls by more than this within twice so long has ended."""


def rises(frames: Frames, background: Background) -> Array:
    """How much the bands rise at each frame, in decibels, added over the bands."""
    loudest = float(frames.total.max(initial=0.0))
    floor = np.maximum(4.0 * background.bands, loudest * 10.0 ** (-0.1 * RANGE_DB) / frames.power.shape[1])
    level = 10.0 * np.log10(frames.power + np.maximum(floor, 1e-20))
    before = np.maximum(level[:-LAG_FRAMES], level[1 : 1 - LAG_FRAMES])
    step = np.clip(level[LAG_FRAMES:] - before - DEAD_DB, 0.0, MOST_DB)
    return np.concatenate([np.zeros(LAG_FRAMES), step.sum(axis=1)])


def onsets(samples: Array, sample_rate: int, frames: Frames, background: Background) -> list[float]:
    """The moments, in seconds, at which something was struck.

    Parameters
    ----------
    samples : Array
        One channel, (n,), from -1 to 1.
    sample_rate : int
        Samples a second.
    frames : Frames
        The same samples as short spectra.
    background : Background
        The noise they stand out from.
    """
    rise = rises(frames, background)
    apart = max(1, round(NEAREST_S / frames.hop_s))
    taken = np.zeros(len(rise), dtype=bool)
    found: list[int] = []
    for at in np.argsort(rise)[::-1]:
        if rise[at] < LEAST_RISE_DB:
            break
        if not taken[at]:
            found.append(int(at))
            taken[max(0, at - apart) : at + apart + 1] = True
    heavy = _heavy_enough(frames, sorted(found))
    # Frame k begins k hops after one frame of silence put before the recording.
    starts = [at * frames.hop_s - frames.frame_s for at in heavy]
    moments = [_sharpened(samples, sample_rate, start, frames.frame_s) for start in starts]
    return [at for at in moments if _goes_on(samples, sample_rate, at)]


def _heavy_enough(frames: Frames, places: list[int]) -> list[int]:
    """Those frames at which enough power comes, of what sounded before."""
    power, total = frames.power, frames.total
    second = max(1, round(1.0 / frames.hop_s))
    kept: list[int] = []
    for at in places:
        past = max(0, at - LAG_FRAMES)
        new = max(
            float(np.maximum(power[k] - power[past], 0.0).sum())
            for k in range(at, min(at + LAG_FRAMES, len(power)))
        )
        soon = bool(kept) and (at - kept[-1]) * frames.hop_s < BOUNCE_S
        share = OF_BOUNCE if soon else OF_LOUDEST
        loudest = float(total[max(0, at - second) : at + LAG_FRAMES].max())
        if new >= OF_PREVIOUS * total[past] and new >= share * loudest:
            kept.append(at)
    return kept


def _goes_on(samples: Array, sample_rate: int, at_s: float) -> bool:
    """Whether more sounds after this moment than before it, or nearly: where a sound is cut off, it does not."""
    at, reach = round(at_s * sample_rate), round(PROOF_S * sample_rate)
    after = samples[at + reach : at + 2 * reach]
    before = samples[max(0, at - reach) : at]
    if len(after) < reach // 2:
        return False
    return float(np.mean(after**2)) > FALL_POWER * (float(np.mean(before**2)) if len(before) else 0.0)


def _sharpened(samples: Array, sample_rate: int, start_s: float, frame_s: float) -> float:
    """The moment within a frame at which the blow comes: where the power of 1 ms jumps most."""
    step = max(1, round(0.001 * sample_rate))
    first = max(0, round((start_s - 0.6 * frame_s) * sample_rate))
    last = min(len(samples), round((start_s + 1.3 * frame_s) * sample_rate))
    count = (last - first) // step
    if count < 4:
        return max(0.0, start_s)
    # In the samples and in their differences, because a blow is sharper than what rings on under it; the
    # one that shows it more clearly has the word.
    piece = samples[first : first + count * step]
    shown = [_jump(one.reshape(count, step), first == 0) for one in (piece, np.diff(piece, prepend=piece[0]))]
    at = max(shown)[1]
    return (first + at * step) / sample_rate


def _jump(pieces: Array, from_silence: bool) -> tuple[float, int]:
    """By how much (log of a ratio) and at which piece the power rises most."""
    power = (pieces**2).mean(axis=1)
    count = len(power)
    ahead = np.array([power[k : k + 4].mean() for k in range(count)])
    behind = np.array([power[max(0, k - 6) : k].mean() if k else 0.0 for k in range(count)])
    if not from_silence:
        behind[0] = ahead[0]
    rise = np.log(ahead + 1e-12) - np.log(behind + 0.01 * power.max() + 1e-12)
    at = int(np.argmax(rise))
    return float(rise[at]), at
