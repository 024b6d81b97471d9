"""Which wall, root bar, tongue and thickness let these notes come out clear: tried on the model, not looked up.

A drum's notes quarrel through the wood at their roots and through tones of the box; both depend on its sizes. Sizes
are tried from those that take the least wood: each drum is solved with elements of order 2, which puts its pitches
some 50 cents too sharp but leaves them where they are to one another; its arrangements are compared, and the best
are tuned again on boards of other wood. The first sizes on which every note is clear on nearly every board are
taken; if there are none, the best that were tried. What was tried is kept, so that the maker can be told why.

Held by tests/tune/test_choose.py; how often it ends well is measured by benchmarks/designs.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from kerftone.drum.design import Drum, Units
from kerftone.drum.knot_places import moved_by
from kerftone.drum.knots import Knot
from kerftone.errors import KerftoneError, NoteError
from kerftone.modal.crew import side_by_side
from kerftone.modal.plan import Fineness
from kerftone.modal.search import search_model
from kerftone.modal.solve import solve
from kerftone.modal.threads import worker_processes
from kerftone.tune.arrange import arranged
from kerftone.tune.before_search import aims_hz, reach_mm, started_drum, task_for
from kerftone.tune.begin import NO_WISHES, USUAL, Sizes, Wishes, first_drum
from kerftone.tune.boards import drawn_boards
from kerftone.tune.box_air import box_air, clear_height
from kerftone.tune.candidate import CLEAR, CLEAR_ON, SURE, Candidate
from kerftone.tune.cut_top import Plan, cut_tops, knot_words
from kerftone.tune.fit import BOARDS, Look, looked
from kerftone.tune.off_knots import Corner, cut_at, knot_field

MOST_TRIED = 4
"""So many sizes are tried at most where one of them lets every note come out clear; else all of them."""
MOST_HELD = 3
"""So many of them are looked at with fine elements at most."""
FEW, MANY = 4, 8
"""With up to so many notes the lightest sizes are tried first; from so many on stiffer ones."""
ORDER, ORDER_OF_MANY, LARGE, ORDER_OF_LARGE = (
    (0, 1, 2, 3, 4, 5, 6),
    (2, 3, 4, 5, 6, 0, 1),
    9,
    (4, 6, 5, 3, 2, 1, 0),
)
"""The sizes by number in the order of trying; with so many notes and more, those of narrow tongues on a low box under
a thick bottom first."""
MOST_ON_MODEL = 16
"""Sizes are tried on the model for up to so many notes: arrangements of more cannot be gone through in a minute."""
ROUGH = Fineness(order=2)
HERE: tuple[Corner, ...] = ((0.0, 0.0),)
"""Where a top begins that is cut from its board's own corner, in mm."""
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A design as tried: its best arrangement on the model. corner_mm: where its top is cut from its board."""

    drum: Drum
    best: Candidate
    corner_mm: Corner = (0.0, 0.0)

    @property
    def merit(self) -> tuple[float, ...]:
        """What is to be large."""
        return self.best.merit

    @property
    def good(self) -> bool:
        """Whether it need not be bettered."""
        return self.clear and self.best.sure >= CLEAR_ON

    @property
    def clear(self) -> bool:
        """Whether it can be sawn and every note comes out clear on the board as it is thought to be."""
        return self.best.usable and self.best.least >= CLEAR


@dataclass(frozen=True, kw_only=True)
class Chosen:
    """The drum that came out best, and all that were tried, in the order of trying: none for very many notes.

    look: the last look at that drum, as `fit` would begin with.
    """

    drum: Drum
    trials: tuple[Trial, ...]
    look: Look | None = None

    @property
    def trial(self) -> Trial:
        """The trial of the drum that is kept, where any was tried."""
        return next(trial for trial in self.trials if trial.drum == self.drum)


def tried(drum: Drum, *, boards: int = BOARDS, corners_mm: Sequence[Corner] = ()) -> Trial:
    """This drum's best arrangement, and on how many boards of other wood it is clear. Raises OutlineError.

    Parameters
    ----------
    drum : Drum
        With the sizes to be tried.
    boards : int, optional
        So many boards of other wood.
    corners_mm : Sequence[Corner], optional
        Where its top may be cut from a larger board, on which its knots are then measured; the trial's is cut there.
    """
    aims = aims_hz(drum)
    started, others = started_drum(drum, aims), drawn_boards(drum, boards)
    model = search_model(solve(started, fineness=ROUGH), reach_mm(drum, aims))
    task = replace(task_for(drum, aims, corners_mm or HERE), air=box_air(started, others))
    best = arranged(model, task, others)[0]
    if not corners_mm:
        return Trial(drum=drum, best=best)
    return Trial(drum=cut_at(drum, best.corner_mm), best=best, corner_mm=best.corner_mm)


class Knotted(NoteError):
    """Knots of the board lie in tongues whatever was tried: `trial` is the best of it, `notes` are those tongues'."""

    def __init__(self, fact: str, trial: Trial, notes: tuple[str, ...]) -> None:
        """Keep what is said and what it is about."""
        super().__init__(fact, given=notes)
        self.fact, self.trial, self.notes = fact, trial, notes


