"""`kerftone bench start`, `log` and `status` in words."""

from __future__ import annotations

from kerftone.bench.replay import Bench
from kerftone.bench.standing import Standing
from kerftone.cli.screen import Column, say, show, show_table
from kerftone.jobs.bench_standing import DrumStanding
from kerftone.jobs.drum_at_bench import edits_words
from kerftone.jobs.read_log import LogRead
from kerftone.jobs.start_log import LogStarted
from kerftone.units import format_length

HALF, CENTS_A_SIGN = 10, 5.0
"""A bar has so many signs on each side of the note, each so many cents."""


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


def show_standing(done: DrumStanding) -> None:
    """Every tongue, with a bar for how far off it is."""
    bench, found = done.bench, done.tongues
    tell_edits(bench)
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
    in_tune = sum(one.remains == "nothing" for one in found)
    tolerance = bench.design.tuning.tolerance_cents
    show("")
    show(
        f"{in_tune} of {len(found)} tongue{'s are' if len(found) != 1 else ' is'} within {tolerance:g} cents. These "
        "are the taps as heard; `kerftone bench next` says what to do."
        + (
            " Some were tapped with the bottom off: it moves the pitch when it goes on."
            if done.bottomless
            else ""
        ),
        wrap=True,
    )


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


def show_started(done: LogStarted) -> None:
    """Where the log is, and what comes next."""
    count = len(done.drum.tongues)
    show(
        f"The log of {done.drum.name} is {done.log}. The drum is cut as the file says now, {count} "
        f"tongue{'s' * (count != 1)}. Tap each tongue, and record what it sounds with `kerftone bench tap`.",
        wrap=True,
    )


def show_log(done: LogRead) -> None:
    """Every entry in words."""
    tell_edits(done.bench)
    heads = (Column(head="Entry", number=True), Column(head="When (UTC)"), Column(head="Tongue"))
    show_table((*heads, Column(head="What")), done.rows())


def tell_edits(bench: Bench) -> None:
    """Say what was edited in the drum file since the drum was cut, and that it does not count."""
    words = edits_words(bench.edited)
    if words is not None:
        say(words, wrap=True)
