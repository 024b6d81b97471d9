"""What would help a drum whose notes cannot be had, or do not come out clear: tried on the model before it is said.

Changes are tried one after the other, the least first: other places, a longer board, stiffer roots and walls, a
thinner top, a note moved by an octave or a tone. The first with which every note is reached and clear is offered;
what was tried in vain is never named. Each trial is a rough solve (`choose.py`), so lengths are still to be found
by `fit`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.outline import seat_mm
from kerftone.errors import KerftoneError
from kerftone.pitch import note_name, note_number
from kerftone.tune.arrange import CLEAR
from kerftone.tune.begin import USUAL
from kerftone.tune.choose import tried
from kerftone.tune.fit import Fit, aims_hz, fit
from kerftone.tune.reach import OutOfReach
from kerftone.units import format_length

MOST_TRIED = 5
THINNER = (0.8, 0.65)
THINNEST_MM = 8.0
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Mend:
    """A change that works on the model: in words that follow "It works with", and the drum so changed."""

    words: str
    drum: Drum
    least_clarity: float


def mended(drum: Drum, *, short_mm: float = 0.0, progress: Progress = lambda words: None) -> Mend | None:
    """The first change of this drum with which all its notes are reached and clear; None if none of those tried is.

    `short_mm`: by how much its rows are known to be too short.
    """
    for number, (words, changed) in enumerate(_changes(drum, short_mm)):
        if number >= MOST_TRIED:
            break
        progress(f"Trying whether it works with {words}.")
        try:
            trial = tried(changed, boards=0)
        except KerftoneError:
            continue
        if trial.best.fits and trial.best.least >= CLEAR:
            return Mend(words=words, drum=changed, least_clarity=trial.best.least)
    return None


def fit_or_mend(drum: Drum, progress: Progress = lambda words: None) -> tuple[Fit, Mend | None]:
    """Lengths for this drum, and where a note does not come out clear a change with which it does.

    Raises OutOfReach, with the best lengths found and a change that works where one of those tried does.
    """
    try:
        found = fit(drum, progress)
    except OutOfReach as error:
        mend = mended(drum, short_mm=error.short_mm, progress=progress)
        words = "" if mend is None else f" Tried on the model, it works with {mend.words}."
        raise OutOfReach(
            f"{error.message}{words}",
            found=error.found,
            short_mm=error.short_mm,
            given=error.given,
            limit=error.limit,
            nearest=error.nearest,
        ) from error
    clear = found.clarity_reached >= CLEAR
    return found, None if clear else mended(drum, progress=progress)


def _changes(drum: Drum, short_mm: float) -> Iterator[tuple[str, Drum]]:
    given = any(tongue.row is not None for tongue in drum.tongues)
    free = replace(drum, tongues=tuple(Tongue(note=tongue.note) for tongue in drum.tongues), bores=())
    if given and short_mm <= 0.0:
        yield "the places of the tongues left to the program", free
    if short_mm > 0.0:
        longer = _longer(drum, short_mm)
        yield f"a top {format_length(longer.top.length_mm, drum.units)} long", longer
        if given:
            yield "the places of the tongues left to the program", free
    for stiffer in _stiffer(drum, short_mm):
        yield _stiffness_words(stiffer), stiffer
    for share in THINNER:
        thinner = _thinner(free, share)
        if thinner is not None:
            thick = format_length(thinner.top.thickness_mm, drum.units)
            yield f"a top {thick} thick and its places left to the program", thinner
    yield from _moved(free)


def _longer(drum: Drum, short_mm: float) -> Drum:
    step = USUAL[drum.units].mm * USUAL[drum.units].grid
    length = math.ceil((drum.top.length_mm + 1.02 * short_mm) / step) * step
    return replace(drum, top=replace(drum.top, length_mm=length))


def _stiffer(drum: Drum, short_mm: float) -> Iterator[Drum]:
    """The same drum with stiffer walls and root bars, on a top so much longer that its tongues have the same room."""
    usual = USUAL[drum.units]
    for sizes in usual.sizes[1:3]:
        bar, height = usual.mm * sizes.bar, min(usual.mm * sizes.bar_height, drum.box.height_mm)
        wall = max(drum.box.wall_mm, usual.mm * sizes.wall)
        box = replace(drum.box, wall_mm=wall, root_bar_mm=bar, root_bar_height_mm=height)
        changed = replace(drum, box=box)
        margin = seat_mm(changed) + bar + usual.mm * usual.root_strip
        more = 2.0 * max(0.0, margin - drum.slots.end_margin_mm) + max(0.0, short_mm)
        side = 2.0 * max(0.0, wall - drum.box.wall_mm) if drum.box.mount == "on walls" else 0.0
        step = usual.mm * usual.grid
        length = math.ceil((drum.top.length_mm + more) / step - 1e-9) * step
        top = replace(drum.top, length_mm=length, width_mm=drum.top.width_mm + side)
        slots = replace(
            drum.slots, end_margin_mm=margin, side_margin_mm=drum.slots.side_margin_mm + 0.5 * side
        )
        yield replace(changed, top=top, slots=slots, bores=())


def _stiffness_words(drum: Drum) -> str:
    def said(mm: float) -> str:
        return format_length(mm, drum.units)

    box, slots, top = drum.box, drum.slots, drum.top
    return (
        f"walls {said(box.wall_mm)} thick, root bars {said(box.root_bar_mm)} wide and "
        f"{said(box.root_bar_height_mm)} high, end_margin {said(slots.end_margin_mm)}, side_margin "
        f"{said(slots.side_margin_mm)} and a top {said(top.length_mm)} by {said(top.width_mm)}"
    )


def _thinner(drum: Drum, share: float) -> Drum | None:
    step = 1.0 if drum.units == "mm" else 25.4 / 16.0
    thickness = math.floor(share * drum.top.thickness_mm / step) * step
    return None if thickness < THINNEST_MM else replace(drum, top=replace(drum.top, thickness_mm=thickness))


def _moved(drum: Drum) -> Iterator[tuple[str, Drum]]:
    """One note moved: the highest an octave down or the lowest an octave up, whichever is free."""
    aims = aims_hz(drum)
    notes = {note_number(tongue.note) for tongue in drum.tongues}
    by_pitch: Sequence[int] = sorted(range(len(aims)), key=lambda number: aims[number])
    for number, semitones in ((by_pitch[-1], -12), (by_pitch[0], 12), (by_pitch[-1], -2), (by_pitch[0], 2)):
        note = drum.tongues[number].note
        moved = note_number(note) + semitones
        if moved in notes:
            continue
        tongues = list(drum.tongues)
        tongues[number] = replace(tongues[number], note=note_name(moved))
        yield f"{note_name(moved)} in place of {note}", replace(drum, tongues=tuple(tongues))
