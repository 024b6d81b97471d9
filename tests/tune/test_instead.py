"""What could be asked for instead of a drum that does not fit. Nothing is solved here: trials are stood in for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.drum.knots import Knot
from kerftone.drum.template import drum_text
from kerftone.errors import NoteError, SpeciesError
from kerftone.tune import instead
from kerftone.tune.begin import Wishes
from kerftone.tune.choose import Knotted, Trial
from kerftone.tune.instead import Asked, WorksInstead, chosen_or_instead, working

SHORT = Asked(
    name="T",
    notes=("C3", "G3", "A4", "C4"),
    wood="walnut, black",
    wishes=Wishes(board_mm=(400.0, 180.0, 16.0)),
)


@pytest.fixture
def works(monkeypatch: pytest.MonkeyPatch) -> Callable[[Callable[[Drum], bool]], list[Drum]]:
    """Say which drums come out clear; returns those that were tried."""

    def told(good: Callable[[Drum], bool]) -> list[Drum]:
        seen: list[Drum] = []

        def least(drum: Drum) -> float:
            seen.append(drum)
            return 0.95 if good(drum) else 0.5

        monkeypatch.setattr(instead, "least_clarity", least)
        monkeypatch.setattr(instead, "side_by_side", lambda work, pieces: [work(piece) for piece in pieces])
        return seen

    return told


def refusal(asked: Asked) -> str:
    with pytest.raises(NoteError) as caught:
        chosen_or_instead(asked)
    return str(caught.value)


@pytest.mark.refusal
def test_a_short_board_gets_what_was_tried_and_works_in_place_of_what_is_on_paper(works) -> None:
    works(lambda drum: drum.top.thickness_mm < 16.0 or drum.top.length_mm > 400.0)
    said = refusal(SHORT)
    assert (
        "C3 and the rest on a top 16 mm thick need a board about 455 mm long. The board in hand is 400 mm."
        in said
    )
    assert said.endswith(
        "Tried on the model, it works with the board planed to 11 mm, or with a board 455 mm long."
    )
    assert "Take" not in said


def test_what_works_is_there_as_what_would_be_asked_for(works) -> None:
    works(lambda drum: drum.top.thickness_mm < 16.0 or drum.top.length_mm > 400.0)
    with pytest.raises(WorksInstead) as caught:
        chosen_or_instead(SHORT)
    planed, longer = caught.value.works
    assert planed[0] == "the board planed to 11 mm" and planed[1].wishes.board_mm == (400.0, 180.0, 11.0)
    assert longer[1].wishes.board_mm == (455.0, 180.0, 16.0) and longer[1].notes == SHORT.notes
    assert planed[1].fits and longer[1].fits


@pytest.mark.refusal
def test_what_was_tried_in_vain_is_not_named(works) -> None:
    seen = works(lambda drum: False)
    said = refusal(SHORT)
    assert "Tried" not in said and said.endswith("Take higher notes, or a top about 12.4 mm thick.")
    assert len(seen) > 4, "each change with a second set of sizes too"


def test_every_change_that_is_tried_fits_and_can_be_written_and_sawn(works) -> None:
    narrow = replace(
        SHORT, notes=("A3", "C4", "D4", "E4", "G4", "A4"), wishes=Wishes(board_mm=(600.0, 70.0, 16.0))
    )
    low = replace(SHORT, notes=("C2", "C#2"), wishes=Wishes(thickness_mm=50.0))
    for asked in (SHORT, narrow, low, replace(SHORT, units="in")):
        assert not asked.fits
        seen = works(lambda drum: False)
        working(asked)
        assert seen
        for drum in seen:
            check_outline(parse_drum(drum_text(drum)))


@pytest.mark.refusal
def test_a_note_given_twice_is_refused_before_anything_is_solved(works) -> None:
    works(lambda drum: True)
    twice = Asked(name="T", notes=("D4", "F4", "A4", "D4"), wood="cherry")
    said = refusal(twice)
    assert said.startswith("Tongues 1 and 4 are to sound one and the same note, D4.")
    assert said.endswith("it works with D5 in place of one D4, or with D3 in place of one D4.")
    works(lambda drum: len(drum.tongues) == 3)
    assert refusal(twice).endswith("it works with D4 but once.")


@pytest.mark.refusal
def test_a_wood_that_is_not_known_is_said_and_nothing_tried(works) -> None:
    seen = works(lambda drum: True)
    with pytest.raises(SpeciesError):
        chosen_or_instead(replace(SHORT, wood="chery"))
    assert seen == []


def test_octaves_and_shifts_are_as_small_as_will_do() -> None:
    found = instead._octave_up(replace(SHORT, notes=("C3", "E4", "G4", "A4")))
    assert found is not None and found[0] == "C4 in place of C3" and found[1].fits
    found = instead._all_higher(SHORT)
    assert found is not None and found[1].fits
    lower = ("E3", "B3", "C#5", "E4")
    assert not replace(SHORT, notes=lower).fits and "5 semitones higher (F3 C4 D5 F4)" in found[0]


HIT = Asked(
    name="T",
    notes=("D4", "A4"),
    wood="cherry, black",
    wishes=Wishes(board_mm=(560.0, 130.0, 16.0), knots=(Knot(100.0, 60.0, 10.0),)),
)


def knotted(asked: Asked) -> Knotted:
    trial = Trial(drum=asked.drums()[0], best=SimpleNamespace(spoilt=(0,)))  # type: ignore[arg-type]
    return Knotted("Knot 1 lies in the tongue of D4.", trial, ("D4",))


@pytest.fixture
def in_knots(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever is asked for first, a knot lies in D4."""

    def refused(*given: object, **options: object) -> None:
        raise knotted(HIT)

    monkeypatch.setattr(instead, "chosen_drum", refused)
    monkeypatch.setattr(instead, "worker_processes", lambda pieces: 2)


