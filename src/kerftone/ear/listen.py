"""What was struck in a recording, and what pitch each strike has.

One channel of samples in, `Heard` out. Noise, hum and clipping first (`background`), then the moments of the
blows (`strikes`, and `swells` where noise drowns them), then for each blow the tones it set ringing and the
fundamental among them (`partials`), then that tone once more, carefully: its pitch with a ±, its drift and
its decay (`reading`).

A long recording is heard in pieces of a minute that overlap, so memory does not grow with its length; a
strike belongs to the piece in which it is heard whole. Decoding files, choosing a channel and drawing are
the neighbours' (`recording`, `decode`); names of notes and tongues are for `tune`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from kerftone.ear.background import Background, background, band_frames
from kerftone.ear.heard import Heard, Strike
from kerftone.ear.partials import fundamental, struck_tones
from kerftone.ear.strike_reading import read_strike
from kerftone.ear.strikes import onsets
from kerftone.ear.struck import Struck
from kerftone.ear.swells import swells
from kerftone.ear.where import Where
from kerftone.stopping import check_stopped

Array = NDArray[np.float64]

PIECE_S = 60.0
"""A long recording is heard in pieces of this length, to bound the memory; own judgement."""
OVERLAP_S = 6.0
"""Longer than a tongue rings, so that no strike is cut; own judgement."""
LEAST_S = 0.05
"""In less no pitch can be told; own judgement."""
NEAREST_S = 0.055
"""A blow ends what is read of the one before, by so much before it; own judgement."""
CLICK_S = 0.12
"""Two blows nearer than this may be a blow and a click."""
APART_S, LATE_S = 0.06, 0.03
"""A tone that comes up so little before a blow, or so little after it, belongs to it."""


def analyse(
    samples: Array, sample_rate: int, *, around_hz: Sequence[float] = (), hint_cents: float = 150.0
) -> Heard:
    """What is heard in these samples: every strike with its pitch, its ±, its decay and its partials.

    samples (n,): one channel, -1 to 1. around_hz: pitches that are expected (a hint, or those of a drum's
    tongues); the fundamental is then looked for within `hint_cents` of one of them only. Samples that are
    not numbers count as silence. A recording without a strike is no error: `strikes` is then empty.

    Parameters
    ----------
    samples : Array
        One channel, (n,), from -1 to 1.
    sample_rate : int
        Samples a second.
    around_hz : Sequence[float], optional
        Pitches to look near, in Hz; none to look everywhere.
    hint_cents : float, optional
        How near those, in cents.
    """
    return analyse_stream((samples,), sample_rate, around_hz=around_hz, hint_cents=hint_cents)


def analyse_stream(
    blocks: Iterable[Array], sample_rate: int, *, around_hz: Sequence[float] = (), hint_cents: float = 150.0
) -> Heard:
    """The same of a recording that comes block by block, of whatever length; memory stays bounded.

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
    ratio = 2.0 ** (hint_cents / 1200.0)
    windows = tuple((hz / ratio, hz * ratio) for hz in around_hz)
    strikes: list[Strike] = []
    grounds: list[Background] = []
    total = 0
    for start, piece, last in _pieces(blocks, sample_rate):
        check_stopped()
        total = start + len(piece)
        found, ground = _hear(piece, sample_rate, windows)
        grounds.append(ground)
        # The overlap is shared: its first half belongs to the piece before.
        first_s = 0.5 * OVERLAP_S if start else 0.0
        last_s = len(piece) / sample_rate - (0.0 if last else 0.5 * OVERLAP_S)
        strikes += [_moved(one, start / sample_rate) for one in found if first_s <= one.t_s < last_s]
    hums = [ground.hum_hz for ground in grounds if ground.hum_hz is not None]
    return Heard(
        strikes=tuple(strikes),
        sample_rate=sample_rate,
        clipped=any(ground.clipped for ground in grounds),
        noise_db=min((ground.noise_db for ground in grounds), default=-200.0),
        hum_hz=max(set(hums), key=hums.count) if 2 * len(hums) > len(grounds) else None,
        seconds=total / sample_rate,
    )


