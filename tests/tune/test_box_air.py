"""Which notes would lie on the breathing of the box, and which height of it takes them off."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.breathing import breathing_of
from kerftone.air.near_breathing import NEAR
from kerftone.drum.file import parse_drum
from kerftone.modal.search import Board
from kerftone.tune.box_air import box_air, clear_height, longer_by
from kerftone.tune.candidate import CLEAR_ON, Candidate
from kerftone.tune.newton import Tuned

from ..drums import REED, WREN

DRUM = parse_drum(REED)
"""Breathes at 409 Hz by its box; D4 A4 F4 C5."""
STIFF, SOFT = Board(stiffness={"top": 1.2}), Board(stiffness={"top": 1.0 / 1.2})


def candidate(**other: object) -> Candidate:
    still = Tuned(places=((1, "left"),), lengths_mm=(100.0,), off_cents=np.zeros(1), pull=np.zeros((1, 1)))
    return replace(Candidate(tuned=still, clarity=np.array([0.95]), fits=True), **other)


def test_tongues_of_stiffer_wood_are_longer_by_the_fourth_root_and_the_box_breathes_as_with_those() -> None:
    assert longer_by(STIFF) == pytest.approx(1.2**0.25)
    air = box_air(DRUM, [SOFT, Board(), STIFF])
    assert air is not None
    assert air.shifts[1] == 1.0
    longer = DRUM.with_lengths(tuple(1.04 * (tongue.length_mm or 0.0) for tongue in DRUM.tongues))
    known = breathing_of(longer)
    assert known is not None
    assert air.shifts[2] == pytest.approx(
        (known.hz / air.breathing.hz) ** (np.log(1.2) / 4 / np.log(1.04)), rel=3e-3
    )


def test_a_note_on_the_breathing_counts_if_it_pushes_air_on_each_board() -> None:
    air = box_air(DRUM, [SOFT, Board(), STIFF])
    assert air is not None
    there = replace(air, sounds_hz=(0.5 * air.breathing.hz, air.breathing.hz))
    assert there.safe(np.array([0.02, 0.02])) == 0.0
    assert there.safe(np.array([0.02, 1e-7])) == 1.0
    edge = replace(air, shifts=np.array([0.98, 1.0, 1.02]), sounds_hz=(0.905 * air.breathing.hz,))
    assert edge.safe(np.array([0.02])) == pytest.approx(2.0 / 3.0), (
        "only on the board on which it breathes lower"
    )


def test_the_height_that_is_told_keeps_the_breathing_off_every_note() -> None:
    air = box_air(DRUM, [])
    assert air is not None
    on_it = replace(
        DRUM,
        tongues=tuple(
            replace(tongue, note="G#4" if tongue.note == "A4" else tongue.note) for tongue in DRUM.tongues
        ),
    )
    assert np.abs(np.array(on_it.targets_hz) / air.breathing.hz - 1.0).min() < NEAR
    found = clear_height(on_it, [])
    assert found is not None
    assert found.mm != DRUM.box.height_mm
    moved = breathing_of(replace(on_it, box=replace(on_it.box, height_mm=found.mm)))
    assert moved is not None
    assert found.breathing_hz == pytest.approx(moved.hz, rel=0.01)
    assert np.abs(np.array(on_it.targets_hz) / moved.hz - 1.0).min() > NEAR - 0.01
    assert clear_height(replace(on_it, bottom=None), []) is None
    assert clear_height(parse_drum(WREN), []) is None


def test_a_box_whose_notes_keep_off_stays_as_it_is() -> None:
    low = replace(
        DRUM,
        tongues=tuple(
            replace(t, note=n) for t, n in zip(DRUM.tongues, ("D3", "F3", "E3", "G3"), strict=True)
        ),
    )
    found = clear_height(low, [SOFT, Board(), STIFF])
    assert found is not None
    assert found.mm == low.box.height_mm
    assert found.safe == 1.0


def test_clear_comes_before_sure_before_off_the_breathing_before_even() -> None:
    best = candidate(sure=1.0, safe=1.0, power_db=np.array([0.0, 1.0]))
    order = [
        best,
        replace(best, power_db=np.array([0.0, 12.0])),
        replace(best, safe=0.5),
        replace(best, sure=0.5),
        replace(best, clarity=np.array([0.7])),
    ]
    assert sorted(order, key=lambda one: one.merit, reverse=True) == order
    sure, surer = (
        replace(best, sure=CLEAR_ON, power_db=np.array([0.0, 0.0])),
        replace(best, power_db=np.array([0.0, 20.0])),
    )
    assert sure.merit > surer.merit, "sure enough, the evener is taken"
    unclear = replace(best, clarity=np.array([0.8]), power_db=np.array([0.0, 20.0]))
    assert unclear.merit > replace(best, clarity=np.array([0.7])).merit, "unclear, the clearer is taken"
