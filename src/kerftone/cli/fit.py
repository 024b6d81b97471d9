"""`kerftone fit`: lengths, and places where they are free, written back into the drum file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from kerftone.cli.answer import Answer, answer_of_fit, document, stand_ins
from kerftone.cli.place import check_open, drum_file
from kerftone.cli.screen import emit, say, show
from kerftone.cli.table import explain, show_answer
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.save import save_lengths

if TYPE_CHECKING:
    from kerftone.tune.fit import Fit


def run(given: Path, *, as_json: bool) -> None:
    """Put a drum in tune on paper: find the lengths, write them back, show what they sound."""
    path = drum_file(given)
    drum = read_drum(path)
    found, said = fit_file(path, drum)
    if as_json:
        emit(document(said) | {"fit": fit_record(found), "written": [str(path)]})
        return
    show_answer(said)
    show("")
    show(clarity_words(found), wrap=True)
    show(f"Lengths written to {path}.")
    explain(said, stand_ins(drum))


def fit_file(path: Path, drum: Drum) -> tuple[Fit, Answer]:
    """Find lengths for the drum of this file and write them into it; the answer is for what was written."""
    from kerftone.tune.fit import fit

    check_open(path.parent)
    found = fit(drum, progress=say)
    kept = save_lengths(path, found.drum)
    return found, answer_of_fit(found, kept)


def fit_record(found: Fit) -> dict[str, Any]:
    """How the fit went, for JSON."""

    def share(clarity: float | None) -> float | None:
        return None if clarity is None else round(clarity, 4)

    return {
        "full_solves": found.full_solves,
        "clarity_reached": share(found.clarity_reached),
        "clarity_worst": share(found.clarity_worst),
        "clarity_best": share(found.clarity_best),
    }


def clarity_words(found: Fit) -> str:
    """How clear the least clear note came out, and how that compares with other arrangements."""
    reached = f"The least clear note has a clarity of {found.clarity_reached:.2f}"
    if found.clarity_worst is None or found.clarity_best is None:
        return f"{reached}; the places of the tongues were yours and are kept."
    worst = (
        f"would have {found.clarity_worst:.2f}" if found.clarity_worst else "cannot be brought in tune at all"
    )
    return (
        f"{reached}; of the arrangements tried, the worst {worst} and the best has {found.clarity_best:.2f}."
    )
