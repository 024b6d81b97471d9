"""What the wood pushes: nothing is gained or lost in the counting."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kerftone.air.place import BottomState, place_of
from kerftone.air.wood import pushed
from kerftone.modal.surface import motions_of

from .conftest import known_case


@pytest.fixture(scope="module")
def brook() -> Any:
    return known_case("Brook, bottom on").solved()


@pytest.fixture(scope="module")
def volumes(brook: Any) -> dict[str, np.ndarray]:
    place = place_of(brook.drum, BottomState.GLUED)
    whole = pushed(motions_of(brook), place)
    return {
        name: getattr(whole, name).sum(axis=1)
        for name in ("above", "under", "slots", "panels", "floor", "walls")
    }


def test_the_outside_pushes_what_the_solver_says_it_does(brook: Any, volumes: Any) -> None:
    known = brook.modes().volume[:7]
    found = (volumes["above"] + volumes["panels"])[:7]
    assert found == pytest.approx(known, rel=0.02, abs=2e-4)


def test_a_drum_moved_as_a_whole_pushes_as_much_in_front_as_it_leaves_behind(volumes: Any) -> None:
    n = len(volumes["above"])
    for motion in range(n - 6, n):
        whole = sum(part[motion] for part in volumes.values())
        assert abs(whole) < 1e-3 * max(abs(part[motion]) for part in volumes.values()) + 1e-6


def test_wood_keeps_its_volume_in_every_note(volumes: Any) -> None:
    """Bent wood is squeezed by little: what all faces push together is next to nothing of what the top pushes."""
    whole = sum(volumes.values())[:6]
    assert np.all(abs(whole) < 0.05 * abs(volumes["above"][:6]) + 2e-4)


@pytest.mark.parametrize("state", [BottomState.LOOSE, BottomState.OFF])
def test_a_plate_that_is_not_joined_is_still(state: BottomState, brook: Any) -> None:
    place = place_of(brook.drum, state, plate_mm=9.0)
    still = place.still
    assert still.any()
    assert np.all(place.shell.middles[still, 2] < -place.room.height + 1e-9)
