"""Notes and pitches: names, hertz, cents.

Notes are named in scientific pitch notation: a letter, one accidental if any (# or ♯, b or ♭) and the
octave, which turns over at C, so that B3 is followed by C4. A4 is the reference (440 Hz unless the
drum says otherwise; ISO 16). Cents are hundredths of an equal-tempered semitone, positive when sharp.

In "equal" temperament every semitone is the twelfth root of two. In "just" the lowest note of the drum
keeps its equal-tempered pitch and the others stand above it in whole-number ratios, `JUST_RATIOS`.

Nothing here knows what a tongue can sound; that bound is the drum file's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from kerftone.errors import NoteError

Temperament = Literal["equal", "just"]

A4 = 69
"""The number of A4 when semitones are counted so that C4 is 60 (the MIDI numbering)."""

JUST_RATIOS: tuple[Fraction, ...] = tuple(
    Fraction(text)
    for text in (
        *("1", "16/15", "9/8", "6/5", "5/4", "4/3"),  # unison to fourth
        *("45/32", "3/2", "8/5", "5/3", "16/9", "15/8"),  # tritone to major seventh
    )
)
"""Five-limit just ratios of the twelve semitone steps above the lowest note.

Source: the usual five-limit chromatic scale, as listed in Sethares' notes on five-limit just intonation
(read; the tritone 45/32 is not in that list and is the common choice in the literature, read elsewhere).
"""

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_LETTER = re.compile(r"([A-Ga-g])([#♯bB♭]?)", re.ASCII)
_NOTE = re.compile(_LETTER.pattern + r"(-?\d{1,2})", re.ASCII)
_ACCIDENTAL = {"": "", "#": "#", "♯": "#", "b": "b", "B": "b", "♭": "b"}
_BY_SEMITONES = {"": 0, "#": 1, "b": -1}


@dataclass(frozen=True, kw_only=True)
class NearNote:
    """The note nearest to a pitch, and how far the pitch is from it: positive cents are sharp."""

    name: str
    cents: float


def note_number(note: str) -> int:
    """Which semitone a note's name means, counted so that C4 is 60 and A4 is 69.

    Capitals and small letters mean the same. Raises NoteError when the name cannot be read.

    >>> note_number("A4"), note_number("b♭3"), note_number("F#3")
    (69, 58, 54)
    """
    letter, accidental, octave = _parts(note)
    return 12 * (octave + 1) + _STEPS[letter] + _BY_SEMITONES[accidental]


def note_spelled(note: str) -> str:
    """A note's name in the one form in which it is shown: a capital, # or b, the octave.

    Raises NoteError when the name cannot be read.

    >>> note_spelled("g3"), note_spelled(" B♭3 "), note_spelled("f♯4")
    ('G3', 'Bb3', 'F#4')
    """
    letter, accidental, octave = _parts(note)
    return f"{letter}{accidental}{octave}"


def _parts(note: str) -> tuple[str, str, int]:
    """The letter, the accidental and the octave of a note's name."""
    match = _NOTE.fullmatch(note.strip())
    if match is not None:
        letter, accidental, octave = match.groups()
        return letter.upper(), _ACCIDENTAL[accidental], int(octave)
    shown = repr(note if len(note) <= 20 else note[:17] + "...")
    bare = _LETTER.fullmatch(note.strip())
    if bare is not None:
        name = bare[1].upper() + _ACCIDENTAL[bare[2]]
        raise NoteError(
            f"The note {shown} has no octave. A note is a letter A to G, # or b if needed, and an octave number, "
            f"where C4 is the C in the middle of a piano: write {name}3 or {name}4.",
            given=note,
            nearest=(f"{name}3", f"{name}4"),
        )
    raise NoteError(
        f"The note {shown} cannot be read. A note is a letter A to G, # or b if needed, and an octave "
        "number: write D3, F#4 or Bb3.",
        given=note,
    )


def note_name(number: int, *, flats: bool = False) -> str:
    """What the note with this number is called, with sharps unless `flats` is asked for.

    >>> note_name(69), note_name(58, flats=True)
    ('A4', 'Bb3')
    """
    octave, step = divmod(number, 12)
    return f"{(_FLATS if flats else _SHARPS)[step]}{octave - 1}"


