"""The commands at the bench in words."""

from __future__ import annotations

from operator import itemgetter

from kerftone.bench.replay import Bench
from kerftone.bench.standing import Standing
from kerftone.cli.screen import Column, say, show, show_table
from kerftone.draw.cautions import CAUTIONS
from kerftone.jobs.advise_next import StepAdvised
from kerftone.jobs.bench_standing import DrumStanding, remains_words
from kerftone.jobs.drum_at_bench import edits_words
from kerftone.jobs.entry_words import entry_line
from kerftone.jobs.map_bores import BoresMapped
from kerftone.jobs.read_log import LogRead, csv_text
from kerftone.jobs.record_fact import FactRecorded
from kerftone.jobs.record_taps import TakeRecorded
from kerftone.jobs.start_log import LogStarted
from kerftone.units import Units, bit_width, tool_length

WARNED = ("First", "Boring", "Dust")
"""The cautions that are told before a bore."""
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
    tell_edits(done.bench)
    show_table(_columns(done.bench.design.units), done.tongues)
    show("")
    loose = " Some were tapped with the bottom not glued: the pitch moves when it is." * done.bottomless
    show(
        f"{done.words()} These are the taps as heard; `kerftone bench next` says what to do.{loose}",
        wrap=True,
    )


def _columns(units: Units) -> tuple[Column[Standing], ...]:
    return (
        Column("\nTongue", lambda one: f"{one.place} {one.note}"),
        Column("Target\nHz", lambda one: f"{one.target_hz:.1f}", number=True),
        Column("Now\nHz", lambda one: "-" if one.now_hz is None else f"{one.now_hz:.1f}", number=True),
        Column("Off\ncents", _off, number=True),
        Column("flat | sharp\n-50  |  +50", lambda one: "" if one.cents is None else bar(one.cents)),
        Column("\nBores", lambda one: str(one.bores), number=True),
        Column("Wood\nleft", lambda one: tool_length(one.left_under_mm, units), number=True),
        Column("\nRemains", remains_words),
    )


def _off(one: Standing) -> str:
    return "-" if one.cents is None else f"{one.cents:+.0f} ±{one.plus_minus_cents:.1f}"


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
    heads = ("Entry", "When (UTC)", "Tongue", "What")
    columns = [Column(head, itemgetter(n), number=n == 0) for n, head in enumerate(heads)]
    show_table(columns, done.rows())


def show_csv(done: LogRead) -> None:
    """Every entry as a line of CSV."""
    tell_edits(done.bench)
    show(csv_text(done.lines()).rstrip("\n"))


def tell_edits(bench: Bench) -> None:
    """Say what was edited in the drum file since the drum was cut, and that it does not count."""
    words = edits_words(bench.edited)
    if words is not None:
        say(words, wrap=True)


def show_recorded(done: FactRecorded) -> None:
    """The new entry."""
    tell_edits(done.bench)
    show(f"{entry_line(done.entry, done.bench)}.", wrap=True)


def show_take(done: TakeRecorded) -> None:
    """The new entries of a recording, and what was left out of it."""
    tell_edits(done.bench)
    for entry, one in zip(done.entries, done.heard, strict=True):
        many = "s" * (one.taps != 1)
        show(f"{entry_line(entry, done.bench)}, {one.taps} tap{many}.", wrap=True)
    for left_out in done.left_out:
        say(f"Left out: {left_out}", wrap=True)


def show_map(done: BoresMapped) -> None:
    """Which map was written."""
    tell_edits(done.bench)
    bit = bit_width(done.bit_mm, done.bench.design.units)
    show(f"Wrote {done.written}: the underside at full size, for a bit {bit} wide.")


def show_advice(done: StepAdvised) -> None:
    """The next step, what comes after it, what to mind, and what full solves give."""
    tell_edits(done.bench)
    show(done.sentence, wrap=True)
    for remark in done.remarks():
        say(remark, wrap=True)
    if done.advice.bore is not None:
        say("")
        for head, words in CAUTIONS:
            if head in WARNED:
                say(f"{head}: {words}", wrap=True)
    if done.confirmed_words is not None:
        show(done.confirmed_words, wrap=True)
