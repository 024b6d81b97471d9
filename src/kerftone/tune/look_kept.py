"""What a look at a drum's arrangements found, kept beside its file: `new` looks last at the drum that it writes, and
`fit` begins with that very look.

Kept under the drum without lengths and its aims, so that any size that is changed in between finds nothing. Held by
tests/tune/test_look_kept.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from kerftone.drum.design import Drum
from kerftone.modal.result import Array
from kerftone.modal.search_kept import model_arrays, model_of, places_array, places_of
from kerftone.modal.shelf import SPOILT, Shelf, name_of
from kerftone.tune.before_search import aims_hz, started_drum
from kerftone.tune.candidate import Candidate
from kerftone.tune.fit import Look
from kerftone.tune.newton import Tuned

SHIFT, TRIED = "shift", "tried "


def keep_look(drum: Drum, look: Look, shelf: Shelf) -> None:
    """Keep what was found for this drum.

    Parameters
    ----------
    drum : Drum
        As its file has it, in mm; what it sounds is not asked.
    look : Look
        What `looked` said of it.
    shelf : Shelf
        The folder beside that file.
    """
    tried = {TRIED + name: array for name, array in _tried_arrays(look.tried).items()}
    shelf.keep_arrays(_name(drum), model_arrays(look.model) | tried | {SHIFT: look.shift})


def kept_look(drum: Drum, shelf: Shelf) -> Look | None:
    """What was found for this very drum; None if nothing is kept."""
    arrays = shelf.arrays(_name(drum))
    if arrays is None:
        return None
    try:
        model = model_of(started_drum(drum, aims_hz(drum)), arrays)
        return Look(model=model, shift=arrays[SHIFT], tried=_tried(arrays))
    except SPOILT:
        return None


def _name(drum: Drum) -> str:
    return name_of("look", drum, tuple(aims_hz(drum)))


def _tried_arrays(tried: Sequence[Candidate]) -> dict[str, Array]:
    """Arrangements as arrays, with as many rows as arrangements; an empty loudness as NaN."""
    tuned = [one.tuned for one in tried]
    silent = np.full(len(tuned[0].places), np.nan)
    most = 1 + max((knot for one in tried for knot in one.spoilt), default=-1)
    return {
        "places": np.array([places_array(one.places) for one in tuned]),
        "lengths": np.array([one.lengths_mm for one in tuned]),
        "off": np.array([one.off_cents for one in tuned]),
        "pull": np.array([one.pull for one in tuned]),
        "clarity": np.array([one.clarity for one in tried]),
        "shares": np.array([(one.fits, one.sure, one.safe) for one in tried], dtype=float),
        "spoilt": np.array([[knot in one.spoilt for knot in range(most)] for one in tried]).reshape(
            len(tried), most
        ),
        "power": np.array([one.power_db if one.power_db.size else silent for one in tried]),
    }


def _tried(arrays: Mapping[str, Array]) -> tuple[Candidate, ...]:
    names = ("places", "lengths", "off", "pull", "clarity", "shares", "spoilt", "power")
    rows = zip(*(arrays[TRIED + name] for name in names), strict=True)
    return tuple(
        Candidate(
            tuned=Tuned(
                places=places_of(places),
                lengths_mm=tuple(float(mm) for mm in lengths),
                off_cents=off,
                pull=pull,
            ),
            clarity=clarity,
            fits=bool(shares[0]),
            sure=float(shares[1]),
            safe=float(shares[2]),
            spoilt=tuple(int(knot) for knot in np.flatnonzero(spoilt)),
            power_db=np.zeros(0) if np.isnan(power).all() else power,
        )
        for places, lengths, off, pull, clarity, shares, spoilt, power in rows
    )
