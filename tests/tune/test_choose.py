"""Sizes of a first drum, tried on the model. Where only the order of trying is tested, trials are stood in for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from kerftone.air.breathing import breathing_of
from kerftone.air.near_breathing import NEAR
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.knots import Knot
from kerftone.errors import KerftoneError, OutlineError, SpeciesError
from kerftone.tune import choose
from kerftone.tune.before_search import aims_hz, started_drum
from kerftone.tune.begin import USUAL, Sizes, Wishes, first_drum
from kerftone.tune.candidate import Candidate
from kerftone.tune.choose import Knotted, Trial, chosen_drum
from kerftone.tune.cut_top import cut_tops
from kerftone.tune.newton import Tuned

CHERRY = "cherry, black"
SIX = ("C4", "D4", "E4", "G4", "A4", "C5")


def candidate(
    *, clear: float, sure: float = 1.0, fits: bool = True, spoilt: tuple[int, ...] = ()
) -> Candidate:
    still = Tuned(places=((1, "left"),), lengths_mm=(100.0,), off_cents=np.zeros(1), pull=np.zeros((1, 1)))
    return Candidate(tuned=still, clarity=np.array([clear]), fits=fits, sure=sure, spoilt=spoilt)


@pytest.fixture
def one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Try sizes one after the other, whatever processors there are."""
    monkeypatch.setattr(choose, "worker_processes", lambda pieces: 1)


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch, one_by_one: None) -> Callable[..., list[Drum]]:
    """Let trials come out as told, in the order of trying, the last outcome again and again; returns the drums that
    were tried. `fine` says which of them are clear with fine elements too."""

    def told(
        *outcomes: Candidate | KerftoneError,
        fine: Callable[[Drum], bool] = lambda drum: True,
        in_a_knot: Callable[[Drum], tuple[int, ...]] = lambda drum: (),
    ) -> list[Drum]:
        seen: list[Drum] = []

        def tried(
            drum: Drum, *, boards: int = choose.BOARDS, corners_mm: Sequence[tuple[float, float]] = ()
        ) -> Trial:
            seen.append(drum)
            outcome = outcomes[min(len(seen), len(outcomes)) - 1]
            if isinstance(outcome, KerftoneError):
                raise outcome
            return Trial(drum=drum, best=outcome, corner_mm=corners_mm[-1] if corners_mm else (0.0, 0.0))

        def looked(drum: Drum) -> SimpleNamespace:
            return SimpleNamespace(
                tried=(candidate(clear=0.95 if fine(drum) else 0.5, spoilt=in_a_knot(drum)),)
            )

        monkeypatch.setattr(choose, "off_the_breathing", lambda drum: drum)
        monkeypatch.setattr(choose, "tried", tried)
        monkeypatch.setattr(choose, "looked", looked)
        return seen

    return told


def test_trying_stops_at_the_first_sizes_that_are_good(judge) -> None:
    seen = judge(candidate(clear=0.95, sure=0.5), candidate(clear=0.92, sure=0.97), candidate(clear=1.0))
    chosen = chosen_drum("T", SIX, CHERRY)
    assert len(seen) == 2 and chosen.drum == seen[1] == chosen.trial.drum


def test_of_good_ones_the_first_is_taken_for_it_takes_the_least_wood(judge, monkeypatch) -> None:
    monkeypatch.setattr(choose, "worker_processes", lambda pieces: 2)
    monkeypatch.setattr(choose, "side_by_side", lambda work, pieces: [work(piece) for piece in pieces])
    seen = judge(candidate(clear=0.95, sure=0.97), candidate(clear=1.0, sure=1.0))
    assert chosen_drum("T", SIX, CHERRY).drum == seen[0] and len(seen) == 2


def test_where_none_is_good_the_best_that_was_tried_is_kept(judge) -> None:
    seen = judge(candidate(clear=0.6), candidate(clear=0.95, sure=0.7), candidate(clear=0.97, sure=0.4))
    chosen = chosen_drum("T", SIX, CHERRY)
    assert len(chosen.trials) == choose.MOST_TRIED and chosen.drum == seen[1], "clear on more boards"


def test_where_none_is_clear_all_sizes_are_tried_and_the_clearest_that_fits_is_kept(judge) -> None:
    seen = judge(candidate(clear=0.6), candidate(clear=0.8), candidate(clear=1.0, fits=False))
    chosen = chosen_drum("T", SIX, CHERRY)
    assert len(chosen.trials) == len(USUAL["mm"].sizes) and chosen.drum == seen[1]


