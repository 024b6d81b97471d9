"""Which tones a board gives in a recording of taps: one for each pitch that is heard again and again.

All taps of a recording are meant for one hold and one motion. Strikes of one pitch are taken together; a pitch heard
less than half as often as the most frequent is a slip (a finger, a bench) and left out, and said so.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kerftone.ear.guard import open_sound
from kerftone.ear.listen import analyse_stream
from kerftone.ear.repeats import Repeated, same_pitch, together
from kerftone.errors import RecordingError, Remedy

RARE = 0.5
"""A pitch heard less than this share of the most frequent one is left out: our own judgement."""


@dataclass(frozen=True, kw_only=True)
class BoardHeard:
    """The tones of a recording, lowest first, and the pitches left out for being rare (Hz)."""

    tones: tuple[Repeated, ...]
    rare_hz: tuple[float, ...]


def board_tones(path: Path) -> BoardHeard:
    """The tones tapped in this recording. Raises RecordingError, also when no tap is heard in it.

    Held by tests/tune/test_board_taps.py.
    """
    with open_sound(path) as sound:
        heard = analyse_stream(sound.blocks, sound.about.sample_rate)
        seconds = sound.about.seconds
    groups = [together([heard.strikes[n] for n in group]) for group in same_pitch(heard.strikes)]
    if not groups:
        raise RecordingError(
            f"no tap is heard in its {seconds:.1f} s. A tap must stand out and ring for a moment: hold the board "
            "where it stands still, record close to it, and let each tap ring out.",
            path=str(path),
            remedy=Remedy.TAP_BOARD,
        )
    most = max(one.taps for one in groups)
    kept = tuple(one for one in groups if one.taps >= RARE * most)
    return BoardHeard(tones=kept, rare_hz=tuple(one.hz for one in groups if one.taps < RARE * most))
