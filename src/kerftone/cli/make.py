"""`kerftone fit`, `ends`, `hear`, `layout`, `draw`, `share`, `plan` and `build` in words.

Jobs that draw are named for their types only: a command that draws nothing does not wait for what draws.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.cli.prediction_words import explain, show_prediction
from kerftone.cli.screen import Table, say, show, show_table
from kerftone.drum.paper import PAPER_NAMES
from kerftone.jobs.find_lengths import LengthsFound, fit_words, reason_words
from kerftone.jobs.ringing import ringing_words
from kerftone.shop.measure import measure_of
from kerftone.units import format_mass

if TYPE_CHECKING:
    from kerftone.jobs.draw_layout import LayoutDrawn
    from kerftone.jobs.draw_templates import TemplatesDrawn
    from kerftone.jobs.plan_drum import DrumPlanned
    from kerftone.jobs.plan_shop import ShopPlanned
    from kerftone.jobs.preview_sound import SoundPreviewed
    from kerftone.jobs.read_ends import EndsRead
    from kerftone.jobs.share_drum import DrumShared
    from kerftone.shop.parts import Part

MARKS = {"mend": "MEND", "mind": "MIND", "good": "good"}
"""How a check ended: the worst are shown first."""


def show_files(written: Iterable[Path], what: Mapping[str, str]) -> None:
    """Which files were written, and what they are, by their names and in that order."""
    files = {path.name: path for path in written}
    show(*(f"Wrote {files[name]}: {words}." for name, words in what.items() if name in files), wrap=False)


def show_lengths(done: LengthsFound) -> None:
    """What the lengths found sound, and where they went."""
    show_prediction(done.prediction)
    show("", *fit_words(done.found, done.mend))
    show(f"Lengths written to {done.written}.", wrap=False)
    explain(done.prediction)
    show(*map(reason_words, done.reasons or ()))


def show_ends(done: EndsRead) -> None:
    """Which end went to which tongue, and where they were written."""
    show(*done.words(), f"Wrote {done.written}; as it was before it is in {done.kept}.")
    say("Other ends, other notes: find the lengths again with kerftone fit.")


def show_sound(done: SoundPreviewed) -> None:
    """Which sound was written."""
    show(f"Wrote {done.written}: {done.seconds:.1f} s at {done.preview.rate_hz / 1000:g} kHz.", wrap=False)
    if done.struck:
        say(f"Struck in turn: {', '.join(done.struck)}.")
    say(done.preview.in_words(), ringing_words(done.heard))
    say(*(check.words() for check in (() if done.pickup is None else done.pickup.checks())))


def show_layout(done: LayoutDrawn) -> None:
    """Which drawing was written, and how to print it."""
    show(f"Wrote {done.written}. Print it at 100 % and check its bar with a rule.", wrap=False)


def show_templates(done: TemplatesDrawn) -> None:
    """Which drawings were written, and how to print them."""
    show(*(f"Wrote {path}." for path in done.written), wrap=False)
    if done.pages is not None:
        show(
            f"templates.pdf has {done.pages} {PAPER_NAMES[done.paper]} pages. Print it at 100 % "
            "and check the bars on a page with a rule before taping."
        )


def show_shared(done: DrumShared) -> None:
    """Which file was written, and how to print it."""
    show(f"Wrote {done.written}.", wrap=False)
    show(
        f"Its last {done.templates} pages are the templates: print them at 100 % on {PAPER_NAMES[done.paper]} and "
        "check the bars with a rule."
    )


def show_plan(done: DrumPlanned) -> None:
    """What the drum sounds, and which files were written."""
    from kerftone.jobs.plan_drum import WHAT

    show_prediction(done.prediction)
    show("", *(() if done.lengths is None else fit_words(done.lengths.found, done.lengths.mend)))
    show_files(done.written, WHAT)
    explain(done.prediction)
    if not done.well:
        say("", "All is written, but this drum does not sound its notes: see the first lines above.")


def show_shop_plan(done: ShopPlanned) -> None:
    """The parts in short, the checks in full, and the files written."""
    from kerftone.jobs.plan_shop import WHAT

    plan, words = done.plan, measure_of(done.plan.drum)
    outside = words.size(plan.box.length_mm, plan.box.width_mm, plan.box.whole_height_mm)
    heavy = "" if plan.weight_g is None else f", {format_mass(plan.weight_g, plan.drum.units)} of wood"
    table: Table[Part] = {
        "Part": lambda part: part.name,
        ">Count": lambda part: str(part.count),
        "Finished size": lambda part: words.size(*part.size_mm),
        "Wood": lambda part: part.wood,
    }
    show(f"{plan.drum.name}: {outside} outside, {plan.box.joint}{heavy}", "")
    show_table(table, plan.parts)
    marks, left = list(MARKS), plan.left_over_words()
    checks = sorted(plan.checks, key=lambda one: marks.index(one.verdict))
    show(
        "",
        *(f"{MARKS[check.verdict]}  {check.words()}" for check in checks),
        *(["", left] if left else []),
        "",
    )
    if done.accepted is not None:
        show(f"The pickup's place is written into {done.accepted}.", wrap=False)
    elif done.proposed_mm is not None:
        x, y = map(words, done.proposed_mm)
        show(
            f"Proposed for the pickup: {done.proposed_on}, its middle {x} along and {y} across. `--accept pickup` "
            "writes this into the drum file."
        )
    show_files(done.written, WHAT)
