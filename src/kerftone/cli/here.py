"""`kerftone` alone: where the drums of this folder stand, and what could be done next."""

from __future__ import annotations

import shlex

from kerftone.cli.failure import words_of
from kerftone.cli.screen import show
from kerftone.jobs.drums_here import DrumHere, DrumsFound

STANDS = {
    "broken": "cannot be read",
    "no lengths": "drawn up, its tongues have no lengths yet",
    "on paper": "has its lengths, nothing is cut",
    "untapped": "cut, no tongue tapped yet",
    "tuning": "being tuned",
    "in tune": "in tune",
}
NEXT = {
    "no lengths": (("fit {0}", "finds the lengths"),),
    "on paper": (
        ("plan {0} -o {1}plan", "its notes, its sound, a report"),
        ("build {0} -o {1}shop", "parts, joints, order of work"),
        ("draw {0} -o {1}drawings", "templates at full size"),
        ("bench start {0}", "once it is sawn: begins the log"),
    ),
    "untapped": (("bench tap {0} --recording taps.wav", "records what the tongues sound"),),
    "tuning": (
        ("bench status {0}", "every tongue, and what remains"),
        ("bench next {0}", "which tongue, which bit, where and how deep"),
    ),
    "in tune": (("bench log {0}", "what was heard and done"),),
}


def show_here(found: DrumsFound) -> None:
    """Each drum in a line or two, and the commands that come next."""
    for number, one in enumerate(found.drums):
        if number:
            show("")
        _show(one)
    show("")
    show("All commands: `kerftone --help`.")


def _show(one: DrumHere) -> None:
    if one.drum is not None:
        notes = " ".join(tongue.note for tongue in one.drum.tongues)
        count = f" ({one.in_tune} of {len(one.drum.tongues)} tongues)" if one.stage == "tuning" else ""
        show(
            f"{one.drum.name}: {notes}. {STANDS[one.stage][0].upper()}{STANDS[one.stage][1:]}{count}.",
            wrap=True,
        )
    if one.trouble is not None:
        show(words_of(one.trouble), wrap=True)
    folder = one.file.parent
    named = "." if str(folder) == "." else shlex.quote(str(folder))
    inside = "" if named == "." else f"{named}/"
    for command, what in NEXT.get(one.stage, ()):
        show(f"  {'kerftone ' + command.format(named, inside):<48} {what}")
