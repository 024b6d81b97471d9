"""Is this a pitch that this tongue can have? A slip of the pen or the wrong tongue shows as one that it cannot.

What is likely needs no model: a tongue that was heard and not touched since sounds as before; one that was cut lies
about between that and its note; one never heard lies about where the others do, seen from their notes; and on a
drum nobody has heard yet, an untested board may be far off. Cents, positive when sharp; Hz.
"""

from __future__ import annotations

import math

from kerftone.bench.facts import Tapped
from kerftone.bench.limits import called, tongue_of
from kerftone.bench.replay import Bench
from kerftone.errors import EntryError, Remedy
from kerftone.pitch import cents, sharpened
from kerftone.tune.history import Bottom, Tap

SEMITONE_CENTS = 100.0
"""A slip of the finger on a tuner's dial is a semitone at least."""
UNTESTED_CENTS = 400.0
"""How far the first tongue heard of a drum may be from its note: twice the scatter of an untested board's pitch,
about 190 cents by the Wood Handbook's coefficient of variation for stiffness."""
BOTTOM_CENTS = 100.0
"""How much more room a tap gets when the bottom was otherwise at the last: it moves the lowest notes most."""
LOWEST_HZ, HIGHEST_HZ = 20.0, 5000.0
"""Outside these no tongue of wood was tapped: own judgement, wide."""


def check_tap(bench: Bench, tap: Tapped, *, sure: bool, model_hz: float | None = None) -> None:
    """Refuse a tap that cannot be, or, unless `sure`, is a semitone or more from anything likely.

    What this tongue should sound by the model is likely too. Raises EntryError. Held by tests/bench/test_likely.py.

    Parameters
    ----------
    bench : Bench
        The drum at the bench: its log, replayed.
    tap : Tapped
        The tap that is to be recorded.
    sure : bool
        The maker says that it is so.
    model_hz : float | None, optional
        What the tongue should sound by the model and all that was heard, in Hz; None where that was not asked.
    """
    tongue_of(bench.design, tap.tongue)
    if not (math.isfinite(tap.hz) and LOWEST_HZ <= tap.hz <= HIGHEST_HZ):
        raise EntryError(
            f"The pitch is {tap.hz:g} Hz. Tongues sound between {LOWEST_HZ:g} and {HIGHEST_HZ:g} Hz: give what was "
            "heard in hertz, such as 231.4.",
            given=tap.hz,
            limit=(LOWEST_HZ, HIGHEST_HZ),
        )
    if tap.state in ("glued", "loose") and bench.design.bottom is None:
        raise EntryError(
            f"The tap is said to be with the bottom {tap.state}, but this drum was cut without a [bottom]. Say that "
            "it was off, or leave it unsaid."
        )
    if sure:
        return
    low, high = likely_cents(bench, tap)
    target = bench.targets_hz[tap.tongue - 1]
    if model_hz is not None:
        low = min(low, cents(model_hz, target) - SEMITONE_CENTS)
        high = max(high, cents(model_hz, target) + SEMITONE_CENTS)
    off = cents(tap.hz, target)
    if low < off < high:
        return
    near = [
        n
        for n, hz in enumerate(bench.targets_hz, start=1)
        if n != tap.tongue and abs(cents(tap.hz, hz)) < 100.0
    ]
    other = f" It is near the note of {called(bench.design, near[0])}: was it that one?" if near else ""
    raise EntryError(
        f"{tap.hz:g} Hz is {abs(off):.0f} cents {'flat' if off < 0 else 'sharp'} of the note of "
        f"{called(bench.design, tap.tongue)}. A semitone or more from anything likely: between "
        f"{sharpened(target, low):.1f} and "
        f"{sharpened(target, high):.1f} Hz was to be expected.{other} Check the number and the tongue.",
        given=tap.hz,
        limit=(sharpened(target, low), sharpened(target, high)),
        remedy=Remedy.BE_SURE,
    )


def likely_cents(bench: Bench, tap: Tapped) -> tuple[float, float]:
    """Between which bounds this tongue's pitch is likely to be, in cents from its note."""
    number = tap.tongue - 1
    heard: dict[int, tuple[float, Bottom]] = {}
    cut = False
    for event in bench.events:
        if isinstance(event, Tap):
            heard[event.tongue] = (cents(event.hz, bench.targets_hz[event.tongue]), event.state)
        cut = (cut or not isinstance(event, Tap)) and not (isinstance(event, Tap) and event.tongue == number)
    if number in heard:
        last, bottom = heard[number]
        room = SEMITONE_CENTS + (BOTTOM_CENTS if bottom != tap.state else 0.0)
        others = [0.0] if cut else []
        return min([last, *others]) - room, max([last, *others]) + room
    aim = bench.design.tuning.aim_cents
    if not heard:
        return min(0.0, aim) - UNTESTED_CENTS, max(0.0, aim) + UNTESTED_CENTS
    near = [0.0, aim, *(off for off, _ in heard.values())]
    room = SEMITONE_CENTS + (BOTTOM_CENTS if any(was != tap.state for _, was in heard.values()) else 0.0)
    return min(near) - room, max(near) + room