def equal_hz(number: int, *, reference_hz: float = 440.0) -> float:
    """What pitch a note has in equal temperament, in hertz. `reference_hz` is A4.

    >>> equal_hz(57)
    220.0
    """
    return float(reference_hz * 2.0 ** ((number - A4) / 12))


def just_ratio(steps: int) -> Fraction:
    """In what whole-number ratio a note stands above the lowest one, `steps` semitones up.

    >>> just_ratio(7), just_ratio(19)
    (Fraction(3, 2), Fraction(3, 1))
    """
    octaves, step = divmod(steps, 12)
    return JUST_RATIOS[step] * Fraction(2) ** octaves


@dataclass(frozen=True, kw_only=True)
class Tempering:
    """How a temperament places notes: the ratio to the lowest note, so many semitones up; and that in words.

    words: empty where the name says it.
    """

    ratio: Callable[[int], float]
    words: str


TEMPERAMENTS: dict[Temperament, Tempering] = {
    "equal": Tempering(
        ratio=lambda steps: float(2.0 ** (steps / 12)),
        words="",
    ),
    "just": Tempering(
        ratio=lambda steps: float(just_ratio(steps)),
        words="whole-number ratios above the lowest note",
    ),
}
"""Every temperament a drum may be tuned in; the lowest note always keeps its equal-tempered pitch."""


def targets_hz(
    notes: Sequence[str], *, reference_hz: float = 440.0, temperament: Temperament = "equal"
) -> tuple[float, ...]:
    """What pitches a drum with these notes should sound, in hertz, in the order given.

    With "just", ratios are taken above the lowest of `notes`, which keeps its equal-tempered pitch.
    Raises NoteError for a name that cannot be read.

    Parameters
    ----------
    notes : Sequence[str]
        The notes, in the order of the tongues.
    reference_hz : float, optional
        The pitch of A4, in Hz.
    temperament : Temperament, optional
        The rule that gives each note its pitch.

    Examples
    --------
    >>> [round(hz, 2) for hz in targets_hz(["A3", "C#4", "E4"], temperament="just")]
    [220.0, 275.0, 330.0]
    """
    numbers = [note_number(note) for note in notes]
    if not numbers:
        return ()
    lowest = min(numbers)
    low_hz = equal_hz(lowest, reference_hz=reference_hz)
    ratio = TEMPERAMENTS[temperament].ratio
    return tuple(low_hz * ratio(number - lowest) for number in numbers)


def cents(hz: float, reference_hz: float) -> float:
    """How far a pitch is from another, in cents: positive when `hz` is the sharper.

    Both in hertz and above zero. An octave is 1200 cents.

    >>> cents(880.0, 440.0)
    1200.0
    """
    return 1200.0 * math.log2(hz / reference_hz)


def sharpened(hz: float, by_cents: float) -> float:
    """What pitch lies this many cents above `hz`; below it when negative.

    >>> sharpened(440.0, -1200.0)
    220.0
    """
    return float(hz * 2.0 ** (by_cents / 1200.0))


def nearest_note(hz: float, *, reference_hz: float = 440.0, flats: bool = False) -> NearNote:
    """Which equal-tempered note a pitch is nearest to, and how many cents away.

    Cents run from -50 to 50. Raises NoteError when `hz` is not a pitch.

    Parameters
    ----------
    hz : float
        The pitch, in Hz.
    reference_hz : float, optional
        The pitch of A4, in Hz.
    flats : bool, optional
        Name black keys by flats instead of sharps.

    Examples
    --------
    >>> near = nearest_note(445.0)
    >>> near.name, round(near.cents, 2)
    ('A4', 19.56)
    """
    if not (math.isfinite(hz) and hz > 0.0):
        raise NoteError(f"{hz} Hz is not a pitch. A pitch is a number of hertz above zero.", given=hz)
    number = round(A4 + 12.0 * math.log2(hz / reference_hz))
    return NearNote(
        name=note_name(number, flats=flats), cents=cents(hz, equal_hz(number, reference_hz=reference_hz))
    )