@pytest.mark.refusal
def test_round_a_knot_the_least_change_that_works_is_named(works, in_knots) -> None:
    seen = works(lambda drum: len(drum.tongues) == 1 or drum.tongues[0].note == "D5")
    said = refusal(HIT)
    assert said == "Knot 1 lies in the tongue of D4. Tried on the model, it works with D5 in place of D4."
    assert all(drum.top.knots_mm == HIT.wishes.knots for drum in seen), "each is tried with the knot"
    seen = works(lambda drum: True)
    assert refusal(HIT).endswith("it works with tongues 30 mm wide, or with tongues 26 mm wide.")
    assert len(seen) == 2, "no more than were named"


@pytest.mark.refusal
def test_round_a_knot_nothing_is_named_that_was_tried_in_vain(works, in_knots) -> None:
    works(lambda drum: False)
    assert refusal(HIT) == "Knot 1 lies in the tongue of D4. Take a board without it there."


@pytest.mark.refusal
def test_where_no_board_is_in_hand_the_top_may_be_cut_elsewhere(works, in_knots, monkeypatch) -> None:
    free = replace(HIT, wishes=replace(HIT.wishes, board_mm=None))
    works(lambda drum: True)

    def tried(drum: Drum, **options: object) -> Trial:
        best = SimpleNamespace(usable=True, least=1.0, corner_mm=(30.0, 0.0))
        return Trial(drum=drum, best=best, corner_mm=(30.0, 0.0))  # type: ignore[arg-type]

    monkeypatch.setattr(instead, "tried", tried)
    with pytest.raises(WorksInstead, match="with the top cut 30 mm from the left end of the board") as caught:
        chosen_or_instead(free)
    (offered,) = caught.value.works
    assert offered[1].wishes.knots == (Knot(70.0, 60.0, 10.0),)
    assert "which must then be 590 mm by 130 mm at least" in str(caught.value)
