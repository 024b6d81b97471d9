"""Notes that no drum can have, refused before anything is solved."""

from __future__ import annotations

from itertools import pairwise

import pytest

from kerftone.drum.design import Drum
from kerftone.pitch import cents
from kerftone.tune.before_search import aims_hz
from kerftone.tune.begin import first_drum
from kerftone.tune.fit import fit
from kerftone.tune.reach import OutOfReach, refuse_twins


def drum(*notes: str) -> Drum:
    return first_drum("T", notes, "cherry, black")


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("notes", "tongue"), [(("D4", "D4"), 1), (("D4", "F4", "A4", "D4"), 3), (("C#4", "A4", "Db4"), 2)]
)
def test_one_note_given_twice_is_refused_before_anything_is_solved(notes, tongue: int) -> None:
    with pytest.raises(OutOfReach, match=r"one and the same note.*beat.*Take another note") as caught:
        fit(drum(*notes))
    assert caught.value.tongue == tongue and caught.value.found is None
    assert "Take another" not in caught.value.fact


@pytest.mark.parametrize("notes", [("D4",), ("D4", "Eb4"), ("E4", "F4", "D#4"), ("D4", "D5")])
def test_notes_a_semitone_or_more_apart_are_not(notes) -> None:
    aims = aims_hz(drum(*notes))
    refuse_twins(drum(*notes), aims)
    assert all(cents(high, low) > 99.0 for low, high in pairwise(sorted(aims))), (
        "and the notes are what their names say"
    )


def test_a_refusal_in_other_words_keeps_what_stands_behind_it() -> None:
    error = OutOfReach("Fact.", "Offer.", found=drum("D4"), short_mm=2.0, tongue=1, given=3.0, limit=1.0)
    again = error.saying("Other words.")
    assert str(error) == "Fact. Offer." and str(again) == "Other words."
    assert (again.found, again.short_mm, again.tongue) == (error.found, 2.0, 1)
    assert (again.given, again.limit) == (3.0, 1.0)
