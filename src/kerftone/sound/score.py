"""Which tongue is struck when, and how hard: every note in turn, then a short phrase.

Times in seconds from the start, speeds of the mallet head in m/s (1 m/s is a moderate blow: common
practice, no source). The phrase is the same for every drum with as many notes: two up and one down from
the lowest note to the highest, every fourth one stressed, then down again in wider steps, and the lowest and
the highest together at the end. It serves to hear neighbours side by side and notes ringing into each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LEAD_IN_S = 0.1
"""Silence before the first blow; own judgement."""
PAUSE_S = 0.6
"""Between the tongues one by one and the phrase; own judgement."""
BEAT_S = 0.28
"""Own judgement."""
SOFTER = 0.65
"""How hard an unstressed blow is against a stressed one; own judgement."""
LONGEST_CLIMB = 26
"""With more tongues some are passed over, so that the phrase stays short; own judgement."""


@dataclass(frozen=True, kw_only=True)
class Hit:
    """One blow: when, on which tongue (its place in the drum's list), at what speed."""

    at_s: float
    tongue: int
    speed_m_s: float


def in_turn(order: Sequence[int], *, spacing_s: float, speed_m_s: float) -> tuple[Hit, ...]:
    """When each tongue is struck once, in this order, evenly spaced.

    Parameters
    ----------
    order : Sequence[int]
        Tongues, counted from 0.
    spacing_s : float
        From one blow to the next, in s.
    speed_m_s : float
        Of the blows, in m/s.
    """
    return tuple(
        Hit(at_s=LEAD_IN_S + spacing_s * i, tongue=t, speed_m_s=speed_m_s) for i, t in enumerate(order)
    )


def phrase(order: Sequence[int], *, starts_s: float, speed_m_s: float) -> tuple[Hit, ...]:
    """The short phrase over these tongues, lowest first: when, which, how hard.

    Parameters
    ----------
    order : Sequence[int]
        Tongues, counted from 0, lowest first.
    starts_s : float
        When the first is struck, in s.
    speed_m_s : float
        Of the stressed blows, in m/s.

    Examples
    --------
    >>> [hit.tongue for hit in phrase(range(5), starts_s=0.0, speed_m_s=1.0)]
    [0, 2, 1, 3, 2, 4, 4, 2, 0, 0, 4]
    """
    places = [*_climb(len(order)), *_descent(len(order))]
    hits = []
    for beat, place in enumerate(places):
        stressed = speed_m_s if beat % 4 == 0 else SOFTER * speed_m_s
        hits.append(Hit(at_s=starts_s + beat * BEAT_S, tongue=order[place], speed_m_s=stressed))
    ends_s = starts_s + (len(places) + 1) * BEAT_S
    for place in sorted({0, len(order) - 1}):
        hits.append(Hit(at_s=ends_s, tongue=order[place], speed_m_s=speed_m_s))
    return tuple(hits)


def _climb(count: int) -> list[int]:
    """Two up, one down; drums of many notes skip some, so that the phrase stays short."""
    if count <= 3:
        return list(range(count))
    walk = [0]
    for i in range(1, count - 1):
        walk += [i + 1, i]
    walk.pop()
    if len(walk) > LONGEST_CLIMB:
        step = (len(walk) - 1) / (LONGEST_CLIMB - 1)
        walk = [walk[round(i * step)] for i in range(LONGEST_CLIMB)]
    return walk


def _descent(count: int) -> list[int]:
    """From the highest to the lowest in about four wide steps."""
    stride = max(1, count // 2)
    return [*range(count - 1, 0, -stride), 0]
