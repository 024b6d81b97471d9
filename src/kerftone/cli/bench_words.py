"""The commands at the bench in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kerftone.cli.screen import Table, cells, needle, say, show, show_table
from kerftone.draw.cautions import CAUTIONS
from kerftone.jobs.bench_standing import DrumStanding, apart_words, remains_words
from kerftone.units import bit_width, tool_length

if TYPE_CHECKING:
    from kerftone.bench.standing import Standing
    from kerftone.jobs.advise_next import StepAdvised
    from kerftone.jobs.map_bores import BoresMapped
    from kerftone.jobs.read_log import LogRead
    from kerftone.jobs.record_fact import FactRecorded
    from kerftone.jobs.record_taps import TakeRecorded
    from kerftone.jobs.start_log import LogStarted

WARNED = ("First", "Boring", "Dust")
"""The cautions that are told before a bore."""
HALF = 8
"""A needle in a table has so many places on each side of the note, and the table 80 columns."""


def show_standing(done: DrumStanding) -> None:
    """Every tongue, with a needle for how far off it is."""
    units = done.bench.design.units
    table: Table[Standing] = {
        "\nTongue": lambda one: f"{one.place} {one.note}",
        ">Target\nHz": lambda one: f"{one.target_hz:.1f}",
        ">Now\nHz": lambda one: "-" if one.now_hz is None else f"{one.now_hz:.1f}",
        ">Off\ncents": lambda one: (
            "-" if one.cents is None else f"{one.cents:+.0f} ±{one.plus_minus_cents:.1f}"
        ),
        "    flat | sharp\n-50      |      +50": lambda one: (
            "" if one.cents is None else needle(one.cents, HALF)
        ),
        ">\nBores": lambda one: str(one.bores),
        ">Wood\nleft": lambda one: tool_length(one.left_under_mm, units),
        "\nRemains": remains_words,
    }
    show_table(table, done.tongues)
    loose = " Some were tapped with the bottom not glued: the pitch moves when it is." * done.bottomless
    show(
        "",
        f"{done.words()} These are the taps as heard; `kerftone bench next` says what to do.{loose}",
        *apart_words(done.tongues),
    )


def show_started(done: LogStarted) -> None:
    """Where the log is, and what comes next."""
    count = len(done.drum.tongues)
    show(
        f"The log of {done.drum.name} is {done.log}. The drum is cut as the file says now, {count} "
        f"tongue{'s' * (count != 1)}. Tap each tongue, and record what it sounds with `kerftone bench tap`."
    )


def show_log(done: LogRead) -> None:
    """Every entry in words."""
    show_table(cells(">Entry", "When (UTC)", "Tongue", "What"), done.rows())


def show_csv(done: LogRead) -> None:
    """Every entry as a line of CSV."""
    from kerftone.jobs.read_log import csv_text

    show(csv_text(done.lines()).rstrip("\n"), wrap=False)


def show_recorded(done: FactRecorded | TakeRecorded) -> None:
    """The new entries, and what was left out of a recording."""
    show(*done.words())
    say(*(f"Left out: {words}" for words in done.left_out))


def show_map(done: BoresMapped) -> None:
    """Which map was written."""
    bit = bit_width(done.bit_mm, done.bench.design.units)
    show(f"Wrote {done.written}: the underside at full size, for a bit {bit} wide.", wrap=False)


def show_advice(done: StepAdvised) -> None:
    """The next step, what comes after it, what to mind, and what full solves give."""
    show(done.sentence)
    say(*done.remarks())
    if done.advice.bore is not None:
        say("", *(f"{head}: {words}" for head, words in CAUTIONS if head in WARNED))
    if done.confirmed_words is not None:
        show(done.confirmed_words)
