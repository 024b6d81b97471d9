"""What else a drum could be tuned to, from numbers a maker can follow."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.tune.belief import Belief
from kerftone.tune.odd_steps import Jumps
from kerftone.tune.offer import offer, reach


def belief(*cents: float) -> Belief:
    one = np.ones(len(cents))
    return Belief(
        far=one,
        cents=np.array(cents),
        plus_minus=0.0 * one,
        action=one,
        action_plus_minus=one,
        tapped=(1,) * len(cents),
        heard=(True,) * len(cents),
        jumps=(Jumps.NO,) * len(cents),
    )


def test_a_sharp_tongue_that_can_hardly_be_lowered_takes_the_others_up_with_it() -> None:
    # The second is 60 cents sharp and comes down by 20; the others can be raised by 80.
    reaches = np.array([[-20.0, 80.0], [-20.0, 80.0], [-20.0, 80.0]])
    found = offer(1, belief(0.0, 60.0, 0.0), reaches)
    assert found.together == pytest.approx(40.0)
    assert found.alone == 1 and found.semitones is None


def test_what_is_not_known_for_sure_is_not_counted_on() -> None:
    reaches = np.array([[-20.0, 80.0]] * 3)
    unsure = offer(1, belief(0.0, 60.0, 0.0), reaches)
    doubtful = belief(0.0, 60.0, 0.0)
    object.__setattr__(doubtful, "plus_minus", np.full(3, 5.0))
    assert offer(1, doubtful, reaches).together == pytest.approx((unsure.together or 0.0) + 5.0)


def test_a_semitone_for_all_is_offered_where_all_can_reach_it() -> None:
    reaches = np.array([[-10.0, 150.0]] * 2)
    assert offer(0, belief(30.0, 0.0), reaches).semitones == 1


def test_nothing_is_offered_where_two_tongues_cannot_meet() -> None:
    reaches = np.array([[-5.0, 5.0]] * 2)
    found = offer(0, belief(-300.0, 300.0), reaches)
    assert found.together is None and found.semitones is None and found.alone == -3


def test_bores_at_the_tip_reach_up_and_bores_at_the_root_reach_down(bench) -> None:
    reaches = reach(bench, bench.design, belief(*([0.0] * 6)))
    assert (reaches[:, 0] < -30.0).all() and (reaches[:, 1] > 50.0).all()
