"""A drum of other wood in its own modes, against the assembled drum of that wood."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.modal.detuned import Detuned, detuned
from kerftone.modal.frame import Assembly

COUNT = 9


def apart(changed: Detuned, other: Assembly) -> float:
    """The largest distance of their lowest modes, in cents."""
    return float(abs(1200.0 * np.log2(changed.modes.hz[:COUNT] / other.modes().hz[:COUNT])).max())


def test_a_stiffer_tongue_sounds_as_in_the_assembled_drum(model: Assembly) -> None:
    factors = np.ones(6)
    factors[2] = 1.1
    stiffer = model.with_stiffer(factors.tolist())
    assert apart(detuned(model), stiffer) > 10.0
    assert apart(detuned(model).changed(1.0, factors), stiffer) < 1.5


def test_a_note_rises_by_the_share_of_its_own_tongue(model: Assembly) -> None:
    """Rayleigh: the change of an eigenvalue is the change of its energy."""
    whole = detuned(model)
    shares = whole.shares()
    assert ((shares > 0.02) & (shares < 1.0)).all()
    factors = np.ones(6)
    factors[4] = 1.01
    risen = 1200.0 * np.log2(whole.changed(1.0, factors).heard_hz(4) / whole.heard_hz(4))
    assert risen == pytest.approx(600.0 * shares[4] * np.log2(1.01), rel=0.02)


def test_a_stiffer_box_sounds_as_in_the_assembled_drum(model: Assembly) -> None:
    frame = replace(model.frame, stiffness=1.1 * model.frame.stiffness)
    boxed = replace(model, frame=frame).with_stiffer((1.0,) * 6)
    assert apart(detuned(model), boxed) > 20.0
    assert apart(detuned(model).changed(1.1), boxed) < 1.5


def test_all_wood_stiffer_by_so_much_raises_every_mode_by_half_of_it(model: Assembly) -> None:
    """Pitch goes with the root of the stiffness, whatever the shape."""
    whole = detuned(model)
    raised = whole.changed(1.2, np.full(6, 1.2))
    np.testing.assert_allclose(raised.modes.hz[:20] / whole.modes.hz[:20], np.sqrt(1.2), rtol=1e-3)


def test_changes_one_after_the_other_are_the_change_at_once(model: Assembly) -> None:
    factors = np.array([1.1, 0.9, 1.0, 1.05, 1.0, 1.2])
    twice, once = detuned(model).changed(1.1).changed(1.0, factors), detuned(model).changed(1.1, factors)
    np.testing.assert_allclose(twice.modes.hz, once.modes.hz, rtol=1e-9)
    np.testing.assert_allclose(twice.factors, once.factors)
    chosen = np.arange(6)
    np.testing.assert_allclose(twice.shaved(chosen), once.shaved(chosen), rtol=1e-6, atol=1e-9)


def test_a_shaving_moves_modes_as_in_the_assembled_drum(model: Assembly) -> None:
    chosen = list(range(6))
    ours = detuned(model).shaved(np.array(chosen))
    for number in range(6):
        np.testing.assert_allclose(ours[number], model.shaved(number, chosen), rtol=1e-6, atol=1e-9)
