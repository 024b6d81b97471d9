"""Scales: from "D minor pentatonic" to the notes of a drum.

A scale is a list of degrees, each a place in the major scale lowered (b) or raised (#) by a semitone where it
says so; the table is `scales.csv`. With a tonic it becomes notes, spelled one letter to a degree as music is
written. What would be a double accidental, or Cb, Fb, E# or B#, is spelled as the plain note a tuner shows.

Only names are dealt with here: pitches are `pitch.py`'s, and what a tongue can sound is the drum file's.
"""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from kerftone.errors import Remedy, ScaleError
from kerftone.pitch import note_name, note_number, note_spelled

FIRST_OCTAVE = 3
"""Where a scale begins unless the maker says: C3 to B3, 131 to 247 Hz, in the lower half of what tongues of
a handy board sound. Own judgement."""

_LETTERS = "CDEFGAB"
_MAJOR = (0, 2, 4, 5, 7, 9, 11)
"""Semitones over the tonic."""
_SHIFT = {"": 0, "b": -1, "#": 1}
_TUNER_SPELLING = frozenset({"Cb", "Fb", "E#", "B#"})
_TONIC = re.compile(r"([A-Ga-g])([#♯bB♭]?)(-?\d{1,2})?(m)?", re.ASCII)
_SHORT = {"min": "minor", "maj": "major", "penta": "pentatonic"}


@dataclass(frozen=True, kw_only=True)
class Scale:
    """One row of the table. `known` says where the degrees come from."""

    name: str
    degrees: tuple[str, ...]
    also: tuple[str, ...]
    known: str

    @property
    def semitones(self) -> tuple[int, ...]:
        """How far each note stands above the tonic."""
        return tuple(_MAJOR[int(degree[-1]) - 1] + _SHIFT[degree[:-1]] for degree in self.degrees)


@dataclass(frozen=True, kw_only=True)
class Key:
    """A scale on a tonic, such as D and the minor pentatonic; `octave` if the tonic was typed with one."""

    tonic: str
    scale: Scale
    octave: int | None = None

    @property
    def name(self) -> str:
        """What it is called: "D minor pentatonic"."""
        return f"{self.tonic} {self.scale.name}"

    @property
    def notes(self) -> tuple[str, ...]:
        """The names of its notes without octaves, from the tonic up."""
        return tuple(
            _spelled(self.tonic, degree, semitones)
            for degree, semitones in zip(self.scale.degrees, self.scale.semitones, strict=True)
        )

    def from_note(self, first: str, count: int) -> tuple[str, ...]:
        """So many notes of the scale from this one up, such as "D3" and 6. Raises ScaleError if it is not in it."""
        low = note_number(first)
        tonic = note_number(f"{self.tonic}4") % 12
        names = {(tonic + up) % 12: name for up, name in zip(self.scale.semitones, self.notes, strict=True)}
        if low % 12 not in names:
            raise ScaleError(
                f"{note_spelled(first)} is not a note of {self.name}, which has {' '.join(self.notes)}. A drum "
                f"begins on one of them: take {' or '.join(_beside(low, names))}.",
                given=first,
                nearest=_beside(low, names),
            )
        found: list[str] = []
        number = low
        while len(found) < count:
            if number % 12 in names:
                found.append(_with_octave(names, number))
            number += 1
        return tuple(found)


def _with_octave(names: Mapping[int, str], number: int) -> str:
    return f"{names[number % 12]}{number // 12 - 1}"


def _beside(number: int, names: Mapping[int, str]) -> tuple[str, str]:
    """The notes of the scale next below and next above one that is not in it."""
    below = next(at for at in range(number, number - 12, -1) if at % 12 in names)
    above = next(at for at in range(number, number + 12) if at % 12 in names)
    return _with_octave(names, below), _with_octave(names, above)


def _spelled(tonic: str, degree: str, semitones: int) -> str:
    """The name of one note of a scale, without its octave."""
    number = note_number(f"{tonic}4") + semitones
    letter = _LETTERS[(_LETTERS.index(tonic[0]) + int(degree[-1]) - 1) % 7]
    off = (number - note_number(f"{letter}4") + 6) % 12 - 6
    if abs(off) <= 1:
        name = letter + ("", "#", "b")[off]
        if name not in _TUNER_SPELLING:
            return name
    return note_name(number, flats=off < 0).rstrip("-0123456789")


