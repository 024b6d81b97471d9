"""What a recording of taps says for the log: which tongues were struck and how each sounds.

A maker taps one tongue, or all of them in a run, several times each if he likes. The strikes are heard
(`kerftone.ear`), given to tongues (`kerftone.tune.match`), and those of one tongue taken together: one tap for the
log per tongue, the median, with its ±. Pitches in Hz, ± in cents as one standard deviation, times in seconds;
tongues count from 1.

What is doubtful is kept apart from what is sure, and no doubtful pitch goes into the log unasked: a false pitch
there misleads every bore that follows. Where the tongues should sound is the caller's to say (`Expected`), best
from what is believed of the drum as it is now. Keeping the sound itself is `kept_sounds.py`'s.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from kerftone.ear.hear_recording import hear_recording
from kerftone.ear.heard import Strike
from kerftone.ear.repeats import SAME_CENTS, apart_words, together
from kerftone.errors import EntryError, Remedy
from kerftone.pitch import cents
from kerftone.tune.match import REACH, Expected, Matched, match_one, match_strikes

MOST_TO_ONE = 2
"""Strikes on one tongue that agree count without the others where they are more than so many to each of these."""
LEAST_REACH_CENTS = 150.0
"""How far round each expected pitch the fundamental is looked for, at least."""


@dataclass(frozen=True, kw_only=True)
class TongueHeard:
    """One tongue as its taps in the recording say together.

    taps: how many strikes count. doubt: sentences on what may be wrong with it; empty when nothing is known to be.
    """

    tongue: int
    name: str
    hz: float
    plus_minus_cents: float
    taps: int
    doubt: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TapsHeard:
    """A recording of taps. unplaced: the strikes that were given to no tongue, in words."""

    tongues: tuple[TongueHeard, ...]
    unplaced: tuple[str, ...]

    @property
    def doubts(self) -> tuple[str, ...]:
        """Everything that must be asked about before this goes into the log."""
        return (*(f"{one.name}: {words}" for one in self.tongues for words in one.doubt), *self.unplaced)


def hear_taps(path: Path, tongues: Sequence[Expected], *, part: bool = False) -> TapsHeard:
    """How the tongues sound that were tapped in this recording.

    One tongue given: every strike was on it. Several: the run is matched to them as a whole. `part` hears a
    recording that breaks off. Raises RecordingError, also when no strike is in it. Held by
    tests/bench/test_recorded.py.

    Parameters
    ----------
    path : Path
        The recording.
    tongues : Sequence[Expected]
        Those that may have been tapped, with where each should sound.
    part : bool, optional
        Hear what is there of a recording that breaks off.
    """
    reach = max(LEAST_REACH_CENTS, REACH * max(one.plus_minus_cents for one in tongues))
    near = tuple(one.hz for one in tongues)
    heard, _ = hear_recording(path, part=part, around_hz=near, within_cents=reach)
    return placed(heard.strikes, tongues)


def placed(strikes: Sequence[Strike], tongues: Sequence[Expected]) -> TapsHeard:
    """The strikes given to their tongues, those of one tongue taken together."""
    matched = match_one(strikes, tongues[0]) if len(tongues) == 1 else match_strikes(strikes, tongues)
    names = {one.number: one.name for one in tongues}
    heard, strays = [], []
    for number in sorted({m.tongue for m in matched.matches if m.tongue is not None}):
        one, away = _tongue(number, names[number], strikes, matched)
        heard.append(one)
        strays += away
    return TapsHeard(tongues=tuple(heard), unplaced=(*strays, *_unplaced(strikes, matched)))


def _without_strays(strikes: Sequence[Strike]) -> tuple[list[Strike], list[Strike]]:
    """The strikes that agree, where they are by far the most, and those that do not; else all, and none."""
    middle = together(strikes).hz
    near = [one for one in strikes if abs(cents(one.hz, middle)) <= SAME_CENTS]
    far = [one for one in strikes if abs(cents(one.hz, middle)) > SAME_CENTS]
    return (near, far) if len(near) > MOST_TO_ONE * len(far) else (list(strikes), [])


def _tongue(
    number: int, name: str, strikes: Sequence[Strike], matched: Matched
) -> tuple[TongueHeard, list[str]]:
    """What one tongue's taps say together, and the strikes among them that do not agree, in words."""
    mine = [
        (strike, match)
        for strike, match in zip(strikes, matched.matches, strict=True)
        if match.tongue == number
    ]
    # Strikes that the ear doubts do not count while there are others.
    good = [strike for strike, _ in mine if not strike.doubt]
    counted, strays = _without_strays(good or [strike for strike, _ in mine])
    whole = together(counted)
    said = [words for strike, match in mine for words in match.doubt if strike not in strays]
    if not good:
        said += [words for strike, _ in mine for words in strike.doubt]
    apart = apart_words(counted, name)
    said += [] if apart is None else [apart]
    one = TongueHeard(
        tongue=number,
        name=name,
        hz=whole.hz,
        plus_minus_cents=whole.plus_minus_cents,
        taps=len(counted),
        doubt=tuple(dict.fromkeys(said)),
    )
    away = [
        f"The strike at {strike.t_s:.1f} s at {strike.hz:.1f} Hz, {cents(strike.hz, whole.hz):+.0f} cents from the "
        f"other {len(counted)} on {name}: was it that tongue?"
        for strike in strays
    ]
    return one, away


def _unplaced(strikes: Sequence[Strike], matched: Matched) -> tuple[str, ...]:
    told = []
    for strike, match in zip(strikes, matched.matches, strict=True):
        if match.tongue is None:
            pitch = f" at {strike.hz:.1f} Hz" if math.isfinite(strike.hz) else ""
            told.append(f"The strike at {strike.t_s:.1f} s{pitch}: {' '.join(match.doubt)}")
    return tuple(told)


def check_sure(path: Path, heard: TapsHeard, *, sure: bool) -> tuple[TongueHeard, ...]:
    """The tongues to record: those without a doubt, or all where the maker says that it is so.

    What is left out is told by `left_out`. Refuses a recording in which nothing is sure. Raises EntryError.

    Parameters
    ----------
    path : Path
        The recording, to name it.
    heard : TapsHeard
        What was heard in it.
    sure : bool
        The maker says that it is so.
    """
    if not heard.tongues:
        raise EntryError(
            f"{path}: {len(heard.unplaced)} strikes are heard and none fits a tongue. {' '.join(heard.unplaced)} "
            "Nothing was recorded: tap one tongue at a time and name it.",
            remedy=Remedy.NAME_TONGUE,
        )
    kept = heard.tongues if sure else tuple(one for one in heard.tongues if not one.doubt)
    if not kept:
        raise EntryError(
            f"{path}: {' '.join(heard.doubts)} Nothing was recorded: tap again with each tongue ringing out, or name "
            "the one that was tapped.",
            remedy=(Remedy.NAME_TONGUE, Remedy.BE_SURE),
        )
    return kept


def left_out(heard: TapsHeard, kept: Sequence[TongueHeard]) -> tuple[str, ...]:
    """What was heard and is not recorded, in words: strikes that fit nothing, and tongues that are in doubt."""
    doubtful = [one for one in heard.tongues if one not in kept]
    return (*(f"{one.name}, {one.hz:.1f} Hz: {' '.join(one.doubt)}" for one in doubtful), *heard.unplaced)