def _knotted(trials: Sequence[Trial], best: Trial, seen: Candidate, knots: Sequence[Knot]) -> Knotted:
    """The refusal of a board whose knots spoil tongues in the best that was tried, each named with its tongue."""
    field, places, lengths = knot_field(best.drum), seen.tuned.places, seen.tuned.lengths_mm
    assert field is not None
    notes, words = [], []
    for number in seen.spoilt:
        there = moved_by(field.knots[number : number + 1], *best.corner_mm)[0]
        own = min(range(len(knots)), key=lambda at: math.dist(knots[at][:2], there[:2]))
        notes.append(best.drum.tongues[field.tongue(places, lengths, number)].note)
        words.append(
            f"{knot_words(knots, own, best.drum.units)} lies in the tongue of {notes[-1]} or at its root"
        )
    said = " and ".join(words)
    moved = any((trial.corner_mm,) != HERE for trial in trials)
    tops = " and places of the top on the board" if moved else ""
    return Knotted(
        f"{said[0].upper()}{said[1:]}, in the best of {len(trials)} sizes{tops} that were tried. A knot deadens a "
        "tongue and breaks it: it must lie in none.",
        best,
        tuple(notes),
    )


def off_the_breathing(drum: Drum) -> Drum:
    """The same drum in a box of such a height that its notes keep off its breathing, as far as that can be had."""
    found = clear_height(started_drum(drum, aims_hz(drum)), drawn_boards(drum, BOARDS))
    if found is None or found.mm == drum.box.height_mm:
        return drum
    bar = min(drum.box.root_bar_height_mm, found.mm)
    return replace(drum, box=replace(drum.box, height_mm=found.mm, root_bar_height_mm=bar))


def drums_on_paper(
    name: str, notes: Sequence[str], wood: str, *, wishes: Wishes, units: Units
) -> tuple[list[Drum], NoteError | None]:
    """The drums of all sizes that hold these notes, in the order of trying, each once; and the first refusal.

    Raises SpeciesError. Held by tests/tune/test_choose.py.

    Parameters
    ----------
    name : str
        Of the drum.
    notes : Sequence[str]
        The notes, in the order of the tongues.
    wood : str
        Of the top, by any of its names.
    wishes : Wishes
        What the maker has decided already.
    units : Units
        Of the drum file.
    """
    drums: list[Drum] = []
    refusal: NoteError | None = None
    for sizes in in_order(units, len(notes), slim=wishes.board_mm is not None):
        try:
            drum = first_drum(name, notes, wood, wishes=wishes, units=units, sizes=sizes)
        except NoteError as error:
            refusal = refusal or error
            continue
        if drum not in drums:
            drums.append(drum)
    return drums, refusal


