"""What could be asked for instead, where the notes do not fit a board: tried on the model before it is said.

What is asked for is changed on paper, each way as little as will do: the board in hand planed thinner, the lowest
notes an octave up, all notes some semitones higher, fewer notes, another board. What fits on paper is then tried on
the model, side by side, and what comes out clear there is named. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Unpack

from kerftone.drum.build import HIGHEST_HZ
from kerftone.drum.design import Drum, Units
from kerftone.drum.knot_places import moved_by
from kerftone.errors import Behind, NoteError
from kerftone.modal.crew import side_by_side
from kerftone.modal.threads import worker_processes
from kerftone.pitch import equal_hz, note_name, note_number
from kerftone.tune.before_search import aims_hz
from kerftone.tune.begin import LONGEST_MM, NO_WISHES, USUAL, DoesNotFit, Sizes, Wishes, first_drum
from kerftone.tune.candidate import CLEAR
from kerftone.tune.choose import Chosen, Knotted, chosen_drum, drums_on_paper, in_order, tried
from kerftone.tune.cut_top import pencil_step_mm
from kerftone.tune.mend import THINNEST_MM, least_clarity
from kerftone.tune.off_knots import corners_on
from kerftone.tune.reach import OutOfReach, refuse_twins
from kerftone.units import MM_PER_INCH, format_length

MOST_PAST_KNOTS = 8
"""So many changes are tried at most round a knot, each a rough solve: own judgement."""
PAST_WIDTHS_MM = (30.0, 26.0, 22.0, 36.0)
"""Tongues so wide are tried where those of the usual sizes meet a knot; own judgement."""
MORE_BOARD_MM = (200.0, 80.0)
"""Where no board is in hand a top is thought to be cut from one larger by so much at most; own judgement."""
NAMED = 2
"""So many changes that work are named at most."""
SIZES = 2
"""Each change is tried with so many sizes at most."""
WIDEST_MM = 1000.0
"""Own judgement."""
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a maker asks `new` for."""

    name: str
    notes: tuple[str, ...]
    wood: str
    wishes: Wishes = NO_WISHES
    units: Units = "mm"

    def all_sizes(self) -> list[Sizes]:
        """The sizes that may be tried, in order."""
        return in_order(self.units, len(self.notes), slim=self.wishes.board_mm is not None)

    def drum(self, sizes: Sizes) -> Drum:
        """The drum of these sizes; raises DoesNotFit."""
        wishes, units = self.wishes, self.units
        return first_drum(self.name, self.notes, self.wood, wishes=wishes, units=units, sizes=sizes)

    def drums(self) -> list[Drum]:
        """The drums of all sizes in which this fits on paper, in the order in which they would be tried."""
        return drums_on_paper(self.name, self.notes, self.wood, wishes=self.wishes, units=self.units)[0]

    @property
    def fits(self) -> bool:
        """Whether no two notes are one and some sizes hold them all."""
        drums = self.drums()
        try:
            for drum in drums[:1]:
                refuse_twins(drum, aims_hz(drum))
        except OutOfReach:
            return False
        return bool(drums)


class WorksInstead(NoteError):
    """The notes do not fit; `works`: what was tried in their place and works, in words and whole."""

    def __init__(self, message: str, works: tuple[tuple[str, Asked], ...], **behind: Unpack[Behind]) -> None:
        """Keep both beside the message."""
        super().__init__(message, **behind)
        self.works = works


def chosen_or_instead(asked: Asked, progress: Progress = lambda words: None) -> Chosen:
    """The drum for what is asked, its sizes chosen on the model.

    Raises SpeciesError, and WorksInstead where it does not fit, with what could be asked for instead as far as that
    was tried and works.
    """
    try:
        for plain in asked.drums()[:1] or [asked.drum(asked.all_sizes()[-1])]:
            refuse_twins(plain, aims_hz(plain))
        return chosen_drum(
            asked.name,
            asked.notes,
            asked.wood,
            wishes=asked.wishes,
            units=asked.units,
            progress=progress,
        )
    except Knotted as error:
        works = round_knots(asked, error, progress)
        named = ", or with ".join(words for words, _ in works)
        told = f"Tried on the model, it works with {named}." if works else "Take a board without it there."
        raise WorksInstead(f"{error.fact} {told}", tuple(works), given=error.given) from error
    except (DoesNotFit, OutOfReach) as error:
        tongue = error.tongue if isinstance(error, OutOfReach) else None
        works = working(asked, tongue=tongue, progress=progress)
        named = ", or with ".join(words for words, _ in works)
        words = f"{error.fact} Tried on the model, it works with {named}." if works else error.message
        raise WorksInstead(
            words, tuple(works), given=error.given, limit=error.limit, nearest=error.nearest
        ) from error


