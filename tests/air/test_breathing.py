"""Breathing and loudness without coupling wood and air, against finite elements, and against the coupled answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.air.breathing import Breathing, breathing_at, breathing_of
from kerftone.air.medium import Medium, air_at
from kerftone.air.place import BottomState, place_of
from kerftone.drum.file import parse_drum
from kerftone.modal.notes import read_notes

from ..drums import REED, WREN
from .conftest import Known, known_case

CLOSED = ["Brook, bottom on", "W1 + 9 mm ash bottom"]
LEFT_OUT = {CLOSED[0]: ["R2"], CLOSED[1]: ["L2", "R3"]}
"""Whose wood pushes hardly any air; that shares itself with the bottom; that shares itself with the breathing: only
the coupled answer knows these."""


def breathing(known: Known, medium: Medium) -> Breathing:
    found = breathing_at(place_of(known.drum, BottomState.GLUED), medium)
    assert found is not None
    return found


def pushes(known: Known) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The notes, and what each lifts its strike point and pushes."""
    modes = known.solved().modes()
    notes = read_notes(known.drum, modes)
    lifts = np.array([modes.strike[note.number, note.mode] for note in notes])
    own = [note.mode for note in notes]
    return modes.hz[own], lifts, modes.volume[own]


@pytest.mark.outside
@pytest.mark.parametrize("name", CLOSED)
def test_a_box_of_still_wood_breathes_as_finite_elements_say(name: str, reference_air: Medium) -> None:
    known = known_case(name)
    told, found = known.numbers["breathing_rigid_box"], breathing(known, reference_air)
    assert found.hz == pytest.approx(told["limit_estimate_hz"], rel=0.004)
    assert found.q == pytest.approx(told["Q"], rel=0.05)


@pytest.mark.outside
@pytest.mark.parametrize("name", CLOSED)
def test_notes_are_as_loud_against_each_other_as_finite_elements_say(
    name: str, reference_air: Medium
) -> None:
    known = known_case(name)
    levels = breathing(known, reference_air).power_db(*pushes(known))
    off = [
        level - note["W0_dB"]
        for level, note in zip(levels, known.numbers["notes"], strict=True)
        if note["place"] not in LEFT_OUT[name]
    ]
    assert len(off) >= 4
    assert np.ptp(off) < 5.0, "rough, but the notes of these drums differ by 25 dB"
    assert np.median(off) == pytest.approx(3.0, abs=1.5), "and too loud by some, all alike"


def test_without_the_air_in_the_slots_the_low_notes_come_out_far_too_loud(reference_air: Medium) -> None:
    known = known_case(CLOSED[0])
    shut = Breathing(hz=1.0, q=1e6, medium=reference_air).power_db(*pushes(known))
    assert shut[0] - known.numbers["notes"][0]["W0_dB"] > 9.0, (
        "breathing at 1 Hz: the slots as good as closed"
    )


def test_a_note_on_the_breathing_is_found_only_if_it_pushes_air() -> None:
    drum = Breathing(hz=300.0, q=12.0, medium=air_at())
    hz, volume = np.array([290.0, 290.0, 250.0]), np.array([0.02, 1e-6, 0.02])
    assert drum.lies_on(hz, volume).tolist() == [True, False, False]
    assert drum.lies_on(hz, volume, shift=250.0 / 300.0).tolist() == [False, False, True]


def test_an_open_drum_does_not_breathe_and_a_higher_box_breathes_lower() -> None:
    drum = parse_drum(REED)
    higher = replace(drum, box=replace(drum.box, height_mm=1.4 * drum.box.height_mm))
    low, high = breathing_of(higher), breathing_of(drum)
    assert breathing_of(parse_drum(WREN)) is None
    assert low is not None
    assert high is not None
    # nearly the root of the volume, as a resonator's; the air in the box itself takes part
    assert high.hz / low.hz == pytest.approx(1.4**0.5, rel=0.06)


def test_a_closed_drum_on_a_table_radiates_more_and_breathes_hardly_otherwise() -> None:
    """A small source radiates twice as much on a table (tests/air/test_outside.py); of a box half a wave long, whose
    own top is half a wall already, less than that, and more than in free space."""
    free, table = (
        breathing_at(place_of(parse_drum(REED), BottomState.GLUED, on=on), air_at())
        for on in ("nothing", "table")
    )
    assert free is not None
    assert table is not None
    assert table.hz == pytest.approx(free.hz, rel=0.02)
    assert 0.5 < table.q / free.q < 0.9