def test_the_best_must_hold_with_fine_elements_too(judge) -> None:
    outcomes = [candidate(clear=0.95, sure=sure) for sure in (0.5, 0.7, 0.6, 0.4)]
    seen = judge(*outcomes, fine=lambda drum: drum != seen[1])
    assert chosen_drum("T", SIX, CHERRY).drum == seen[2], "the next best"
    seen = judge(*outcomes, fine=lambda drum: False)
    assert chosen_drum("T", SIX, CHERRY).drum == seen[1], "where none holds, the best"


KNOTTED = Wishes(board_mm=(700.0, 200.0, 16.0), knots=(Knot(430.0, 60.0, 8.0),))


def test_sizes_whose_tongues_meet_a_knot_are_passed_over(judge) -> None:
    seen = judge(candidate(clear=1.0, spoilt=(0,)), candidate(clear=0.95, sure=0.97))
    assert chosen_drum("T", SIX, CHERRY, wishes=KNOTTED).drum == seen[1]


def test_where_the_whole_board_meets_a_knot_smaller_tops_are_cut_from_it(judge) -> None:
    whole = len(choose.drums_on_paper("T", SIX, CHERRY, wishes=KNOTTED, units="mm")[0])
    seen = judge(*[candidate(clear=1.0, spoilt=(0,))] * whole, candidate(clear=1.0))
    chosen = chosen_drum("T", SIX, CHERRY, wishes=KNOTTED)
    assert chosen.drum == seen[whole] and chosen.drum.top.length_mm < 700.0
    assert chosen.trial.corner_mm[0] > 0.0
    judge(candidate(clear=1.0))
    assert chosen_drum("T", SIX, CHERRY, wishes=KNOTTED).drum.top.length_mm == 700.0, "not without need"


@pytest.mark.refusal
def test_a_knot_that_every_size_meets_is_named_with_its_tongue(judge) -> None:
    wishes = replace(KNOTTED, board_mm=None, knots=(Knot(9.0, 9.0, 3.0), Knot(90.0, 90.0, 60.0)))
    judge(candidate(clear=1.0, spoilt=(1,)), in_a_knot=lambda drum: (1,))
    with pytest.raises(Knotted) as caught:
        chosen_drum("T", ("D4", "A4"), CHERRY, wishes=wishes)
    said = str(caught.value)
    assert said.startswith(
        "Knot 2 (60 mm wide, 90 mm from the left end and 90 mm from the front edge) lies in "
    )
    assert "the tongue of D4 or at its root" in said and "it must lie in none" in said
    assert caught.value.notes == ("D4",)


def test_sizes_that_cannot_be_sawn_are_passed_over(judge) -> None:
    seen = judge(OutlineError("no"), candidate(clear=1.0))
    assert chosen_drum("T", SIX, CHERRY).drum == seen[1]


@pytest.mark.refusal
def test_where_no_sizes_can_be_tried_the_first_reason_is_said(judge) -> None:
    judge(OutlineError("first reason"), OutlineError("second"), OutlineError("third"))
    with pytest.raises(OutlineError, match="first reason"):
        chosen_drum("T", SIX, CHERRY)


@pytest.mark.refusal
def test_a_wood_that_is_not_known_is_said_before_anything_is_tried(judge) -> None:
    seen = judge()
    with pytest.raises(SpeciesError):
        chosen_drum("T", SIX, "chery")
    assert seen == []


def test_many_notes_begin_with_stiffer_sizes_than_few(judge) -> None:
    firsts = []
    for count in (3, 6, 10):
        seen = judge(candidate(clear=1.0))
        chosen_drum("T", (*SIX, "D5", "E5", "G5", "A5")[:count], CHERRY)
        firsts.append(seen[0].box.wall_mm * 1e3 + seen[0].box.root_bar_mm)
    assert firsts[0] < firsts[1] < firsts[2]


def test_the_sizes_tried_differ(judge) -> None:
    seen = judge(candidate(clear=0.5))
    chosen_drum("T", SIX, CHERRY)
    assert len({repr(drum) for drum in seen}) == len(seen) == len(USUAL["mm"].sizes)
    for drum in seen:
        check_outline(started_drum(drum, aims_hz(drum)))


def test_what_the_maker_has_decided_is_kept_in_every_trial(judge) -> None:
    wishes = Wishes(
        board_mm=(560.0, 260.0, 17.0), tongue_width_mm=40.0, box_height_mm=90.0, cut="quartersawn"
    )
    seen = judge(candidate(clear=0.5))
    chosen_drum("T", ("A3", "C4", "D4", "E4"), CHERRY, wishes=wishes)
    for drum in seen:
        top, slots = drum.top, drum.slots
        assert (top.length_mm, top.width_mm, top.thickness_mm) == (560.0, 260.0, 17.0)
        assert 0.5 * (top.width_mm - 2 * slots.side_margin_mm) - slots.kerf_mm == pytest.approx(40.0)
        assert drum.box.height_mm == 90.0 and top.cut == "quartersawn"


