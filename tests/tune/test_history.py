from __future__ import annotations

from dataclasses import replace

from kerftone.drum.design import Bore
from kerftone.tune.history import Bored, Lengthened, Tap, Trimmed, Weighted, after, states

HOLE = Bore(x_mm=170.0, y_mm=49.0, diameter_mm=20.0, depth_mm=3.0)


def test_a_tap_changes_nothing(wanted) -> None:
    assert after(wanted, [Tap(tongue=0, hz=150.0)]) == wanted


def test_its_states_are_the_drum_as_it_began_and_after_each_change(wanted) -> None:
    cut = Bored(tongue=0, bore=HOLE)
    found = states(wanted, [Tap(tongue=0, hz=150.0), cut, Tap(tongue=0, hz=151.0)])
    assert found == (wanted, after(wanted, [cut]))


def test_a_hole_bored_again_with_the_same_bit_is_one_deeper_hole(wanted) -> None:
    deeper = replace(HOLE, x_mm=170.3, depth_mm=5.0)
    state = after(wanted, [Bored(tongue=0, bore=HOLE), Bored(tongue=0, bore=deeper)])
    assert state.bores == (replace(HOLE, depth_mm=5.0),)


def test_another_bit_or_another_place_is_another_hole(wanted) -> None:
    wider, beside = replace(HOLE, diameter_mm=25.0), replace(HOLE, x_mm=200.0)
    state = after(wanted, [Bored(tongue=0, bore=bore) for bore in (HOLE, wider, beside)])
    assert state.bores == (HOLE, wider, beside)


def test_sawing_trimming_and_weighting_add_up_on_their_own_tongue(wanted) -> None:
    drum = wanted.with_lengths((150.0,) * 6)
    changes = [
        Lengthened(tongue=1, by_mm=2.0),
        Lengthened(tongue=1, by_mm=1.0),
        Trimmed(tongue=1, by_mm=0.5),
        Weighted(tongue=1, grams=3.0),
        Weighted(tongue=1, grams=-1.0),
    ]
    state = after(drum, changes)
    changed = state.tongues[1]
    assert (changed.lengthened_mm, changed.length_mm, changed.weight_g) == (3.0, 149.5, 2.0)
    assert state.tongues[0] == drum.tongues[0] and state.tongues[2:] == drum.tongues[2:]
