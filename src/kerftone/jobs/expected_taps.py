"""What is known before anything is heard: the pitches to look near, and the tongues there may be.

From what was asked, and from the model of the drum where one is named: each tongue's pitch, with what the wood
leaves open as the reach. After the hearing: which strike was on which tongue.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.drum.tongue_named import Named, tongue_named
from kerftone.ear.repeats import apart_words
from kerftone.errors import KerftoneError, NoteError, Remedy
from kerftone.jobs.paths import drum_path
from kerftone.jobs.progress import Progress
from kerftone.jobs.recording_heard import Aim, PlacedStrike, groups_of
from kerftone.pitch import cents, equal_hz, nearest_note, note_number

if TYPE_CHECKING:
    from kerftone.ear.heard import Strike
    from kerftone.tune.match import Expected

LOWEST_HZ, HIGHEST_HZ = 40.0, 5000.0
"""Pitches that the ear looks for: a tongue's, and some room on both sides. Own judgement."""
LOWEST_REFERENCE_HZ, HIGHEST_REFERENCE_HZ = 380.0, 500.0
"""Pitches that A4 has had in living and historic tunings, with room on both sides: own judgement."""
AROUND_CENTS = 150.0
"""How far round a pitch that is named: as far as an untuned tongue is off, and less than the next note of most
scales. Own judgement."""
USUAL_REFERENCE_HZ = 440.0
"""A4 in concert pitch: ISO 16 (from memory)."""
NUMBER = re.compile(r"(\d+(?:\.\d*)?)\s*(?:[Hh][Zz])?", re.ASCII)


SAME_NOTE_CENTS = 50.0
"""Farther from a note than half a semitone is another note."""


@dataclass(frozen=True, kw_only=True)
class TapsRequest:
    """What is to be heard, and how.

    tongue: the only one tapped, by place, note or number. around: notes or pitches to look near, as written.
    reference_hz: the pitch of A4; None: the drum's, else 440. part: hear what is there of a recording that breaks
    off. picture: the .png file to draw.
    """

    files: tuple[Path, ...] = ()
    drum: Path | None = None
    tongue: Named | None = None
    around: str | None = None
    reference_hz: float | None = None
    part: bool = False
    picture: Path | None = None


@dataclass(frozen=True, kw_only=True)
class ExpectedTaps:
    """What is known before hearing: pitches to look near, the tongues there may be, the reference."""

    around_hz: tuple[float, ...]
    within_cents: float
    expected: tuple[Expected, ...]
    aims: dict[int, Aim]
    one: bool
    reference_hz: float


def expect_taps(request: TapsRequest, progress: Progress) -> ExpectedTaps:
    """What the request and the drum's model say before anything is heard."""
    reference = request.reference_hz
    if reference is not None and not LOWEST_REFERENCE_HZ <= reference <= HIGHEST_REFERENCE_HZ:
        raise NoteError(
            f"The reference is {reference:g} Hz. It is the pitch of A4, {LOWEST_REFERENCE_HZ:g} to "
            f"{HIGHEST_REFERENCE_HZ:g} Hz: 440 as a rule.",
            given=reference,
            nearest=USUAL_REFERENCE_HZ,
        )
    if request.tongue is not None and request.drum is None:
        raise KerftoneError(
            f"Tongue {request.tongue} belongs to a drum, and none is named. Name the drum too.",
            given=request.tongue,
            remedy=Remedy.NAME_DRUM,
        )
    if request.drum is None:
        hz = reference or USUAL_REFERENCE_HZ
        return ExpectedTaps(
            around_hz=around_hz(request.around, reference_hz=hz),
            within_cents=AROUND_CENTS,
            expected=(),
            aims={},
            one=False,
            reference_hz=hz,
        )
    return _of_drum(request, request.drum, progress)


def _of_drum(request: TapsRequest, given: Path, progress: Progress) -> ExpectedTaps:
    from kerftone.drum.file import read_drum

    file = drum_path(given)
    drum = read_drum(file)
    tongue = None if request.tongue is None else tongue_named(drum, request.tongue)
    from kerftone.ear.guard import check_path
    from kerftone.jobs.prediction import predict
    from kerftone.modal.shelf import shelf_beside
    from kerftone.tune.match import REACH, Expected

    if request.reference_hz is not None:
        drum = replace(drum, tuning=replace(drum.tuning, reference_hz=request.reference_hz))
    reference = drum.tuning.reference_hz
    around = around_hz(request.around, reference_hz=reference)
    if len(request.files) == 1:
        check_path(request.files[0])  # before the solve, not after it
    words = "Solving the drum; this takes some seconds."
    tongues = predict(drum, shelf=shelf_beside(file), solving=lambda: progress(words)).tongues
    numbered = [pair for pair in enumerate(tongues, start=1) if tongue in (None, pair[0])]
    expected = tuple(
        Expected(
            number=number,
            name=f"{one.tongue.place} ({one.tongue.note})",
            hz=one.heard.hz,
            plus_minus_cents=one.plus_minus_cents,
        )
        for number, one in numbered
    )
    aims = {
        number: Aim(number=number, place=one.tongue.place, note=one.tongue.note, target_hz=one.target_hz)
        for number, one in numbered
    }
    reach = max(AROUND_CENTS, REACH * max(one.plus_minus_cents for one in expected))
    return ExpectedTaps(
        around_hz=around or tuple(one.hz for one in expected),
        within_cents=AROUND_CENTS if around else reach,
        expected=expected,
        aims=aims,
        one=request.tongue is not None,
        reference_hz=reference,
    )


