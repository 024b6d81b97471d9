"""`kerftone fit`, `hear`, `layout`, `draw` and `plan` in words."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from kerftone.cli.prediction_words import explain, show_prediction
from kerftone.cli.screen import say, show
from kerftone.drum.paper import PAPER_NAMES
from kerftone.jobs.draw_layout import LayoutDrawn
from kerftone.jobs.draw_templates import TemplatesDrawn
from kerftone.jobs.find_lengths import LengthsFound, fit_words, reason_words
from kerftone.jobs.plan_drum import LAYOUT, MODES, PICKED, REPORT, SOUND, DrumPlanned
from kerftone.jobs.plan_shop import BOOKLET, CUTLIST, NUMBERS
from kerftone.jobs.prediction import stand_ins
from kerftone.jobs.preview_sound import SoundPreviewed
from kerftone.jobs.read_ends import EndsRead
from kerftone.jobs.ringing import ringing_words
from kerftone.jobs.share_drum import DrumShared

WHAT = {
    REPORT: "the report: open it in a browser, or print it",
    LAYOUT: "the top in plan, at true size",
    SOUND: "the sound",
    PICKED: "the sound through the pickup",
    MODES: "the numbers",
    BOOKLET: "the booklet: print it",
    CUTLIST: "the cut list, for a spreadsheet",
    NUMBERS: "the numbers",
}
"""What the files of a folder of results are, by their names, in the order in which they are told."""


def show_files(written: Iterable[Path]) -> None:
    """Which files were written, and what they are."""
    files = {path.name: path for path in written}
    for name, what in WHAT.items():
        if name in files:
            show(f"Wrote {files[name]}: {what}.")


def show_lengths(done: LengthsFound) -> None:
    """What the lengths found sound, and where they went."""
    show_prediction(done.prediction)
    show("")
    for words in fit_words(done.found, done.mend):
        show(words, wrap=True)
    show(f"Lengths written to {done.written}.")
    explain(done.prediction, stand_ins(done.prediction.drum))
    for one in done.reasons or ():
        show(reason_words(one), wrap=True)


def show_ends(done: EndsRead) -> None:
    """Which end went to which tongue, and where they were written."""
    for words in done.words():
        show(words)
    show(f"Wrote {done.written}; as it was before it is in {done.kept}.", wrap=True)
    say("Other ends, other notes: find the lengths again with kerftone fit.", wrap=True)


def show_sound(done: SoundPreviewed) -> None:
    """Which sound was written."""
    show(f"Wrote {done.written}: {done.seconds:.1f} s at {done.preview.rate_hz / 1000:g} kHz.")
    if done.struck:
        say(f"Struck in turn: {', '.join(done.struck)}.", wrap=True)
    say(done.preview.in_words(), wrap=True)
    say(ringing_words(done.heard), wrap=True)
    if done.pickup is not None:
        for check in done.pickup.checks():
            say(f"{check.name}: {check.numbers}.", wrap=True)


def show_layout(done: LayoutDrawn) -> None:
    """Which drawing was written, and how to print it."""
    show(f"Wrote {done.written}. Print it at 100 % and check its bar with a rule.")


def show_templates(done: TemplatesDrawn) -> None:
    """Which drawings were written, and how to print them."""
    for path in done.written:
        show(f"Wrote {path}.")
    if done.pages is not None:
        show(
            f"templates.pdf has {done.pages} {PAPER_NAMES[done.paper]} pages. Print it at 100 % "
            "and check the bars on a page with a rule before taping.",
            wrap=True,
        )


def show_shared(done: DrumShared) -> None:
    """Which file was written, and how to print it."""
    show(f"Wrote {done.written}.")
    show(
        f"Its last {done.templates} pages are the templates: print them at 100 % on {PAPER_NAMES[done.paper]} and "
        "check the bars with a rule.",
        wrap=True,
    )


def show_plan(done: DrumPlanned) -> None:
    """What the drum sounds, and which files were written."""
    show_prediction(done.prediction)
    show("")
    if done.lengths is not None:
        for words in fit_words(done.lengths.found, done.lengths.mend):
            show(words, wrap=True)
    show_files(done.written)
    explain(done.prediction, stand_ins(done.prediction.drum))
    if not done.well:
        say("")
        say("All is written, but this drum does not sound its notes: see the first lines above.", wrap=True)
