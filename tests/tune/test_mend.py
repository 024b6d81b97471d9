"""Changes that would help a drum, tried before they are named. Only the slow test solves anything."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum, Tongue
from kerftone.drum.file import parse_drum
from kerftone.errors import KerftoneError, OutlineError
from kerftone.pitch import note_number
from kerftone.tune import mend
from kerftone.tune.before_search import aims_hz, started_drum
from kerftone.tune.candidate import CLEAR, Candidate
from kerftone.tune.choose import Trial
from kerftone.tune.fit import fit
from kerftone.tune.mend import fit_or_mend, mended
from kerftone.tune.newton import Tuned
from kerftone.tune.reach import OutOfReach

from ..drums import REED

Judge = Callable[[Drum], bool]


def trial(drum: Drum, *, clear: float, fits: bool = True) -> Trial:
    still = Tuned(places=((1, "left"),), lengths_mm=(100.0,), off_cents=np.zeros(1), pull=np.zeros((1, 1)))
    return Trial(drum=drum, best=Candidate(tuned=still, clarity=np.array([clear]), fits=fits))


@pytest.fixture
def reed() -> Drum:
    return parse_drum(REED)


@pytest.fixture
def free(reed: Drum) -> Drum:
    """The same with no places given."""
    return replace(reed, tongues=tuple(Tongue(note=tongue.note) for tongue in reed.tongues))


@pytest.fixture(autouse=True)
def one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Try changes here, one after the other, whatever processors there are."""
    monkeypatch.setattr(mend, "worker_processes", lambda pieces: 1)


@pytest.fixture
def works(monkeypatch: pytest.MonkeyPatch) -> Callable[[Judge], list[Drum]]:
    """Say which changed drums come out clear; returns those that were tried."""

    def told(good: Judge) -> list[Drum]:
        seen: list[Drum] = []

        def tried(drum: Drum, *, boards: int) -> Trial:
            assert boards == 0
            seen.append(drum)
            return trial(drum, clear=0.95 if good(drum) else 0.5)

        monkeypatch.setattr(mend, "tried", tried)
        return seen

    return told


def all_changes(works: Any, drum: Drum, **options: float) -> list[Drum]:
    seen = works(lambda changed: False)
    assert mended(drum, **options) is None, "what was tried in vain is not offered"
    return list(seen)


def test_places_given_by_hand_are_the_first_thing_let_go(works, reed: Drum) -> None:
    works(lambda drum: all(tongue.row is None for tongue in drum.tongues))
    found = mended(reed)
    assert found is not None and found.words == "the places of the tongues left to the program"
    assert found.least_clarity == 0.95 and found.drum.top == reed.top


def test_a_row_too_short_gets_a_longer_board_first(works, free: Drum) -> None:
    seen = works(lambda drum: drum.top.length_mm > free.top.length_mm)
    found = mended(free, short_mm=13.0)
    assert found is not None and len(seen) == 1 and found.words.startswith("a top ")
    assert 413.0 < found.drum.top.length_mm <= 420.0 and f"{found.drum.top.length_mm:g} mm" in found.words


def test_stiffer_walls_leave_the_tongues_their_room(works, free: Drum) -> None:
    works(lambda drum: drum.box.root_bar_mm > 0.0)
    found = mended(free)
    assert found is not None and found.drum.box.wall_mm > free.box.wall_mm
    for words in ("walls 32 mm thick", "root bars 30 mm wide and 50 mm high", "end_margin", "side_margin"):
        assert words in found.words, found.words

    def rooms(drum: Drum) -> tuple[float, float]:
        top, slots = drum.top, drum.slots
        return top.length_mm - 2 * slots.end_margin_mm, top.width_mm - 2 * slots.side_margin_mm

    assert rooms(found.drum)[0] >= rooms(free)[0] and rooms(found.drum)[1] == pytest.approx(rooms(free)[1])
    check_outline(started_drum(found.drum, aims_hz(found.drum)))