def working(
    asked: Asked, *, tongue: int | None = None, progress: Progress = lambda words: None
) -> list[tuple[str, Asked]]:
    """Changes of what is asked that come out clear on the model, in words and whole.

    Parameters
    ----------
    asked : Asked
        What the maker wants.
    tongue : int | None, optional
        One that is another's twin, counted from 0; None for none.
    progress : Progress, optional
        Told what is being done.
    """
    changes = [(words, changed) for words, changed in _changes(asked, tongue) if changed.fits]
    for number in range(SIZES):
        found = [(words, drums[number]) for words, a in changes if len(drums := a.drums()) > number]
        if not found:
            break
        progress(f"Trying whether it works with {', or with '.join(words for words, _ in found)}.")
        clear = side_by_side(least_clarity, [drum for _, drum in found])
        works = [words for (words, _), least in zip(found, clear, strict=True) if least >= CLEAR]
        if works:
            return [(words, changed) for words, changed in changes if words in works][:NAMED]
    return []


def round_knots(
    asked: Asked, knotted: Knotted, progress: Progress = lambda words: None
) -> list[tuple[str, Asked]]:
    """The nearest change of what is asked with which no knot lies in a tongue and every note comes out clear on the
    model, in words and whole; none where nothing tried does.

    Parameters
    ----------
    asked : Asked
        What the maker wants.
    knotted : Knotted
        Why it cannot be.
    progress : Progress, optional
        Told what is being done.
    """
    if asked.wishes.board_mm is None:
        progress("Trying whether it works with the top cut elsewhere from its board.")
        moved = _moved_top(asked, knotted.trial.drum)
        if moved is not None:
            return [moved]
    changes = [change for change in _past_knots(asked, knotted.notes) if change[1].fits]
    batch = worker_processes(MOST_PAST_KNOTS)
    for begin in range(0, min(MOST_PAST_KNOTS, len(changes)), batch):
        now = changes[begin : begin + batch]
        progress(f"Trying whether it works with {', or with '.join(words for words, _ in now)}.")
        clear = side_by_side(least_clarity, [changed.drums()[0] for _, changed in now])
        works = [change for change, least in zip(now, clear, strict=True) if least >= CLEAR]
        if works:
            return works[:NAMED]
    return []


def _moved_top(asked: Asked, drum: Drum) -> tuple[str, Asked] | None:
    """The same drum cut elsewhere from a board somewhat larger; None where that does not help."""
    top, units, knots = drum.top, asked.units, asked.wishes.knots
    size = top.length_mm, top.width_mm
    board = size[0] + MORE_BOARD_MM[0], size[1] + MORE_BOARD_MM[1]
    corners = corners_on(board, size, pencil_step_mm(units))
    trial = tried(replace(drum, top=replace(top, knots_mm=knots)), boards=0, corners_mm=corners)
    if not trial.clear:
        return None
    x, y = trial.corner_mm
    ways = [
        f"{format_length(mm, units)} {words}"
        for mm, words in ((x, "from the left end"), (y, "from the front edge"))
        if mm > 0.0
    ]
    least = " by ".join(format_length(a + b, units) for a, b in zip(size, trial.corner_mm, strict=True))
    left = tuple(knot for knot in moved_by(knots, -x, -y) if min(knot[:2]) >= 0.0)
    moved = replace(asked, wishes=replace(asked.wishes, knots=left))
    return f"the top cut {' and '.join(ways)} of the board, which must then be {least} at least", moved


def _past_knots(asked: Asked, notes: Sequence[str]) -> Iterator[tuple[str, Asked]]:
    """Other tongues than those the knots lie in: of other widths, lengths or number, the least change first."""
    wishes, step = asked.wishes, pencil_step_mm(asked.units)
    if wishes.tongue_width_mm is not None:
        yield (
            "tongues of a width of the program's choice",
            replace(asked, wishes=replace(wishes, tongue_width_mm=None)),
        )
    for width in sorted(
        PAST_WIDTHS_MM, key=lambda mm: abs(mm - (wishes.tongue_width_mm or PAST_WIDTHS_MM[0]))
    ):
        mm = round(width / step) * step
        if mm != wishes.tongue_width_mm:
            words = f"tongues {format_length(mm, asked.units)} wide"
            yield words, replace(asked, wishes=replace(wishes, tongue_width_mm=mm))
    for note in dict.fromkeys(notes):
        for higher in (12, -12):
            moved = note_number(note) + higher
            if moved not in {note_number(one) for one in asked.notes} and equal_hz(moved) <= HIGHEST_HZ:
                name = note_name(moved, flats="b" in note)
                rest = tuple(name if one == note else one for one in asked.notes)
                yield f"{name} in place of {note}", replace(asked, notes=rest)
        left = tuple(one for one in asked.notes if one != note)
        if left:
            yield f"{note} left out", replace(asked, notes=left)