def chosen_drum(
    name: str,
    notes: Sequence[str],
    wood: str,
    *,
    wishes: Wishes = NO_WISHES,
    units: Units = "mm",
    progress: Progress = lambda words: None,
) -> Chosen:
    """A first drum for these notes whose sizes let them come out clear, as far as the maker leaves them open.

    With more than `MOST_ON_MODEL` notes it is the first that holds them, untried. Raises SpeciesError, and NoteError
    where no sizes hold the notes.

    Parameters
    ----------
    name : str
        Of the drum.
    notes : Sequence[str]
        The notes, in the order of the tongues.
    wood : str
        Of the top, by any of its names.
    wishes : Wishes, optional
        What the maker has decided already.
    units : Units, optional
        Of the drum file.
    progress : Progress, optional
        Told what is being done.
    """
    drums, refusal = drums_on_paper(name, notes, wood, wishes=wishes, units=units)
    if drums and len(notes) > MOST_ON_MODEL:
        return Chosen(drum=drums[0], trials=())
    for drum in drums[:1]:
        drawn_boards(drum, BOARDS)  # the processes split off below then have the numbers too
    free = wishes.box_height_mm is None
    whole = [Plan(drum=drum, free_height=free) for drum in drums]
    trials, failed = _in_turn(whole, "sizes", progress)
    if wishes.knots and not any(trial.clear for trial in trials):

        def make(wanted: Wishes, sizes: Sizes) -> Drum:
            return first_drum(name, notes, wood, wishes=wanted, units=units, sizes=sizes)

        cut = cut_tops(make, in_order(units, len(notes), slim=True), wishes, units)
        more, _ = _in_turn([replace(plan, free_height=free) for plan in cut], "smaller tops", progress)
        trials = [*trials, *more]
    if not trials:
        error = refusal or failed
        assert error is not None
        raise error
    progress("Looking at the best with finer elements.")
    # Of good ones the first, which takes the least wood, unless another keeps further off the breathing.
    good = sorted((t for t in trials if t.good), key=lambda trial: -min(trial.best.safe, SURE))
    others = sorted((t for t in trials if not t.good), key=lambda trial: trial.merit, reverse=True)
    best, seen = _held([*good, *others])
    if wishes.knots and not seen.tried[0].usable:
        raise _knotted(trials, best, seen.tried[0], wishes.knots)
    return Chosen(drum=best.drum, trials=tuple(trials), look=seen)


def _in_turn(
    plans: Sequence[Plan], what: str, progress: Progress
) -> tuple[list[Trial], KerftoneError | None]:
    """Trials of these in their order, until one is good or enough were tried; and why the first that failed did.

    Parameters
    ----------
    plans : Sequence[Plan]
        What to try.
    what : str
        What they differ in, in a word or more.
    progress : Progress
        Told what is being tried.
    """
    batch, trials, refusal = worker_processes(MOST_TRIED), list[Trial](), None
    for begin in range(0, len(plans), batch):
        if begin >= MOST_TRIED and any(trial.clear for trial in trials):
            break
        now = plans[begin : begin + batch]
        progress(f"Trying {what} {begin + 1} to {begin + len(now)} of {len(plans)} on the model.")
        for outcome in side_by_side(_outcome, now):
            if isinstance(outcome, Trial):
                trials.append(outcome)
            else:
                refusal = refusal or outcome
        if any(trial.good for trial in trials):
            break
    return trials, refusal


def _held(ranked: Sequence[Trial]) -> tuple[Trial, Look]:
    """The first of these, the best first, that is clear as `fit` will look at it; if none is, the clearest there. And
    that look.

    With fine elements a tone of the box may lie on a note that it lies beside with rough ones.
    """
    seen: list[tuple[Trial, Look]] = []
    for trial in ranked[:MOST_HELD]:
        look = looked(trial.drum)
        seen.append((trial, look))
        if look.tried[0].usable and look.tried[0].least >= CLEAR:
            return seen[-1]
    return max(seen, key=lambda one: one[1].tried[0].merit)


def _outcome(plan: Plan) -> Trial | KerftoneError:
    """A trial, or why there is none; errors go through a pipe as they are."""
    try:
        drum = off_the_breathing(plan.drum) if plan.free_height else plan.drum
        return tried(drum, corners_mm=plan.corners_mm) if plan.corners_mm else tried(drum)
    except KerftoneError as error:
        return error


def in_order(units: Units, notes: int, *, slim: bool) -> list[Sizes]:
    """The sizes in the order of trying: the lightest that may do for so many notes, stiffer ones, then the rest.

    `slim`: last those with thinner walls too.

    Parameters
    ----------
    units : Units
        Of the drum file.
    notes : int
        How many.
    slim : bool
        Whether sizes with thinner walls come last.
    """
    usual = USUAL[units]
    order = ORDER_OF_LARGE if notes >= LARGE else ORDER_OF_MANY if notes >= MANY else ORDER
    if FEW < notes < MANY:
        order = (*ORDER[1:], ORDER[0])
    return [*(usual.sizes[number] for number in order), *(usual.slim if slim else ())]
