"""How long must the tongues of this drum be? As `find_lengths`, but nothing is read or written: for a face that
keeps the drum itself."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from kerftone.drum.design import Drum
from kerftone.jobs.find_lengths import fit_record, fit_words
from kerftone.jobs.live_pitch import LiveModel, with_tables
from kerftone.jobs.prediction import prediction_of_fit
from kerftone.jobs.progress import Progress, job

SHARE = re.compile(r" \((\d+) % done\)\.?$")


@dataclass(frozen=True, kw_only=True)
class SuggestRequest:
    """Which drum; places it leaves open are found too."""

    drum: Drum


@dataclass(frozen=True, kw_only=True)
class LengthsSuggested:
    """The drum with its lengths, what it sounds, and what is to be said of how they were found.

    works_with: a drum in which a note that is not clear here is clear, on the model.
    """

    live: LiveModel
    words: tuple[str, ...]
    record: dict[str, Any]
    works_with: Drum | None = None

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "tongues": [
                {"note": t.note, "row": t.row, "side": t.side, "length_mm": t.length_mm}
                for t in self.live.drum.tongues
            ],
            "words": list(self.words),
            "fit": self.record,
            "sound": self.live.document(),
        }


@job
def suggest_lengths(request: SuggestRequest, progress: Progress) -> LengthsSuggested:
    """Find lengths (and free places). Raises OutOfReach, whose `found` has the best there are."""
    from kerftone.tune.mend import fit_or_mend

    share: list[float | None] = [0.0]

    def tell(words: str) -> None:
        done = SHARE.search(words)
        if done is not None:
            share[0] = int(done[1]) / 100.0
        progress(SHARE.sub(".", words), share[0])

    found, mend = fit_or_mend(request.drum, tell)
    prediction = prediction_of_fit(found, found.drum)
    # The frame of the tables is that of the first solve, so they answer for the drum as it was found.
    live = with_tables(found.drum, prediction, found.model)
    return LengthsSuggested(
        live=live,
        words=tuple(fit_words(found, mend)),
        record=fit_record(found, mend),
        works_with=None if mend is None else mend.drum,
    )
