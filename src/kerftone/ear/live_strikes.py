"""Strikes one by one from a sound that does not end.

The last seconds are kept and heard again as new sound comes in. A strike is told once, when it has rung for
half a second or the next one has begun, so that its pitch is read on as much as there is without keeping
anyone waiting. Times are seconds from the first block.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from kerftone.ear.heard import Strike
from kerftone.ear.listen import analyse
from kerftone.ear.recording import Array

KEPT_S = 6.0
"""How much of the past is kept: longer than a tongue rings; own judgement."""
AGAIN_S = 0.25
"""How often what was heard is looked at again; own judgement."""
RUNG_S = 0.6
"""How long a strike must have rung before it is told; own judgement."""
SAME_S = 0.06
"""The start of one strike may be found this much earlier or later when it is heard again."""
EDGE_S = 0.5
"""What begins so near the start of what is kept was heard before; own judgement."""
LOUDER_DB = 12.0
"""How far a strike must peak above the noise to be told: a room is never quite still."""


def follow(
    blocks: Iterable[Array], sample_rate: int, *, around_hz: Sequence[float] = (), hint_cents: float = 150.0
) -> Iterator[Strike]:
    """Each strike as soon as it can be read. Ends when the blocks do.

    Parameters
    ----------
    blocks : Iterable[Array]
        One channel, from -1 to 1, block by block.
    sample_rate : int
        Samples a second.
    around_hz : Sequence[float], optional
        Pitches to look near, in Hz; none to look everywhere.
    hint_cents : float, optional
        How near those, in cents.
    """
    kept, start, fresh = np.zeros(0), 0, 0
    told = -1.0

    def new(last: bool) -> Iterator[Strike]:
        nonlocal told
        heard = analyse(kept, sample_rate, around_hz=around_hz, hint_cents=hint_cents)
        for number, one in enumerate(heard.strikes):
            at = start / sample_rate + one.t_s
            rung = len(kept) / sample_rate - one.t_s
            if start and one.t_s < EDGE_S:
                continue  # the cut beginning of what is kept, not a blow; a real one was told long ago
            ready = last or rung >= RUNG_S or number + 1 < len(heard.strikes)
            if ready and at > told + SAME_S and one.loudness_db > heard.noise_db + LOUDER_DB:
                told = at
                yield replace(one, t_s=at)

    for block in blocks:
        kept = np.concatenate([kept, block])
        fresh += len(block)
        most = round(KEPT_S * sample_rate)
        if len(kept) > most:
            start += len(kept) - most
            kept = kept[-most:]
        if fresh >= AGAIN_S * sample_rate:
            fresh = 0
            yield from new(False)
    yield from new(True)
