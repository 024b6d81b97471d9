"""Which tongue a maker means: by its place as on paper (L1), its note (D4, d4), or its number in the file."""

from __future__ import annotations

import re

from kerftone.drum.design import Drum
from kerftone.errors import EntryError, NoteError
from kerftone.pitch import note_number

Named = int | str
"""A tongue as typed, or its number from 1."""

_PLACE = re.compile(r"(?:([lr])[a-z]*\s*(\d{1,2})|(\d{1,2})\s*([lr])[a-z]*)", re.IGNORECASE | re.ASCII)


def on_paper(drum: Drum, number: int) -> str:
    """What paper calls the tongue with this number, from 1: "L1 (D4)"; its note alone while it has no place."""
    tongue = drum.tongues[number - 1]
    return tongue.note if tongue.place == tongue.note else f"{tongue.place} ({tongue.note})"


def tongue_named(drum: Drum, typed: Named) -> int:
    """The number, from 1, of the tongue that is meant.

    Raises EntryError when no tongue is called so, or when two have the note. Held by tests/drum/test_tongue_named.py.
    """
    words = str(typed).strip()
    number = re.fullmatch(r"(?:tongue\s*|#)?(-?\d{1,6})", words, re.IGNORECASE | re.ASCII)
    if number is not None:
        return _of_number(drum, int(number[1]))
    place = _PLACE.fullmatch(words)
    found = [n for n, _ in enumerate(drum.tongues, start=1) if place and _place(drum, n) == _side_row(place)]
    if not found:
        found = _with_note(drum, words)
    if len(found) == 1:
        return found[0]
    if found:
        places = [drum.tongues[n - 1].place for n in found]
        either = " or ".join(places) if len(set(places)) > 1 else " or ".join(str(n) for n in found)
        raise EntryError(
            f"{len(found)} tongues have the note {drum.tongues[found[0] - 1].note}. One is meant: name it by its "
            f"{'place' if len(set(places)) > 1 else 'number'}, {either}.",
            given=typed,
            nearest=tuple(places),
        )
    raise EntryError(f"There is no tongue {words[:20]!r}. {_all(drum)}", given=typed)


def _of_number(drum: Drum, number: int) -> int:
    count = len(drum.tongues)
    if 1 <= number <= count:
        return number
    raise EntryError(
        f"There is no tongue {number}. {_all(drum)}",
        given=number,
        limit=count,
        nearest=min(max(number, 1), count),
    )


def _all(drum: Drum) -> str:
    names = ", ".join(f"{n} {on_paper(drum, n)}" for n in range(1, len(drum.tongues) + 1))
    return f"This drum has {len(drum.tongues)}, by number, place and note: {names}."


def _side_row(place: re.Match[str]) -> tuple[str, int]:
    return (place[1] or place[4]).lower(), int(place[2] or place[3])


def _place(drum: Drum, number: int) -> tuple[str, int] | None:
    tongue = drum.tongues[number - 1]
    return (tongue.side[0], tongue.row) if tongue.side and tongue.row else None


def _with_note(drum: Drum, words: str) -> list[int]:
    """The tongues with this note, however it is spelled; with a note that has no octave, those of that letter."""
    try:
        wanted = note_number(words)
    except NoteError as error:
        octaves = [note_number(note) % 12 for note in error.nearest or () if isinstance(note, str)]  # type: ignore[attr-defined]
        if not octaves:
            return []
        return [n for n, one in enumerate(drum.tongues, 1) if note_number(one.note) % 12 == octaves[0]]
    return [n for n, one in enumerate(drum.tongues, 1) if note_number(one.note) == wanted]
