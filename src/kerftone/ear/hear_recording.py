"""What is heard in a recording that is a file; the one place where a recording without a strike is refused."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from kerftone.ear.guard import open_sound
from kerftone.ear.heard import Heard
from kerftone.ear.listen import analyse_stream
from kerftone.ear.recording import About, Array
from kerftone.errors import RecordingError

Watch = Callable[[Iterator[Array], About], Iterator[Array]]
"""Gets the blocks and what the recording is, and hands the same blocks on: to draw them, or to tell how far it is."""


def hear_recording(
    path: Path,
    *,
    part: bool = False,
    around_hz: Sequence[float] = (),
    within_cents: float = 150.0,
    watch: Watch | None = None,
) -> tuple[Heard, About]:
    """Which strikes are in this recording, and what the recording is.

    around_hz: pitches to look near, within so many cents; none given, everywhere. part: hear what is there of one
    that breaks off. Raises RecordingError, also when no strike is heard. Held by tests/ear/test_hear_recording.py.

    Parameters
    ----------
    path : Path
        The recording.
    part : bool, optional
        Hear what is there of one that breaks off.
    around_hz : Sequence[float], optional
        Pitches to look near, in Hz; none to look everywhere.
    within_cents : float, optional
        How near those, in cents.
    watch : Watch | None, optional
        Gets the blocks and hands them on: to draw them, or to tell how far it is.
    """
    with open_sound(path, part=part) as sound:
        about = sound.about
        blocks = sound.blocks if watch is None else watch(sound.blocks, about)
        heard = analyse_stream(blocks, about.sample_rate, around_hz=around_hz, hint_cents=within_cents)
    if not heard.strikes:
        raise _nothing_heard(path, about, heard.noise_db)
    return heard, about


def _nothing_heard(path: Path, about: About, noise_db: float) -> RecordingError:
    peak_db = 20.0 * math.log10(max(about.peak, 1e-10))
    return RecordingError(
        f"no strike is heard in its {about.seconds:.1f} s: the loudest moment is at {peak_db:.0f} dB of full "
        f"scale, the quiet ones at {noise_db:.0f} dB. A strike must stand out and ring for a moment: record "
        "closer to the drum, where it is quieter, and let each tap ring out.",
        path=str(path),
        given=peak_db,
        limit=noise_db,
    )