def around_hz(given: str | None, *, reference_hz: float) -> tuple[float, ...]:
    """The pitches to look near: notes or hertz, several with spaces or commas. Raises NoteError."""
    pitches = []
    for word in re.sub(r"(?i)(?<=\d)\s+(?=hz\b)", "", given or "").replace(",", " ").split():
        number = NUMBER.fullmatch(word)
        hz = float(number[1]) if number else equal_hz(note_number(word), reference_hz=reference_hz)
        if not LOWEST_HZ <= hz <= HIGHEST_HZ:
            raise NoteError(
                f"A pitch to look near, {word}, is {hz:.6g} Hz. Strikes are heard from {LOWEST_HZ:g} to "
                f"{HIGHEST_HZ:g} Hz.",
                given=hz,
                limit=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
                nearest=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
            )
        pitches.append(hz)
    if given is not None and not pitches:
        raise NoteError(
            "The pitch to look near is empty. It is a note or a pitch in Hz: write D3, or 148.", given=given
        )
    return tuple(pitches)


def place_strikes(
    some: Sequence[Strike], expected: ExpectedTaps
) -> tuple[tuple[PlacedStrike, ...], float | None]:
    """The strikes with their tongues, and how far the drum as a whole sounds from its model, in cents.

    Without a drum there are no tongues, and taps of like pitch are taken for those of one. Taps of one tongue that do
    not agree are in doubt.
    """
    placed, shift_cents = _placed(some, expected)
    return _at_odds(placed), shift_cents


def _at_odds(placed: tuple[PlacedStrike, ...]) -> tuple[PlacedStrike, ...]:
    """The same, with a doubt on the taps of a tongue that lie too far apart to be taken together."""
    said: dict[int, str] = {}
    for aim, group in groups_of(placed):
        name = "it" if aim is None else f"{aim.place} ({aim.note})"
        words = apart_words([placed[n].strike for n in group], name)
        said |= {} if words is None else dict.fromkeys(group, words)
    return tuple(
        replace(one, doubt=(*one.doubt, said[n])) if n in said else one for n, one in enumerate(placed)
    )


def _placed(some: Sequence[Strike], expected: ExpectedTaps) -> tuple[tuple[PlacedStrike, ...], float | None]:
    if not expected.expected:
        asked = expected.around_hz
        doubts = [_not_asked(one, asked, expected.reference_hz) for one in some]
        pairs = zip(some, doubts, strict=True)
        return tuple(PlacedStrike(strike=one, aim=None, doubt=one.doubt + more) for one, more in pairs), None
    from kerftone.tune.match import match_one, match_strikes

    found = match_one(some, expected.expected[0]) if expected.one else match_strikes(some, expected.expected)
    said = tuple(
        PlacedStrike(
            strike=one,
            aim=None if matched.tongue is None else expected.aims[matched.tongue],
            doubt=one.doubt + matched.doubt,
        )
        for one, matched in zip(some, found.matches, strict=True)
    )
    return said, found.shift_cents


def tone_there(hz: float, expected: ExpectedTaps) -> str:
    """What a strike sounds that has no tone where one was looked for, and how far that is from the nearest asked."""
    reference = expected.reference_hz
    near = min(expected.around_hz, key=lambda asked: abs(cents(hz, asked)))
    off, is_near = cents(hz, near), nearest_note(hz, reference_hz=reference)
    wanted = nearest_note(near, reference_hz=reference).name
    if expected.expected:
        closest = min(expected.aims.values(), key=lambda aim: abs(cents(hz, aim.target_hz)))
        off, wanted = cents(hz, closest.target_hz), closest.note
    return (
        f"It sounds {is_near.name} {round(is_near.cents):+d} cents ({hz:.0f} Hz), {abs(off):.0f} cents "
        f"{'below' if off < 0 else 'above'} {wanted}."
    )


def _not_asked(strike: Strike, asked_hz: Sequence[float], reference_hz: float) -> tuple[str, ...]:
    """What is to be said of a strike that is none of the notes it was looked for near; nothing of one that is."""
    if not asked_hz or not math.isfinite(strike.hz):
        return ()
    near = min(asked_hz, key=lambda hz: abs(cents(strike.hz, hz)))
    off = cents(strike.hz, near)
    if abs(off) <= SAME_NOTE_CENTS:
        return ()
    name = nearest_note(near, reference_hz=reference_hz).name
    return (f"It is not {name}: it lies {abs(off):.0f} cents {'below' if off < 0 else 'above'} it.",)
