"""What would help a drum whose notes cannot be had, or do not come out clear: tried on the model before it is said.

Changes are tried side by side, the least first: other places, a longer board, stiffer roots and walls, the note that
stands in the way moved by an octave or a tone or left out, a thinner top, another height of the box; and, as nearly
always works, the board and box that `new` would draw for these notes. The first with which every note is reached and
clear is offered; what was tried in vain is never named. Each trial is a rough solve (`choose.py`), so lengths are
still to be found by `fit`. Where the drum itself is refused, what the model offers is fitted by full solves before it
is said: the model may take a soft mount for better than it is. That costs up to five full solves each, so where the
first that work on the model fail only the drum that `new` would draw is fitted besides.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from kerftone.drum.build import HIGHEST_HZ, LOWEST_HZ
from kerftone.drum.design import Drum, Mount, Tongue
from kerftone.drum.seat import seat_mm
from kerftone.errors import KerftoneError, OutlineError
from kerftone.modal.crew import side_by_side
from kerftone.modal.threads import worker_processes
from kerftone.pitch import equal_hz, note_name, note_number
from kerftone.tune.before_search import aims_hz
from kerftone.tune.begin import USUAL, Wishes, first_drum
from kerftone.tune.candidate import CLEAR
from kerftone.tune.choose import in_order, tried
from kerftone.tune.fit import Fit, Look, fit
from kerftone.tune.off_knots import cut_at
from kerftone.tune.reach import OutOfReach
from kerftone.units import format_length

MOST_TRIED, MANY, MOST_OF_MANY = 8, 9, 6
"""So many changes are tried at most, so many of a drum with many notes: a refusal is to come within a minute."""
MOST_FITTED = 2
"""So many of them are fitted side by side at most: own judgement."""
THINNER = (0.8, 0.65)
"""A top is tried so many times as thick: own judgement."""
THINNEST_MM = 8.0
"""A thinner top leaves too little under a bore: own judgement."""
HIGHER = (1.3, 0.7)
"""A box is tried so many times as high: it moves the tones of the box by about as much as a semitone or two."""
Progress = Callable[[str], None]
Change = tuple[str, Drum]


@dataclass(frozen=True, kw_only=True)
class Mend:
    """A change that works on the model: in words that follow "It works with", and the drum so changed.

    Where two were tried side by side and both work, the words tell both, the drum is that of the first."""

    words: str
    drum: Drum
    least_clarity: float


def mended(
    drum: Drum,
    *,
    short_mm: float = 0.0,
    tongue: int | None = None,
    progress: Progress = lambda words: None,
    sure: bool = False,
) -> Mend | None:
    """The first changes of this drum with which all its notes are reached and clear; None if none of those tried is.

    Parameters
    ----------
    drum : Drum
        As it fails to work.
    short_mm : float, optional
        By how much its rows are known to be too short, in mm.
    tongue : int, optional
        Which tongue stands in the way, from 0.
    progress : Progress, optional
        Told what is tried.
    sure : bool, optional
        Whether changes that work on the model are fitted too, two side by side and one more at most, and only told
        where full solves say the same.
    """
    most = MOST_TRIED if len(drum.tongues) < MANY else MOST_OF_MANY
    changes, batch = _changes(drum, short_mm, tongue), worker_processes(most)
    for begin in range(0, most, batch):
        now = list(islice(changes, min(batch, most - begin)))
        if not now:
            break
        progress(f"Trying whether it works with {', or with '.join(words for words, _ in now)}.")
        clear = side_by_side(least_clarity, [changed for _, changed in now])
        good = [(change, least) for change, least in zip(now, clear, strict=True) if least >= CLEAR]
        if sure and good:
            good = good[:MOST_FITTED]
            works = _work([changed for (_, changed), _ in good], progress)
            if not any(works):
                return _drawn_and_fitted(drum, [changed for (_, changed), _ in good], progress)
            good = [one for one, does in zip(good, works, strict=True) if does]
        if good:
            (_, changed), least = good[0]
            words = ", or with ".join(words for (words, _), _ in good)
            return Mend(words=words, drum=changed, least_clarity=least)
    return None


def _drawn_and_fitted(drum: Drum, failed: Sequence[Drum], progress: Progress) -> Mend | None:
    """The drum as `new` would draw it with its top on the walls, if it can be fitted: asked where the model promised
    more of a change than full solves keep, for then it may promise too much of each."""
    free = replace(drum, tongues=tuple(Tongue(note=tongue.note) for tongue in drum.tongues), bores=())
    for words, drawn in _drawn_anew(free, "on walls"):
        if drawn in failed:
            continue
        progress(f"Trying whether it works with {words}.")
        least = least_clarity(drawn)
        works = least >= CLEAR and _works(drawn, progress)
        return Mend(words=words, drum=drawn, least_clarity=least) if works else None
    return None


def least_clarity(drum: Drum) -> float:
    """How clear the least clear note comes out in the best arrangement on the model; 0 where it cannot be made."""
    try:
        best = tried(drum, boards=0).best
    except KerftoneError:
        return 0.0
    return best.least if best.usable else 0.0


def _work(drums: Sequence[Drum], progress: Progress) -> list[bool]:
    """Which of these can be fitted, every note coming out clear, by full solves: several side by side."""
    if len(drums) < 2:
        return [_works(drum, progress) for drum in drums]
    progress("Fitting each and solving it in full.")
    return side_by_side(_works, drums)


def _works(drum: Drum, progress: Progress = lambda words: None) -> bool:
    try:
        return fit(drum, progress, attempts=1).clarity_reached >= CLEAR
    except OutlineError:
        return False


def fit_or_mend(
    drum: Drum, progress: Progress = lambda words: None, look: Look | None = None
) -> tuple[Fit, Mend | None]:
    """Lengths for this drum, and where a note does not come out clear a change with which it does.

    Raises OutOfReach, with the best lengths found and a change that works where one of those tried does.

    Parameters
    ----------
    drum : Drum
        The drum, in mm, with notes.
    progress : Progress, optional
        Told what is being done.
    look : Look, optional
        What `looked` said of this very drum, where that is known.
    """
    try:
        found = fit(drum, progress, look)
    except OutOfReach as error:
        mend = mended(drum, short_mm=error.short_mm, tongue=error.tongue, progress=progress, sure=True)
        if mend is None:
            raise
        refusal = error.saying(f"{error.fact} Fitted and solved in full, it works with {mend.words}.")
        refusal.works_with = mend.drum
        raise refusal from error
    if found.clarity_reached >= CLEAR:
        return found, None
    worst = min(found.notes, key=lambda note: note.clarity).number
    return found, mended(drum, tongue=worst, progress=progress)


def _changes(drum: Drum, short_mm: float, tongue: int | None) -> Iterator[Change]:
    given = any(tongue.row is not None for tongue in drum.tongues)
    free = replace(drum, tongues=tuple(Tongue(note=tongue.note) for tongue in drum.tongues), bores=())
    if drum.box.mount == "in ledge" and drum.box.glued == "ledge":
        yield 'glue in the gap too, glued = "ledge and edges"', _filled(drum)
    if given and short_mm <= 0.0:
        yield "the places of the tongues left to the program", free
    if short_mm > 0.0:
        longer = _longer(drum, short_mm)
        yield f"a top {format_length(longer.top.length_mm, drum.units)} long", longer
        if given:
            yield "the places of the tongues left to the program", free
    moved, stiffer, drawn = _moved(free, tongue), _stiffer(drum, short_mm), _drawn_anew(free, free.box.mount)
    for _ in range(2):
        for some in (moved, stiffer, drawn):
            yield from islice(some, 1)
    for share in THINNER:
        thinner = _thinner(free, share)
        if thinner is not None:
            thick = format_length(thinner.top.thickness_mm, drum.units)
            yield f"a top {thick} thick and its places left to the program", thinner
    yield from moved
    for share in HIGHER:
        other = _other_height(free, share)
        yield f"walls {format_length(other.box.height_mm, drum.units)} high", other


def _filled(drum: Drum) -> Drum:
    """The same drum with its top glued at its edges too."""
    return replace(drum, box=replace(drum.box, glued="ledge and edges"))


def _longer(drum: Drum, short_mm: float) -> Drum:
    step = USUAL[drum.units].mm * USUAL[drum.units].grid
    length = math.ceil((drum.top.length_mm + 1.02 * short_mm) / step) * step
    return replace(drum, top=replace(drum.top, length_mm=length))


def _stiffer(drum: Drum, short_mm: float) -> Iterator[Change]:
    """The same drum with stiffer walls and root bars, on a top so much longer that its tongues have the same room."""
    usual = USUAL[drum.units]
    for sizes in usual.sizes[1:3]:
        bar, height = usual.mm * sizes.bar, min(usual.mm * sizes.bar_height, drum.box.height_mm)
        wall = max(drum.box.wall_mm, usual.mm * sizes.wall)
        if bar <= drum.box.root_bar_mm and wall <= drum.box.wall_mm:
            continue
        bar = max(bar, drum.box.root_bar_mm)
        box = replace(drum.box, wall_mm=wall, root_bar_mm=bar, root_bar_height_mm=height)
        changed = replace(drum, box=box)
        margin = seat_mm(changed) + bar + usual.mm * usual.root_strip
        more = 2.0 * max(0.0, margin - drum.slots.end_margin_mm) + max(0.0, short_mm)
        side = 2.0 * max(0.0, wall - drum.box.wall_mm) if drum.box.mount == "on walls" else 0.0
        step = usual.mm * usual.grid
        length = math.ceil((drum.top.length_mm + more) / step - 1e-9) * step
        top = replace(drum.top, length_mm=length, width_mm=drum.top.width_mm + side)
        slots = replace(
            drum.slots,
            end_margin_mm=max(margin, drum.slots.end_margin_mm),
            side_margin_mm=drum.slots.side_margin_mm + 0.5 * side,
        )
        stiffer = replace(changed, top=top, slots=slots, bores=())
        yield _stiffness_words(stiffer), stiffer


def _drawn_anew(drum: Drum, mount: Mount) -> Iterator[Change]:
    """The drum that `new` would draw for these notes, this wood and mount: of this thickness, then of its own."""
    seat = "" if mount == drum.box.mount else f", its top {mount.replace('on walls', 'on the walls')}"
    sizes = in_order(drum.units, len(drum.tongues), slim=False)
    notes = tuple(tongue.note for tongue in drum.tongues)
    for chosen, thickness in zip(sizes, (drum.top.thickness_mm, None), strict=False):
        wishes = Wishes(thickness_mm=thickness, cut=drum.top.cut, mount=mount)
        try:
            fresh = first_drum(drum.name, notes, drum.top.wood, wishes=wishes, units=drum.units, sizes=chosen)
        except KerftoneError:
            continue
        top = replace(
            fresh.top, elastic=drum.top.elastic, scatter=drum.top.scatter, knots_mm=drum.top.knots_mm
        )
        fresh = cut_at(replace(fresh, top=top, tuning=drum.tuning), (0.0, 0.0))
        if (fresh.top, fresh.box) == (drum.top, drum.box):
            continue
        thick, high = (format_length(mm, drum.units) for mm in (top.thickness_mm, fresh.box.height_mm))
        yield (
            f"all sizes as for a new drum: {_stiffness_words(fresh)}, {thick} thick, on a box of "
            f"{fresh.box.wood} {high} high{seat}",
            fresh,
        )


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
    planed = replace(drum.top, thickness_mm=thickness, thickness_at_mm=())
    return None if thickness < THINNEST_MM else replace(drum, top=planed)


def _other_height(drum: Drum, share: float) -> Drum:
    step = USUAL[drum.units].mm * USUAL[drum.units].grid
    height = max(1, round(share * drum.box.height_mm / step)) * step
    bar = min(drum.box.root_bar_height_mm, height)
    return replace(drum, box=replace(drum.box, height_mm=height, root_bar_height_mm=bar))


def _moved(drum: Drum, tongue: int | None) -> Iterator[Change]:
    """One note moved: first the one that stands in the way, then the lowest and the highest."""
    aims = aims_hz(drum)
    by_pitch: Sequence[int] = sorted(range(len(aims)), key=lambda number: aims[number])
    lowest, highest = by_pitch[0], by_pitch[-1]
    if tongue is not None:
        up = tongue in by_pitch[: len(aims) // 2]
        yield from _note_moved(drum, tongue, (12, -12) if up or tongue == lowest else (-12, 12))
        if len(aims) > 1:
            left = tuple(other for number, other in enumerate(drum.tongues) if number != tongue)
            yield f"{drum.tongues[tongue].note} left out", replace(drum, tongues=left)
        yield from _note_moved(drum, tongue, (2, -2))
    for number, semitones in ((highest, -12), (lowest, 12), (highest, -2), (lowest, 2)):
        if number != tongue:
            yield from _note_moved(drum, number, (semitones,))


def _note_moved(drum: Drum, number: int, by: Sequence[int]) -> Iterator[Change]:
    """This note moved by so many semitones, where that is no other note of the drum and can be sounded."""
    notes, note = {note_number(tongue.note) for tongue in drum.tongues}, drum.tongues[number].note
    for semitones in by:
        moved = note_number(note) + semitones
        if moved in notes or not LOWEST_HZ <= equal_hz(moved) <= HIGHEST_HZ:
            continue
        name = note_name(moved, flats="b" in note)
        tongues = list(drum.tongues)
        tongues[number] = replace(tongues[number], note=name)
        yield f"{name} in place of {note}", replace(drum, tongues=tuple(tongues))
