"""`kerftone bench status`: every tongue now, its target, and what remains to do, with a bar for each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from kerftone.bench.replay import Bench
from kerftone.bench.standing import Standing, standings
from kerftone.cli.bench_place import opened, tell_edits
from kerftone.cli.screen import Column, emit, show, show_table
from kerftone.units import format_length

HALF, CENTS_A_SIGN = 10, 5.0
"""A bar has so many signs on each side of the note, each so many cents."""


def run(given: Path, *, as_json: bool) -> None:
    """Show where a drum stands at the bench."""
    with opened(given) as drum:
        bench = drum.bench()
    found = standings(bench)
    if as_json:
        emit({"tongues": [_record(one) for one in found], "edited": list(bench.edited)})
        return
    tell_edits(bench)
    _show(bench, found)


def bar(off_cents: float) -> str:
    """How far off a tongue is, as a bar from the middle: flat to the left, sharp to the right; > or < beyond.

    >>> bar(-12.0)
    '.......###|..........'
    """
    signs = min(HALF, round(abs(off_cents) / CENTS_A_SIGN + 0.499))
    beyond = abs(off_cents) > HALF * CENTS_A_SIGN
    filled = ("#" * signs).ljust(HALF, ".")
    if off_cents < 0:
        return ("<" + filled[::-1][1:] if beyond else filled[::-1]) + "|" + "." * HALF
    return "." * HALF + "|" + (filled[:-1] + ">" if beyond else filled)


def _show(bench: Bench, found: tuple[Standing, ...]) -> None:
    columns = [
        Column(head="\nTongue"),
        Column(head="Target\nHz", number=True),
        Column(head="Now\nHz", number=True),
        Column(head="Off\ncents", number=True),
        Column(head="flat | sharp\n-50  |  +50"),
        Column(head="\nBores", number=True),
        Column(head="Wood\nleft", number=True),
        Column(head="\nRemains"),
    ]
    show_table(columns, [_row(bench, one) for one in found])
    done = sum(one.remains == "nothing" for one in found)
    tolerance = bench.design.tuning.tolerance_cents
    show("")
    show(
        f"{done} of {len(found)} tongue{'s are' if len(found) != 1 else ' is'} within {tolerance:g} cents. These are "
        "the taps as heard; `kerftone bench next` says what to do."
        + (
            " Some were tapped with the bottom off: it moves the pitch when it goes on."
            if _bottomless(bench, found)
            else ""
        ),
        wrap=True,
    )


def _bottomless(bench: Bench, found: tuple[Standing, ...]) -> bool:
    return bench.design.bottom is not None and any(one.bottom_on is False for one in found)


def _row(bench: Bench, one: Standing) -> tuple[str, ...]:
    heard = one.cents is not None and one.now_hz is not None
    return (
        f"{one.number} {one.note} {one.place}",
        f"{one.target_hz:.1f}",
        f"{one.now_hz:.1f}" if heard else "-",
        f"{one.cents:+.0f} ±{one.plus_minus_cents:.1f}" if heard else "-",
        bar(one.cents) if one.cents is not None else "",
        str(one.bores),
        format_length(one.left_under_mm, bench.design.units),
        _remains(one),
    )


def _remains(one: Standing) -> str:
    if one.remains == "nothing":
        return "in tune"
    if one.remains in ("raise", "lower") and one.cents is not None:
        return f"{one.remains} {abs(one.cents):.0f}"
    return one.remains


def _record(one: Standing) -> dict[str, Any]:
    def rounded(value: float | None, digits: int) -> float | None:
        return None if value is None else round(value, digits)

    return {
        "tongue": one.number,
        "note": one.note,
        "place": one.place,
        "target_hz": round(one.target_hz, 4),
        "now_hz": rounded(one.now_hz, 4),
        "now_cents": rounded(one.cents, 3),
        "plus_minus_cents": rounded(one.plus_minus_cents, 3),
        "bottom_on": one.bottom_on,
        "taps": one.taps,
        "bores": one.bores,
        "left_under_mm": round(one.left_under_mm, 4),
        "remains": one.remains,
    }
