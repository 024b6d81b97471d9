from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.modal.notes import notes_moved, read_notes
from kerftone.modal.result import Modes


def ringing(hz: list[float], strike: list[list[float]], sweep: list[list[float]]) -> Modes:
    """Invented modes: only what the reading looks at."""
    return Modes(
        hz=np.array(hz),
        strike=np.array(strike),
        sweep=np.array(sweep),
        volume=np.zeros(len(hz)),
        unknowns=0,
        seconds=0.0,
    )


@pytest.fixture
def pair(known) -> Drum:
    drum = known["W1"].drum
    return replace(drum, tongues=drum.tongues[:2])


def test_the_note_is_the_mode_in_which_the_tongue_pumps_most(pair: Drum) -> None:
    modes = ringing([200.0, 300.0, 900.0], [[5, 1, 6], [1, 5, 1]], [[4, 1, 0.1], [1, 4, 0.1]])
    first, second = read_notes(pair, modes)
    assert (first.mode, second.mode) == (0, 1)
    assert first.clarity == pytest.approx(400.0 / 401.0) and first.shared_with == ()


def test_two_equal_modes_close_together_are_half_clear_and_named_as_shared(pair: Drum) -> None:
    modes = ringing([200.0, 203.0], [[3, 3], [3, -3]], [[2, 2], [2, -2]])
    first, second = read_notes(pair, modes)
    assert first.clarity == pytest.approx(0.5) and second.clarity == pytest.approx(0.5)
    assert first.shared_with == ("L2",) and second.shared_with == ("L1",)


@pytest.mark.parametrize(
    ("times", "counts"), [(0.6, True), (1.2, True), (1.5, True), (2.3, True), (2.5, False)]
)
def test_all_that_is_heard_below_the_first_overtone_counts(pair: Drum, times: float, counts: bool) -> None:
    """A fifth above the note is heard as a second tone as well as a semitone is; an overtone colours one."""
    modes = ringing([200.0, 200.0 * times], [[3, 2], [0, 3]], [[2, 2.25], [0, 2]])
    heard = read_notes(pair, modes)[0]
    # weights (3 x 2)^2 = 36 and (2 x 2.25)^2 = 20.25
    assert heard.clarity == pytest.approx(36.0 / 56.25 if counts else 1.0)
    assert heard.shared_with == (("L2",) if counts else ())


def test_a_tongue_that_sounds_the_note_of_another_says_whose(pair: Drum) -> None:
    """One mode is the heaviest for both tongues: it is the note of the one that moves more in it."""
    modes = ringing([200.0, 300.0], [[5.0, 1.0], [3.0, 1.0]], [[4, 1], [3, 2]])
    first, second = read_notes(pair, modes)
    assert (first.mode, second.mode) == (0, 0)
    assert first.borrowed_from == "" and second.borrowed_from == "L1"


def test_partials_are_shares_of_the_whole_and_sorted_by_weight(pair: Drum) -> None:
    modes = ringing([200.0, 300.0, 900.0], [[5, 2, 3], [1, 5, 1]], [[4, 2, 1], [1, 4, 0.1]])
    shares = [weight for _, weight in read_notes(pair, modes)[0].partials]
    assert shares == sorted(shares, reverse=True) and sum(shares) == pytest.approx(1.0)


def test_tongues_are_named_by_root_side_and_row(pair: Drum) -> None:
    assert [tongue.place for tongue in pair.tongues] == ["L1", "L2"]


@pytest.mark.outside
def test_reference_tongues_sound_the_modes_another_program_gave_them(solved_w1) -> None:
    """tongue_of_mode in tests/reference/modes.json: CalculiX, the tongue whose tip moves most."""
    heard = {solved_w1.drum.tongues[n.number].place: n for n in read_notes(solved_w1.drum, solved_w1.modes())}
    assert {place: heard[place].mode for place in ("R2", "L3", "R1", "L1", "R3")} == {
        "R2": 0,
        "L3": 1,
        "R1": 2,
        "L1": 3,
        "R3": 4,
    }
    shared = heard["L2"]
    assert shared.clarity < 0.8 and "L1" in shared.shared_with
    assert {round(hz) for hz, _ in shared.partials} >= {387, 393}


def test_a_note_is_followed_as_a_motion_though_another_mode_has_become_the_heavier() -> None:
    before = ringing([200.0, 260.0], [[3.0, 2.9], [1.0, -1.1]], [[2, 2], [0, 0]])
    after = ringing([202.0, 262.0], [[2.9, 3.0], [1.1, -1.0]], [[2, 2], [0, 0]])
    own = 1200.0 * np.log2(202.0 / 200.0)
    np.testing.assert_allclose(notes_moved(before, after)[0], own, atol=1e-9)


def test_a_note_that_crosses_another_mode_keeps_its_tongue() -> None:
    before = ringing([200.0, 210.0], [[3.0, 0.1], [0.1, 3.0]], [[2, 0], [0, 2]])
    after = ringing([210.0, 220.0], [[0.1, 3.0], [3.0, 0.1]], [[0, 2], [2, 0]])
    moved = notes_moved(before, after)
    np.testing.assert_allclose(moved, [1200.0 * np.log2(220.0 / 200.0), 0.0], atol=1e-9)


def test_an_overtone_that_moves_the_same_tip_is_not_taken_for_the_note() -> None:
    before = ringing([200.0, 300.0, 1250.0], [[3.0, 0.0, 3.0], [0.0, 3.0, 0.0]], [[2, 0, 1], [0, 2, 0]])
    after = ringing([205.0, 300.0, 1240.0], [[2.8, 0.3, 3.0], [0.3, 3.0, 0.0]], [[2, 0, 1], [0, 2, 0]])
    assert notes_moved(before, after)[0] == pytest.approx(1200.0 * np.log2(205.0 / 200.0))
