"""How long must the tongues be? Lengths, and places where they are free, written back into the drum file."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.save import save_lengths
from kerftone.errors import KerftoneError
from kerftone.jobs.paths import check_open, drum_path
from kerftone.jobs.prediction import Prediction, prediction_of_fit
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.wood_facts import of_boards
from kerftone.modal.shelf import shelf_beside

if TYPE_CHECKING:
    from kerftone.tune.explain import Explained
    from kerftone.tune.fit import Fit
    from kerftone.tune.mend import Mend

GOOD_CENTS, CLEAR = 1.0, 0.9
"""Off by more, or clear by less, is said."""
SEEN = 0.01
"""Clarities closer than this print alike."""
SAFE = 0.9
"""As `tune/candidate.py` has it: kept off the breathing on fewer boards than this, it is said."""


@dataclass(frozen=True, kw_only=True)
class LengthsRequest:
    """Which drum; explain: say too which tongues pull at which, and which tone of the box is near each note."""

    drum: Path
    explain: bool = False


@dataclass(frozen=True, kw_only=True)
class LengthsFound:
    """How the lengths were found, what else would help, what the drum now in the file sounds, and that file.

    reasons: what pulls at each note; None where that was not asked.
    """

    found: Fit
    mend: Mend | None
    prediction: Prediction
    written: Path
    reasons: tuple[Explained, ...] | None = None

    def document(self) -> dict[str, Any]:
        """As JSON."""
        fit = fit_record(self.found, self.mend)
        if self.reasons is not None:
            fit["explained"] = [asdict(one) for one in self.reasons]
        return self.prediction.document() | {"fit": fit, "written": [str(self.written)]}


@job
def find_lengths(request: LengthsRequest, progress: Progress) -> LengthsFound:
    """Put a drum in tune on paper: find the lengths and write them into its file."""
    path = drum_path(request.drum)
    done = find_in_file(path, read_drum(path), progress)
    if not request.explain:
        return done
    from kerftone.tune.explain import explained

    progress("Looking for what pulls at the notes.")
    return replace(done, reasons=explained(done.found))


def reason_words(one: Explained) -> str:
    """What pulls at one note, and the nearest tone of the box."""
    pulls = ", ".join(f"{p.note} ({p.place}) {p.cents_per_cent:+.2f}" for p in one.pulls)
    words = f"{one.note} ({one.place}): " + (
        f"moves with its neighbours, in cents for each cent of theirs: {pulls}."
        if pulls
        else "no other tongue pulls at it."
    )
    if one.tone is None:
        return words
    side = "above" if one.tone.apart_cents > 0 else "below"
    words += (
        f" The nearest tone of the box is {one.tone.hz:.0f} Hz, {abs(one.tone.apart_cents):.0f} cents {side}"
    )
    moves = ", ".join(f"{name} {cents:+.0f}" for name, cents in one.tone.moves.items())
    return words + (f"; a tenth more of a size moves it by so many cents: {moves}." if moves else ".")


def find_in_file(path: Path, drum: Drum, progress: Progress) -> LengthsFound:
    """Find lengths for the drum of this file and write them into it; the prediction is for what was written.

    Where the notes cannot be had, the best lengths found are written beside the file, and the refusal says where.

    Parameters
    ----------
    path : Path
        The drum's file.
    drum : Drum
        The drum, in mm.
    progress : Progress
        Told what is being done; by it the work is stopped.
    """
    from kerftone.tune.look_kept import kept_look
    from kerftone.tune.mend import fit_or_mend
    from kerftone.tune.reach import OutOfReach

    check_open(path.parent)
    shelf = shelf_beside(path)
    try:
        found, mend = fit_or_mend(drum, progress, kept_look(drum, shelf))
    except OutOfReach as error:
        where = f" {path} is left as it is"
        beside = path.with_name(f"{path.stem}.best-found{path.suffix}")
        if error.found is not None and _saved_beside(path, error.found, beside):
            where += f"; the best lengths found are in {beside}"
        raise error.saying(f"{error.message}{where}.") from error
    kept = save_lengths(path, found.drum)
    prediction = prediction_of_fit(found, kept, shelf)
    return LengthsFound(found=found, mend=mend, prediction=prediction, written=path)


def _saved_beside(path: Path, drum: Drum, beside: Path) -> bool:
    """Write the best lengths found beside the file; they may be none that a drum file can hold."""
    try:
        save_lengths(path, drum, to=beside)
    except KerftoneError:
        return False
    return True


def fit_record(found: Fit, mend: Mend | None = None) -> dict[str, Any]:
    """How the fit went, as JSON."""

    def share(clarity: float | None) -> float | None:
        return None if clarity is None else round(clarity, 4)

    return {
        "full_solves": found.full_solves,
        "off_cents": [round(cents, 3) for cents in found.off_cents],
        "clarity_reached": share(found.clarity_reached),
        "clarity_worst": share(found.clarity_worst),
        "clarity_best": share(found.clarity_best),
        "clear_boards_share": share(found.sure),
        "off_breathing_share": share(found.kept.safe) if found.drum.bottom is not None else None,
        "works_with": None if mend is None else mend.words,
    }


def fit_words(found: Fit, mend: Mend | None) -> list[str]:
    """How clear the least clear note came out and what else was tried; first what is not as it should be."""
    words = []
    off = max(found.off_cents, key=abs)
    if abs(off) > GOOD_CENTS:
        note = found.drum.tongues[found.off_cents.index(off)].note
        words.append(
            f"{note} is still {off:+.1f} cents off its aim by the model, less than your wood is known to."
        )
    unclear = [n for n in found.notes if n.clarity < CLEAR]
    for heard in unclear:
        tongue = found.drum.tongues[heard.number]
        words.append(
            f"{tongue.note} does not come out clear: {heard.clarity:.2f} of what is heard is its note."
        )
    if unclear and mend is not None:
        words.append(f"Tried on the model, every note is clear with {mend.words}.")
    return [*words, clarity_words(found), *breathing_share_words(found)]


def breathing_share_words(found: Fit) -> list[str]:
    """On how many boards a note lies on the breathing of the box, where that is more than one in ten."""
    safe = found.kept.safe
    if found.drum.bottom is None or safe >= SAFE:
        return []
    return [
        f"All notes that push air keep 8 % off the breathing of the box on {of_boards(safe)} such as yours may be. "
        "Another height of the walls helps most, after that a tapped board, for then it is known where the box "
        "breathes."
    ]


def clarity_words(found: Fit) -> str:
    """How clear the least clear note came out, how that compares with other arrangements, and how sure it is."""
    reached = found.clarity_reached
    words = (
        f"Every note comes out clear: {reached:.2f} at the least."
        if reached >= CLEAR
        else f"The least clear note has a clarity of {reached:.2f}."
    )
    if found.clarity_worst is None or found.clarity_best is None:
        return f"{words} The places of the tongues were yours and are kept."
    many = len(found.tried)
    if found.clarity_worst == 0.0:
        words += (
            f" The notes were tried in {many} orders; in the worst they cannot be brought in tune at all."
        )
    elif found.clarity_best - found.clarity_worst >= SEEN:
        words += (
            f" The notes were tried in {many} orders: the least clear note has from {found.clarity_worst:.2f} to "
            f"{found.clarity_best:.2f}."
        )
    if found.sure is not None:
        words += f" Every note can be tuned clear so on {of_boards(found.sure)} such as yours may be."
    return words