def test_what_the_words_say_is_what_the_drum_has(works, free: Drum) -> None:
    works(lambda drum: drum.top.thickness_mm < free.top.thickness_mm)
    found = mended(free)
    assert found is not None and f"a top {found.drum.top.thickness_mm:g} mm thick" in found.words


def test_changes_that_cannot_be_made_are_passed_over(works, free: Drum, monkeypatch) -> None:
    count = 0

    def tried(drum: Drum, *, boards: int) -> Trial:
        nonlocal count
        count += 1
        if count == 1:
            raise KerftoneError("cannot be sawn")
        return trial(drum, clear=1.0, fits=count > 2)

    monkeypatch.setattr(mend, "tried", tried)
    assert mended(free) is not None and count == 3, "one cannot be sawn, one does not fit its rows"


def test_only_so_many_changes_are_tried_and_each_is_another_drum(works, reed: Drum, free: Drum) -> None:
    for drum in (reed, free):
        seen = all_changes(works, drum)
        assert len(seen) == mend.MOST_TRIED and len({repr(one) for one in seen}) == len(seen)
        assert drum not in seen


@pytest.mark.parametrize("tongue", [None, 0, 1])
def test_a_moved_note_is_none_that_the_drum_has(free: Drum, tongue: int | None) -> None:
    two = replace(free, tongues=(Tongue(note="C4"), Tongue(note="C5")))
    changes = list(mend._moved(two, tongue))
    assert len({words for words, _ in changes}) == len(changes) >= 2
    for words, changed in changes:
        notes = [note_number(tongue.note) for tongue in changed.tongues]
        if len(notes) == 1:
            assert tongue is not None and words == f"{two.tongues[tongue].note} left out"
            continue
        assert len(set(notes)) == 2 and "in place of" in words
        assert sum(a.note != b.note for a, b in zip(changed.tongues, two.tongues, strict=True)) == 1


def test_the_note_that_stands_in_the_way_is_the_first_to_be_moved(free: Drum) -> None:
    six = replace(free, tongues=tuple(Tongue(note=note) for note in ("C4", "D4", "E4", "G4", "A4", "C5")))
    words = [words for words, _ in mend._moved(six, 1)]
    assert words[:3] == ["D5 in place of D4", "D3 in place of D4", "D4 left out"]
    assert next(words for words, _ in mend._moved(six, 4)) == "A3 in place of A4"


def test_the_sizes_of_a_new_drum_are_tried_and_said_in_full(works, free: Drum) -> None:
    works(lambda drum: drum.box.wall_mm == 25.0)
    found = mended(free)
    assert found is not None and found.words.startswith(
        "all sizes as for a new drum: walls 25 mm thick, root bars"
    )
    top, box, slots = found.drum.top, found.drum.box, found.drum.slots
    for mm in (
        top.length_mm,
        top.width_mm,
        top.thickness_mm,
        slots.end_margin_mm,
        slots.side_margin_mm,
        box.height_mm,
    ):
        assert f" {mm:g} mm" in found.words
    assert top.elastic == free.top.elastic and found.drum.tuning == free.tuning


def test_a_drum_of_many_notes_has_fewer_changes_tried(works, free: Drum) -> None:
    many = replace(
        free,
        tongues=tuple(Tongue(note=f"{name}4") for name in ("C", "D", "E", "F", "G", "A", "B", "C#", "F#")),
    )
    assert len(all_changes(works, many)) == mend.MOST_OF_MANY < mend.MOST_TRIED


def test_roots_that_are_stiff_already_are_not_offered_stiffer(free: Drum) -> None:
    stiff = replace(free, box=replace(free.box, wall_mm=40.0, root_bar_mm=60.0, root_bar_height_mm=70.0))
    assert list(mend._stiffer(stiff, 0.0)) == [] and len(list(mend._stiffer(free, 0.0))) == 2


