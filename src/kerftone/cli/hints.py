"""What is known before anything is heard: the pitches to look near, and the tongues there may be.

From the options of `kerftone listen`, and from the model of the drum where one is named: each tongue's pitch,
with what the wood leaves open as the reach. After the hearing: which strike was on which tongue.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kerftone.cli.heard import Aim, Said
from kerftone.cli.place import drum_file
from kerftone.cli.screen import say
from kerftone.errors import KerftoneError, NoteError
from kerftone.pitch import equal_hz, note_number

if TYPE_CHECKING:
    from kerftone.ear.result import Strike
    from kerftone.tune.match import Expected

LOWEST_HZ, HIGHEST_HZ = 40.0, 5000.0
LOWEST_REFERENCE_HZ, HIGHEST_REFERENCE_HZ = 380.0, 500.0
AROUND_CENTS = 150.0
USUAL_REFERENCE_HZ = 440.0
NUMBER = re.compile(r"(\d+(?:\.\d*)?)\s*(?:[Hh][Zz])?", re.ASCII)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What is to be heard and how: see the options of the command."""

    files: tuple[Path, ...]
    drum: Path | None = None
    tongue: int | None = None
    around: str | None = None
    reference_hz: float | None = None
    part: bool = False
    picture: Path | None = None
    live: bool = False


@dataclass(frozen=True, kw_only=True)
class Hints:
    """What is known before hearing: pitches to look near, the tongues there may be, the reference."""

    around_hz: tuple[float, ...]
    within_cents: float
    expected: tuple[Expected, ...]
    aims: dict[int, Aim]
    one: bool
    reference_hz: float


def hints_for(asked: Asked) -> Hints:
    """What the options and the drum's model say before anything is heard."""
    reference = asked.reference_hz
    if reference is not None and not LOWEST_REFERENCE_HZ <= reference <= HIGHEST_REFERENCE_HZ:
        raise NoteError(
            f"The reference is {reference:g} Hz. It is the pitch of A4, {LOWEST_REFERENCE_HZ:g} to "
            f"{HIGHEST_REFERENCE_HZ:g} Hz: 440 as a rule.",
            given=reference,
            nearest=USUAL_REFERENCE_HZ,
        )
    if asked.drum is None:
        hz = reference or USUAL_REFERENCE_HZ
        return Hints(
            around_hz=around_hz(asked.around, reference_hz=hz),
            within_cents=AROUND_CENTS,
            expected=(),
            aims={},
            one=False,
            reference_hz=hz,
        )
    return _hints_of_drum(asked, asked.drum)


def _hints_of_drum(asked: Asked, given: Path) -> Hints:
    from kerftone.drum.file import read_drum

    drum = read_drum(drum_file(given))
    if asked.tongue is not None and asked.tongue > len(drum.tongues):
        raise KerftoneError(
            f"--tongue {asked.tongue} is asked for, but {drum.name} has {len(drum.tongues)} tongues. They are "
            f"counted from 1 in the order of the file.",
            given=asked.tongue,
            limit=len(drum.tongues),
            nearest=len(drum.tongues),
        )
    from kerftone.cli.answer import answer
    from kerftone.ear.guard import check_path
    from kerftone.tune.match import REACH, Expected

    if asked.reference_hz is not None:
        drum = replace(drum, tuning=replace(drum.tuning, reference_hz=asked.reference_hz))
    reference = drum.tuning.reference_hz
    around = around_hz(asked.around, reference_hz=reference)
    if len(asked.files) == 1:
        check_path(asked.files[0])  # before the solve, not after it
    say("Solving the drum; this takes some seconds.")
    tongues = answer(drum).tongues
    numbered = [pair for pair in enumerate(tongues, start=1) if asked.tongue in (None, pair[0])]
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
    return Hints(
        around_hz=around or tuple(one.hz for one in expected),
        within_cents=AROUND_CENTS if around else reach,
        expected=expected,
        aims=aims,
        one=asked.tongue is not None,
        reference_hz=reference,
    )


def around_hz(given: str | None, *, reference_hz: float) -> tuple[float, ...]:
    """The pitches meant by --around: notes or hertz, several with spaces or commas. Raises NoteError."""
    pitches = []
    for word in re.sub(r"(?i)(?<=\d)\s+(?=hz\b)", "", given or "").replace(",", " ").split():
        number = NUMBER.fullmatch(word)
        hz = float(number[1]) if number else equal_hz(note_number(word), reference_hz=reference_hz)
        if not LOWEST_HZ <= hz <= HIGHEST_HZ:
            raise NoteError(
                f"--around {word} is {hz:.6g} Hz. Strikes are heard from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz.",
                given=hz,
                limit=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
                nearest=LOWEST_HZ if hz < LOWEST_HZ else HIGHEST_HZ,
            )
        pitches.append(hz)
    if given is not None and not pitches:
        raise NoteError(
            "--around is empty. Write a note or a pitch in Hz: --around D3, or --around 148.", given=given
        )
    return tuple(pitches)


def match(some: Sequence[Strike], hints: Hints) -> tuple[tuple[Said, ...], float | None]:
    """The strikes with their tongues; without a drum there are none."""
    if not hints.expected:
        return tuple(Said(strike=one, aim=None, doubt=one.doubt) for one in some), None
    from kerftone.tune.match import match_one, match_strikes

    found = match_one(some, hints.expected[0]) if hints.one else match_strikes(some, hints.expected)
    said = tuple(
        Said(
            strike=one,
            aim=None if matched.tongue is None else hints.aims[matched.tongue],
            doubt=one.doubt + matched.doubt,
        )
        for one, matched in zip(some, found.matches, strict=True)
    )
    return said, found.shift_cents
