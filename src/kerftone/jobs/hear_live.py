"""What does each tap sound, as it is struck? The microphone, strike by strike, until it is stopped."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kerftone.jobs.expected_taps import ExpectedTaps, TapsRequest, expect_taps, place_strikes
from kerftone.jobs.progress import Progress
from kerftone.jobs.recording_heard import PlacedStrike, RecordingHeard
from kerftone.stopping import obeying

if TYPE_CHECKING:
    from kerftone.ear.heard import Strike
    from kerftone.ear.microphone import Listening
    from kerftone.ear.recording import Array


@dataclass
class LiveHearing:
    """What has been heard so far; it grows while it is listened to.

    Iterate over `strikes(source)`: each strike comes as soon as it can be read. It ends when the sound does, when the
    progress is told to stop, or by Ctrl-C; what was heard stays, and `summary` tells it once more.
    """

    expected: ExpectedTaps
    progress: Progress
    sample_rate: int = 0
    _heard: list[Strike] = field(default_factory=list)

    def strikes(self, source: AbstractContextManager[Listening] | None = None) -> Iterator[PlacedStrike]:
        """Each strike with its tongue. `source`: the system's microphone unless another is given."""
        from kerftone.ear.live_strikes import follow
        from kerftone.ear.microphone import open_microphone

        with source or open_microphone() as sound:
            self.sample_rate = sound.sample_rate
            self.progress(f"Listening to {sound.name}.")
            near = self.expected
            blocks = self._until_told(sound.blocks)
            for strike in follow(
                blocks, sound.sample_rate, around_hz=near.around_hz, hint_cents=near.within_cents
            ):
                self._heard.append(strike)
                yield place_strikes(self._heard, near)[0][-1]

    def _until_told(self, blocks: Iterable[Array]) -> Iterator[Array]:
        for block in blocks:
            if self.progress.told_to_stop.told:
                return
            yield block

    def summary(self) -> RecordingHeard | None:
        """Everything heard, as of one recording; None where there was no strike."""
        from kerftone.ear.heard import Heard

        if not self._heard:
            return None
        whole = Heard(
            strikes=tuple(self._heard),
            sample_rate=self.sample_rate,
            clipped=False,
            noise_db=math.nan,
            hum_hz=None,
            seconds=self._heard[-1].t_s,
        )
        strikes = place_strikes(self._heard, self.expected)[0]
        return RecordingHeard(
            file="Heard live", heard=whole, strikes=strikes, reference_hz=self.expected.reference_hz
        )


def hear_live(request: TapsRequest, progress: Progress | None = None) -> LiveHearing:
    """Get ready to listen: solve the drum, if one is named, so that its tongues are known."""
    own = Progress() if progress is None else progress
    with obeying(own.told_to_stop):
        return LiveHearing(expected=expect_taps(request, own), progress=own)