def test_the_boards_thickness_is_never_taken_below_what_can_be_bored(free: Drum) -> None:
    thin = replace(free, top=replace(free.top, thickness_mm=9.0))
    assert mend._thinner(thin, 0.8) is None and mend._thinner(free, 0.8) is not None


@pytest.mark.refusal
def test_a_refusal_names_a_change_that_was_tried_and_keeps_what_was_found(
    works, free: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(drum: Drum, progress: Any, look: object = None, **options: object) -> Any:
        if drum.top.length_mm > free.top.length_mm:
            return SimpleNamespace(clarity_reached=CLEAR)
        offers = "Take a longer board."
        raise OutOfReach("Too short.", offers, found=drum, short_mm=13.0, given=2.0, limit=1.0, nearest=3.0)

    monkeypatch.setattr(mend, "fit", refuse)
    works(lambda drum: drum.top.length_mm > free.top.length_mm)
    with pytest.raises(OutOfReach) as caught:
        fit_or_mend(free)
    error = caught.value
    assert str(error) == "Too short. Fitted and solved in full, it works with a top 415 mm long."
    assert error.found == free and (error.given, error.limit, error.nearest) == (2.0, 1.0, 3.0)
    works(lambda drum: False)
    with pytest.raises(OutOfReach, match=r"^Too short\. Take a longer board\.$"):
        fit_or_mend(free)


@pytest.mark.refusal
def test_of_changes_tried_side_by_side_all_that_work_are_named(
    works, free: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A note moved may suit who has sawn the wood already, other sizes who wants just these notes."""

    def fit(drum: Drum, progress: Any, look: object = None, **options: object) -> Any:
        if drum == free:
            raise OutOfReach("Too near.", "", found=drum, tongue=0)
        return SimpleNamespace(clarity_reached=CLEAR)

    monkeypatch.setattr(mend, "fit", fit)
    monkeypatch.setattr(mend, "worker_processes", lambda pieces: 2)
    works(lambda drum: True)
    with pytest.raises(OutOfReach) as caught:
        fit_or_mend(free)
    first, second = (words for words, _ in islice(mend._changes(free, 0.0, 0), 2))
    assert (
        str(caught.value) == f"Too near. Fitted and solved in full, it works with {first}, or with {second}."
    )
    assert caught.value.works_with == next(mend._changes(free, 0.0, 0))[1]


@pytest.mark.refusal
def test_what_the_model_offers_and_a_full_solve_does_not_confirm_is_never_named(
    works, free: Drum, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On an open ledge the model takes every change for good; fitted, only glue in the gap has all notes clear."""
    open_gap = replace(free, box=replace(free.box, mount="in ledge", ledge_mm=6.0, glued="ledge"))
    fitted: list[Drum] = []

    def fit(drum: Drum, progress: Any, look: object = None, **options: object) -> Any:
        fitted.append(drum)
        if drum == open_gap:
            raise OutOfReach("Too soft.", "Take stiffer walls.", found=drum)
        if drum.box.glued == "ledge and edges" and not unclear:
            return SimpleNamespace(clarity_reached=CLEAR)
        if len(fitted) % 2:
            raise OutOfReach("Still too soft.", "", found=drum)
        return SimpleNamespace(clarity_reached=CLEAR - 0.01)

    monkeypatch.setattr(mend, "fit", fit)
    works(lambda drum: True)
    unclear = False
    with pytest.raises(
        OutOfReach, match=r'in full, it works with glue in the gap too, glued = "ledge and edges"\.'
    ):
        fit_or_mend(open_gap)
    unclear = True
    fitted.clear()
    with pytest.raises(OutOfReach, match=r"^Too soft\. Take stiffer walls\.$"):
        fit_or_mend(open_gap)
    assert len(fitted) == 3, "the drum, the first change, and the drum as new: each may cost five full solves"
    assert fitted[-1].box.mount == "on walls"


@pytest.mark.refusal
def test_after_one_change_that_fails_in_full_only_the_drum_as_new_is_fitted(
    works, free: Drum, monkeypatch
) -> None:
    """The model takes every change of a soft lip for good; only on walls are all notes clear in full."""
    top = replace(free.top, lip_mm=6.0, lip_thickness_mm=6.0)
    soft = replace(free, top=top, box=replace(free.box, mount="on a lip", glued="lip"))
    fitted: list[tuple[str, object]] = []

    def fit(drum: Drum, progress: Any, look: object = None, **options: object) -> Any:
        fitted.append((drum.box.mount, options.get("attempts")))
        if drum.box.mount == "on a lip":
            raise OutOfReach("Too soft.", "Take stiffer walls.", found=drum)
        return SimpleNamespace(clarity_reached=CLEAR)

    monkeypatch.setattr(mend, "fit", fit)
    works(lambda drum: True)
    with pytest.raises(
        OutOfReach, match=r"^Too soft\. Fitted .*, it works with all sizes as for a new drum: "
    ) as caught:
        fit_or_mend(soft)
    assert fitted == [("on a lip", None), ("on a lip", 1), ("on walls", 1)]
    assert caught.value.works_with is not None and caught.value.works_with.box.mount == "on walls"
    assert str(caught.value).endswith(", its top on the walls.")


@pytest.mark.refusal
def test_a_refusal_of_the_outline_is_passed_on_as_it_is(works, free: Drum, monkeypatch) -> None:
    def refuse(drum: Drum, progress: Any, look: object = None, **options: object) -> None:
        raise OutlineError("cannot be sawn")

    monkeypatch.setattr(mend, "fit", refuse)
    seen = works(lambda drum: True)
    with pytest.raises(OutlineError, match="cannot be sawn"):
        fit_or_mend(free)
    assert seen == []


@pytest.mark.parametrize(("clarity", "offered"), [(CLEAR - 0.01, True), (CLEAR, False)])
def test_a_change_is_looked_for_only_where_a_note_is_unclear(
    works, free: Drum, monkeypatch: pytest.MonkeyPatch, clarity: float, offered: bool
) -> None:
    class Found:
        clarity_reached = clarity
        notes = (SimpleNamespace(number=0, clarity=1.0), SimpleNamespace(number=1, clarity=clarity))

    monkeypatch.setattr(mend, "fit", lambda drum, progress, look=None, **options: Found())
    seen = works(lambda drum: True)
    found, change = fit_or_mend(free)
    assert isinstance(found, Found) and (change is not None) is offered and bool(seen) is offered
    if change is not None:
        assert change.words == f"{change.drum.tongues[1].note} in place of {free.tongues[1].note}", (
            "the unclear one"
        )


QUARREL = ("C4", "D4", "E4", "G4")


@pytest.mark.slow
def test_a_drum_whose_notes_quarrel_gets_a_change_that_does_make_them_clear(reed: Drum) -> None:
    """Soft roots: 45 mm of board before the root lines, over thin walls."""
    soft = replace(
        reed,
        top=replace(reed.top, length_mm=470.0),
        tongues=tuple(Tongue(note=note) for note in QUARREL),
    )
    with pytest.raises(OutOfReach, match="solved in full, it works with walls 32 mm thick, root bars"):
        fit_or_mend(soft)
    change = mended(soft)
    assert change is not None and change.least_clarity >= CLEAR
    after = fit(change.drum)
    assert after.clarity_reached >= CLEAR and max(abs(cents) for cents in after.off_cents) <= 1.0


def test_a_drum_drawn_anew_keeps_the_way_its_top_sits(free: Drum) -> None:
    top = replace(free.top, lip_mm=6.0, lip_thickness_mm=6.0)
    soft = replace(free, top=top, box=replace(free.box, mount="on a lip", glued="lip"))
    for words, drum in mend._drawn_anew(soft, "on a lip"):
        assert drum.box.mount == "on a lip" and drum.top.lip_mm > 0.0 and "its top" not in words