def _pieces(blocks: Iterable[Array], sample_rate: int) -> Iterator[tuple[int, Array, bool]]:
    """Pieces that overlap: where each begins, its samples, and whether it is the last."""
    size, step = round(PIECE_S * sample_rate), round((PIECE_S - OVERLAP_S) * sample_rate)
    start, held = 0, np.zeros(0)
    for block in blocks:
        for at in range(0, len(block), size):
            part = np.asarray(block[at : at + size], dtype=np.float64)
            held = np.concatenate([held, np.nan_to_num(part, nan=0.0, posinf=0.0, neginf=0.0)])
            while len(held) > size:
                yield start, held[:size], False
                start, held = start + step, held[step:]
    yield start, held, True


def _moved(strike: Strike, by_s: float) -> Strike:
    return replace(strike, t_s=strike.t_s + by_s) if by_s else strike


def _hear(
    samples: Array, sample_rate: int, windows: tuple[tuple[float, float], ...]
) -> tuple[list[Strike], Background]:
    """The strikes of one piece, times from its start."""
    if len(samples) < LEAST_S * sample_rate or not np.any(samples):
        silent = Background(
            bands=np.zeros(1), noise_db=-200.0, hum_hz=None, flat_tops=np.zeros(0, dtype=np.int64)
        )
        return [], silent
    frames = band_frames(samples, sample_rate)
    ground = background(samples, sample_rate, frames)
    sharp = onsets(samples, sample_rate, frames, ground)
    soft = [
        at for at in swells(samples, sample_rate) if all(not -APART_S <= at - one <= LATE_S for one in sharp)
    ]
    moments = _Moments(
        samples=samples,
        sample_rate=sample_rate,
        blows=tuple(round(at * sample_rate) for at in sorted(sharp + soft)),
        clipped=ground.clipped,
        hum_hz=ground.hum_hz,
        windows_hz=windows,
    )
    return [
        read_strike(where, tones, fundamental(tones, where), ground) for where, tones in moments.struck()
    ], ground


@dataclass(frozen=True, kw_only=True)
class _Moments:
    """The moments, in samples, at which something may have been struck, and where they are heard."""

    samples: Array
    sample_rate: int
    blows: tuple[int, ...]
    clipped: bool
    hum_hz: float | None
    windows_hz: tuple[tuple[float, float], ...]

    def struck(self) -> list[tuple[Where, list[Struck]]]:
        """Those after which something new rings, with what does.

        From the last to the first: a blow that proves to be a click does not end the ringing before it.
        """
        found: list[tuple[Where, list[Struck]]] = []
        for number in reversed(range(len(self.blows))):
            end = self._before(found[-1][0].blow) if found else len(self.samples)
            where = self._where(number, end)
            tones = struck_tones(where)
            if not tones and number + 1 < len(self.blows):
                where, tones = self._again(number, where, found)
            if tones:
                found.append((where, tones))
        return found[::-1]

    def _again(
        self, number: int, where: Where, found: list[tuple[Where, list[Struck]]]
    ) -> tuple[Where, list[Struck]]:
        """A blow after which nothing was found, heard up to another end.

        What was taken for a click may have been a blow, soft against this one, that spoils the segment; what
        was taken for a blow may be a click so soon after this one that it took its tones.
        """
        following = self.blows[number + 1]
        end = self._before(following)
        if end < where.end:
            shorter = self._where(number, end)
            if end - where.blow >= LEAST_S * self.sample_rate:
                return shorter, struck_tones(shorter)
        elif found and found[-1][0].blow - where.blow < CLICK_S * self.sample_rate:
            after = found[-2][0].blow if len(found) > 1 else None
            longer = self._where(number, self._before(after) if after is not None else len(self.samples))
            tones = struck_tones(longer)
            if _certainty(tones) > _certainty(found[-1][1]):
                found.pop()
                return longer, tones
        return where, []

    def _before(self, blow: int) -> int:
        return blow - round(0.004 * self.sample_rate)

    def _where(self, number: int, end: int) -> Where:
        # One that is too near leaves nothing to compare with: then the one before it.
        near = self.blows[number] - round(NEAREST_S * self.sample_rate)
        earlier = [blow for blow in self.blows[:number] if blow <= near]
        before = earlier[-1] + round(0.01 * self.sample_rate) if earlier else 0
        return Where(
            samples=self.samples,
            sample_rate=self.sample_rate,
            blow=self.blows[number],
            before=before,
            end=end,
            clipped=self.clipped,
            hum_hz=self.hum_hz,
            windows_hz=self.windows_hz,
        ).ended()


def _certainty(tones: list[Struck]) -> float:
    """How surely the surest of the firm tones is new."""
    return max((one.certainty for one in tones if one.firm), default=0.0)
