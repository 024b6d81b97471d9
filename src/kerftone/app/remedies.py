"""What each remedy of a refusal is called on the page, and which button goes with it.

The command line words the same remedies as commands. `do` names what the page does; None where there is only advice.
"""

from __future__ import annotations

from typing import NamedTuple

from kerftone.errors import KerftoneError, Remedy
from kerftone.jobs.refusal import refusal_record


class Offer(NamedTuple):
    """A button's words, and what it does."""

    words: str
    do: str | None = None


REMEDIES: dict[Remedy, Offer] = {
    Remedy.BE_SURE: Offer("Yes, it is so", "sure"),
    Remedy.NEW_DRUM: Offer("Begin a new drum", "begin"),
    Remedy.GIVE_NOTES: Offer("Give notes one by one, or choose a scale", "begin"),
    Remedy.LIST_SCALES: Offer("See all scales", "begin"),
    Remedy.LIST_WOODS: Offer("See all woods", "begin"),
    Remedy.FIND_LENGTHS: Offer("Find the lengths", "lengths"),
    Remedy.NEW_BOARD: Offer("A board's own file is made with the commands."),
    Remedy.TAP_BOARD: Offer("A board is tapped with the commands."),
    Remedy.FIT_BOARD: Offer("A board's taps are turned into constants with the commands."),
    Remedy.START_LOG: Offer("The log of a drum is begun with the commands."),
    Remedy.RECORD_TAP: Offer("What a tongue sounds is recorded with the commands."),
    Remedy.SEE_LOG: Offer("The log is shown by the commands."),
    Remedy.VOID_ENTRY: Offer("An entry is taken out of the count with the commands."),
    Remedy.NAME_DRUM: Offer("Say of which drum the tongue is."),
    Remedy.NAME_TONGUE: Offer("Say which tongue was tapped."),
    Remedy.SAY_HEARD: Offer("Say what was heard: its pitch, or a recording."),
    Remedy.HEAR_PART: Offer("Hear what is there of it"),
}
"""Held by tests/app/test_remedies.py."""


def refusal_of(error: KerftoneError) -> dict[str, object]:
    """A refusal as the page takes it."""
    return refusal_record(error) | {"remedies": [offer(one.name) for one in error.remedies]}


def offer(name: str) -> dict[str, str | None]:
    """A remedy as the page takes it, by the name of its code."""
    return REMEDIES[Remedy[name]]._asdict()