@cache
def scale_table() -> Mapping[str, Scale]:
    """All the scales there are, by name, in the table's order."""
    text = (resources.files("kerftone") / "scales.csv").read_text("utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if line and not line.startswith("#"))
    return {
        row["name"]: Scale(
            name=row["name"],
            degrees=tuple(row["degrees"].split()),
            also=tuple(row["also"].split("|")) if row["also"] else (),
            known=row["known"],
        )
        for row in rows
    }


def _plain(name: str) -> str:
    """A scale's name without case, hyphens, "scale" and order of words."""
    words = name.casefold().replace("-", " ").split()
    return " ".join(sorted(_SHORT.get(word, word) for word in words if word != "scale"))


@cache
def _by_name() -> Mapping[str, Scale]:
    return {_plain(name): scale for scale in scale_table().values() for name in (scale.name, *scale.also)}


def find_scale(name: str) -> Scale:
    """The scale of this name, without a tonic: "minor pentatonic" or "Aeolian".

    Case and the order of words do not matter. Raises ScaleError, which offers the nearest names.
    """
    found = _by_name().get(_plain(name))
    if found is not None:
        return found
    near = nearest_scales(name)
    raise ScaleError(
        f"There is no scale {_shown(name)} in the table. The nearest names in it are "
        f"{' or '.join(repr(one) for one in near)}: take one of those, or another of the list.",
        given=name,
        nearest=near,
        remedy=Remedy.LIST_SCALES,
    )


def nearest_scales(name: str, *, count: int = 3) -> tuple[str, ...]:
    """Which scales' names are most like this one."""
    plain = _plain(name[:80])
    likeness: dict[str, float] = {}
    for other, scale in _by_name().items():
        ratio = difflib.SequenceMatcher(None, plain, other).ratio()
        likeness[scale.name] = max(ratio, likeness.get(scale.name, 0.0))
    ranked = sorted(likeness, key=lambda one: -likeness[one])[:count]
    return tuple(one for one in ranked if likeness[one] >= likeness[ranked[0]] - 0.2)


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:37] + "...")


def read_key(typed: str) -> Key:
    """Which scale on which tonic is meant, such as "D minor pentatonic", "bb major" or "F sharp dorian".

    The tonic may carry an octave ("D3 minor pentatonic") or be short for minor ("Dm"). Raises ScaleError.

    >>> read_key("d minor pentatonic").notes
    ('D', 'F', 'G', 'A', 'C')
    """
    words = re.sub(
        r"(?i)\b([a-g])[ -](flat|sharp)\b", lambda m: m[1] + {"f": "b", "s": "#"}[m[2][0].lower()], typed
    ).split()
    tonic = _TONIC.fullmatch(words[0]) if words else None
    if tonic is None:
        bare = words[1:] if words and len(words[0]) == 1 else words  # "H minor"
        name = find_scale(" ".join(bare)).name if bare else "minor pentatonic"
        raise ScaleError(
            f"The scale {_shown(typed)} names no tonic. A scale begins on a note, A to G with # or b if needed: "
            f"write 'D {name}'.",
            given=typed,
            nearest=f"D {name}",
        )
    letter, accidental, octave, minor = tonic.groups()
    rest = " ".join([*(["minor"] if minor else []), *words[1:]])
    if not rest:
        raise ScaleError(
            f"The scale {_shown(typed)} is a note only. A scale is a note and the scale's name: write "
            f"'{letter.upper()}{accidental} major' or '{letter.upper()}{accidental} minor pentatonic'.",
            given=typed,
            nearest=f"{letter.upper()}{accidental} major",
        )
    name = note_spelled(f"{letter}{accidental}4").removesuffix("4")
    return Key(tonic=name, scale=find_scale(rest), octave=int(octave) if octave is not None else None)


def scale_notes(typed: str, *, count: int, first: str | None = None) -> tuple[str, ...]:
    """The notes of a drum in this scale, from the lowest up.

    `first` is the lowest note ("D3", any note of the scale) or the octave of the tonic ("3"). Without it the scale
    begins on its tonic in octave 3. Raises ScaleError and NoteError.

    Parameters
    ----------
    typed : str
        The scale's name.
    count : int
        How many notes.
    first : str | None, optional
        The lowest note ("D3", any note of the scale) or the octave of the tonic ("3").

    Examples
    --------
    >>> scale_notes("D minor pentatonic", count=6)
    ('D3', 'F3', 'G3', 'A3', 'C4', 'D4')
    >>> scale_notes("D minor pentatonic", count=3, first="A3")
    ('A3', 'C4', 'D4')
    """
    key = read_key(typed)
    if first is None:
        first = f"{key.tonic}{FIRST_OCTAVE if key.octave is None else key.octave}"
    elif re.fullmatch(r"\s*\d\s*", first, re.ASCII):
        first = f"{key.tonic}{first.strip()}"
    return key.from_note(first, count)
