"""Notes, breathing and loudness against coupled finite elements of our own making, order 3, see the file's how.

Where the reference itself is known less well (order 2 only, or a note that shares itself with the breathing), its own
stated uncertainty is allowed besides: see docs/accuracy.md.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kerftone.air import coupled, radiation
from kerftone.air.answer import in_air
from kerftone.air.medium import Medium
from kerftone.air.notes_in_air import InAir, TongueInAir, tongues_in_air
from kerftone.air.place import BottomState

from .conftest import Known, known_case

pytestmark = pytest.mark.outside

NOTE_CENTS, NEAR_CENTS, NEAR = 1.5, 2.5, 0.05
BREATHING = 0.007
ON_DB, QUIET_DB, TABLE_DB = 1.5, 3.0, 2.0
QUIET = ("R2",)
"""The note of Brook that hardly pushes any air in all."""


def answered(known: Known, medium: Medium, **changes: Any) -> InAir:
    return in_air(known.solved(), known.state, replace(medium, **changes))


def notes_of(found: InAir, known: Known) -> tuple[TongueInAir, ...]:
    return tongues_in_air(known.drum, known.solved().modes(), found)


def shifts_off(found: InAir, known: Known) -> np.ndarray:
    """How many cents each note's shift is from the reference's, over what is allowed: above 1 is too much."""
    rigid = known.numbers["breathing_rigid_box"]
    off = []
    for tongue, note in zip(notes_of(found, known), known.numbers["notes"], strict=True):
        near = rigid is not None and abs(note["coupled_hz"] / rigid["hz"] - 1.0) < NEAR
        off.append(abs(tongue.shift_cents - note["shift_cents"]) / (NEAR_CENTS if near else NOTE_CENTS))
    return np.array(off)


CASES = [
    "Brook, bottom on",
    "Brook, bottom off, on a table",
    "Brook, bottom off, open",
    "W1 + 9 mm ash bottom",
    "W1, bottom off, open",
    "W1, bottom off, on a table",
    "Brook, height 140, bottom on",
]


@pytest.mark.parametrize("name", CASES)
def test_notes_breathing_and_loudness_agree_with_finite_elements_of_wood_and_air(
    name: str, reference_air: Medium
) -> None:
    known = known_case(name)
    found = answered(known, reference_air)
    assert np.all(shifts_off(found, known) <= 1.0), shifts_off(found, known)
    rigid = known.numbers["breathing_rigid_box"]
    if rigid is None:
        assert found.breathing_hz is None
        return
    hz, coarse = known.numbers["breathing_coupled"][0]["hz"], known.numbers["order"] < 3
    less_known = rigid["plus_minus_hz"] / rigid["hz"] if coarse else 0.0
    assert found.breathing_hz == pytest.approx(hz, rel=BREATHING + less_known)
    for tongue, note in zip(notes_of(found, known), known.numbers["notes"], strict=True):
        off = TABLE_DB if known.state is BottomState.TABLE else ON_DB
        off = QUIET_DB if known.state is BottomState.GLUED and note["place"] in QUIET else off
        shared = note["plus_minus_dB"] > 1.0
        assert tongue.power_db == pytest.approx(
            note["W0_dB"], abs=off + (note["plus_minus_dB"] if shared else 0.0)
        )


def test_friction_moves_each_note_as_in_the_reference(reference_air: Medium) -> None:
    known = known_case("Brook, bottom on")
    found = answered(known, reference_air)
    for tongue, note in zip(notes_of(found, known), known.numbers["notes"], strict=True):
        rubbed = note["shift_cents_with_slot_viscosity"] - note["shift_cents"]
        assert tongue.friction_cents == pytest.approx(rubbed, abs=0.2)


def test_air_lighter_by_three_twentieths_does_not_pass(reference_air: Medium) -> None:
    known = known_case("Brook, bottom on")
    found = answered(known, reference_air, density_kg_m3=1.02)
    assert not np.all(shifts_off(found, known) <= 1.0)


def test_a_box_in_an_endless_wall_does_not_pass(
    reference_air: Medium, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the free box's own field the breathing is low by some hundredths and every level is wrong."""

    def only_baffled(*given: Any) -> radiation.Outer:
        whole = radiation.outside_of(*given)
        return replace(whole, in_phase=0.0 * whole.in_phase)

    monkeypatch.setattr(coupled, "outside_of", only_baffled)
    known = known_case("Brook, bottom on")
    found = answered(known, reference_air)
    hz = known.numbers["breathing_coupled"][0]["hz"]
    assert found.breathing_hz is not None
    assert found.breathing_hz < (1.0 - 2.0 * BREATHING) * hz


def test_a_note_on_the_breathing_is_loud_and_one_far_off_is_not(reference_air: Medium) -> None:
    known = known_case("Brook, bottom on")
    levels = {t.heard.number: t.power_db for t in notes_of(answered(known, reference_air), known)}
    assert levels[4] - levels[2] > 20.0, "C4 against G3"