def test_in_inches_every_size_can_be_set_on_a_rule(judge) -> None:
    seen = judge(candidate(clear=0.5))
    chosen_drum("T", SIX, "walnut, black", units="in")
    for drum in seen:
        assert drum.units == "in" and drum.bottom is not None
        box, top = drum.box, drum.top
        sizes = [box.wall_mm, box.height_mm, box.root_bar_mm, box.root_bar_height_mm]
        sizes += [top.length_mm, top.width_mm, top.thickness_mm, drum.bottom.thickness_mm]
        for mm in sizes:
            assert mm / 25.4 * 8 == pytest.approx(round(mm / 25.4 * 8), abs=1e-9), mm


def test_a_bar_is_never_higher_than_the_box_is_deep(judge) -> None:
    seen = judge(candidate(clear=0.5))
    chosen_drum("T", SIX, CHERRY, wishes=Wishes(box_height_mm=40.0))
    assert all(drum.box.root_bar_height_mm == 40.0 for drum in seen)


def test_it_is_told_which_sizes_are_being_tried(judge) -> None:
    said: list[str] = []
    judge(candidate(clear=0.5), candidate(clear=1.0))
    chosen_drum("T", SIX, CHERRY, progress=said.append)
    assert len(said) == 3 and "sizes 1 to 1 of 7" in said[0] and "sizes 2 to 2 of 7" in said[1]
    assert "finer elements" in said[2]


def test_two_notes_come_out_clear_in_the_first_sizes_tried(one_by_one: None) -> None:
    """Nothing stood in for: a drum solved roughly, and again with fine elements."""
    chosen = chosen_drum("T", ("D4", "A4"), CHERRY)
    assert chosen.trial.good and chosen.trial.best.tuned.settled
    assert chosen.drum.box.wall_mm == USUAL["mm"].sizes[0].wall, "the least wood"
    assert all(tongue.length_mm is None and tongue.row is None for tongue in chosen.drum.tongues)
    low, high = chosen.trial.best.tuned.lengths_mm
    assert low > high


def test_a_box_that_would_breathe_on_a_note_is_made_of_another_height(one_by_one: None) -> None:
    drum = first_drum("T", ("F3", "G3", "A3", "C4", "D4", "F4"), CHERRY)
    moved = choose.off_the_breathing(drum)
    assert moved.box.height_mm < drum.box.height_mm
    assert moved == replace(drum, box=moved.box)
    before, after = (breathing_of(started_drum(one, aims_hz(one))) for one in (drum, moved))
    assert before is not None
    assert after is not None
    near, off = (np.abs(np.array(drum.targets_hz) / one.hz - 1.0).min() for one in (before, after))
    assert near < NEAR
    assert off > NEAR - 0.002


def test_of_sizes_that_are_clear_the_one_off_the_breathing_is_taken(
    judge: Callable[..., list[Drum]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(choose, "worker_processes", lambda pieces: 2)
    monkeypatch.setattr(choose, "side_by_side", lambda work, pieces: [work(one) for one in pieces])
    seen = judge(replace(candidate(clear=0.95), safe=0.1), candidate(clear=0.95))
    assert chosen_drum("T", SIX, CHERRY).drum == seen[1]


def test_a_top_is_cut_from_its_board_where_the_knot_lies_under_glue() -> None:
    """Nothing stood in for: on the whole board, 620 mm long, the knot lies in the one tongue from the left."""
    wishes = Wishes(board_mm=(620.0, 120.0, 16.0), knots=(Knot(110.0, 60.0, 8.0),))

    def make(wanted: Wishes, sizes: Sizes) -> Drum:
        return first_drum("T", ("D4", "A4"), CHERRY, wishes=wanted, sizes=sizes)

    sizes = USUAL["mm"].sizes[:1]
    assert choose.tried(make(wishes, sizes[0]), boards=0).best.spoilt == (0,)
    (plan,) = cut_tops(make, sizes, wishes, "mm")
    trial = choose.tried(plan.drum, boards=0, corners_mm=plan.corners_mm)
    assert trial.clear and trial.drum.top.length_mm == 470.0
    # Walls 25 and bars 30 mm wide, a strip of 6 mm; the knot is off it by a diameter and 2 mm to spare.
    assert trial.corner_mm == (110.0 - 55.0 + 10.0, 0.0)
    assert trial.drum.top.knots_mm == (Knot(45.0, 60.0, 8.0),)
