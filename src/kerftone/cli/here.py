"""`kerftone` alone: where the drums of this folder stand, and what could be done next."""

from __future__ import annotations

import shlex

from kerftone.cli.declarations import declarations
from kerftone.cli.failure import words_of
from kerftone.cli.screen import beside, show
from kerftone.jobs.drums_here import DrumHere, DrumsFound

COLUMN = 48
"""Where the words beside a command begin."""


def show_here(found: DrumsFound) -> None:
    """Each drum in a line or two, and the commands that come next."""
    for one in found.drums:
        _show(one)
    show("All commands: `kerftone --help`.")


def _show(one: DrumHere) -> None:
    stage = declarations()["stages"][one.stage]
    if one.drum is not None:
        notes = " ".join(tongue.note for tongue in one.drum.tongues)
        count = f" ({one.in_tune} of {len(one.drum.tongues)} tongues)" if one.stage == "tuning" else ""
        show(f"{one.drum.name}: {notes}. {stage['words'].capitalize()}{count}.")
    if one.trouble is not None:
        show(words_of(one.trouble))
    folder = one.file.parent
    named = "." if str(folder) == "." else shlex.quote(str(folder))
    inside = "" if named == "." else f"{named}/"
    typed = ((f"kerftone {command.format(named, inside)}", what) for command, what in stage["next"])
    show(*(beside(command, what, COLUMN) for command, what in typed), "")