def _changes(asked: Asked, tongue: int | None) -> Iterator[tuple[str, Asked]]:
    if tongue is not None:
        yield from _other_note(asked, tongue)
        return
    for some in (_planed, _octave_up, _all_higher, _fewer, _other_board):
        found = some(asked)
        if found is not None:
            yield found


def _other_note(asked: Asked, number: int) -> Iterator[tuple[str, Asked]]:
    """Another note in place of this one, which the drum has already; or none."""
    note, taken = asked.notes[number], {note_number(one) for one in asked.notes}
    for by in (12, -12, 2, -2):
        moved = note_number(note) + by
        if moved in taken:
            continue
        name = note_name(moved, flats="b" in note)
        notes = (*asked.notes[:number], name, *asked.notes[number + 1 :])
        yield f"{name} in place of one {note}", replace(asked, notes=notes)
    if len(asked.notes) > 1:
        notes = (*asked.notes[:number], *asked.notes[number + 1 :])
        yield f"{note} but once", replace(asked, notes=notes)


def _planed(asked: Asked) -> tuple[str, Asked] | None:
    """The thickest top under the one asked for that takes the notes."""
    wishes = asked.wishes
    step = 1.0 if asked.units == "mm" else MM_PER_INCH / 16.0
    now = wishes.board_mm[2] if wishes.board_mm else wishes.thickness_mm or USUAL["mm"].sizes[0].thickness
    thick = math.ceil(now / step - 1e-9) * step - step
    while thick >= THINNEST_MM:
        if wishes.board_mm:
            length, width, _ = wishes.board_mm
            changed = replace(asked, wishes=replace(wishes, board_mm=(length, width, thick)))
        else:
            changed = replace(asked, wishes=replace(wishes, thickness_mm=thick))
        if changed.fits:
            what = "the board planed to" if wishes.board_mm else "a top planed to"
            return f"{what} {format_length(thick, asked.units)}", changed
        thick -= step
    return None


def _octave_up(asked: Asked) -> tuple[str, Asked] | None:
    """As few as possible of the lowest notes an octave higher, at most half of them."""
    numbers = [note_number(note) for note in asked.notes]
    words = []
    notes = list(asked.notes)
    for at in sorted(range(len(notes)), key=lambda n: numbers[n])[: (len(notes) + 1) // 2]:
        moved = numbers[at] + 12
        if moved in numbers or equal_hz(moved) > HIGHEST_HZ:
            continue
        numbers[at] = moved
        notes[at] = note_name(moved, flats="b" in notes[at])
        words.append(f"{notes[at]} in place of {asked.notes[at]}")
        changed = replace(asked, notes=tuple(notes))
        if changed.fits:
            return " and ".join(words), changed
    return None


def _all_higher(asked: Asked) -> tuple[str, Asked] | None:
    """All notes as few semitones higher as will do."""
    for by in range(1, 13):
        if max(equal_hz(note_number(note) + by) for note in asked.notes) > HIGHEST_HZ:
            return None
        notes = tuple(note_name(note_number(note) + by, flats="b" in note) for note in asked.notes)
        changed = replace(asked, notes=notes)
        if changed.fits:
            return f"all notes {by} semitone{'s' * (by > 1)} higher ({' '.join(notes)})", changed
    return None


def _fewer(asked: Asked) -> tuple[str, Asked] | None:
    """As few as possible of the lowest notes left out, at most half of them."""
    order = sorted(asked.notes, key=note_number)
    for count in range(1, len(order) // 2 + 1):
        gone = order[:count]
        changed = replace(asked, notes=tuple(note for note in asked.notes if note not in gone))
        if changed.notes and changed.fits:
            return f"{' '.join(gone)} left out", changed
    return None


def _other_board(asked: Asked) -> tuple[str, Asked] | None:
    """A longer or a wider board, where one in hand is given."""
    if asked.wishes.board_mm is None:
        return None
    length, width, thick = asked.wishes.board_mm
    step = USUAL[asked.units].mm * USUAL[asked.units].grid
    for axis, most in ((0, LONGEST_MM), (1, WIDEST_MM)):
        mm = math.ceil((length, width)[axis] / step - 1e-9) * step
        while mm < most:
            sizes = (mm, width, thick) if axis == 0 else (length, mm, thick)
            changed = replace(asked, wishes=replace(asked.wishes, board_mm=sizes))
            if changed.fits:
                return f"a board {format_length(mm, asked.units)} {('long', 'wide')[axis]}", changed
            mm += step
    return None
