"""Recordings the tests make themselves: struck tones of known pitch, in every format. Nothing is committed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import av
import numpy as np
import soundfile

Array = np.ndarray[Any, np.dtype[np.float64]]


def taps(
    pitches: Sequence[tuple[float, float]], *, rate: int = 44100, seconds: float = 3.0, noise: float = 1e-4
) -> Array:
    """Struck tones (hz, at_s), T60 0.9 s, with an upper tone that dies fast, in a little noise."""
    t = np.arange(round(seconds * rate)) / rate
    sound = noise * np.random.default_rng(7).standard_normal(len(t))
    for hz, at in pitches:
        on = np.maximum(t - at, 0.0)
        sound += (t >= at) * 0.3 * 10 ** (-3 * on / 0.9) * np.sin(2 * np.pi * hz * on)
        if 6.1 * hz < 0.45 * rate:
            sound += (t >= at) * 0.1 * 10 ** (-3 * on / 0.15) * np.sin(2 * np.pi * 6.1 * hz * on)
    return np.asarray(sound)


def written(
    path: Path, sound: Array, *, rate: int = 44100, kind: str | None = None, subtype: str = "PCM_16"
) -> Path:
    """A file by libsndfile; `kind` where the name's ending lies."""
    soundfile.write(path, sound, rate, format=kind, subtype=subtype)
    return path


def from_phone(path: Path, sound: Array, *, kind: str, codec: str, rate: int) -> Path:
    """A file as phones write it, by libav."""
    samples = np.float32(sound)[None]
    with av.open(str(path), "w", format=kind) as box:
        stream = box.add_stream(codec, rate=rate, layout="mono")
        for at in range(0, samples.shape[1], 1024):
            frame = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(samples[:, at : at + 1024]), format="fltp", layout="mono"
            )
            frame.sample_rate = rate
            box.mux(stream.encode(frame))
        box.mux(stream.encode(None))
    return path
