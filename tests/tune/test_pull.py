from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.shelf import Shelf
from kerftone.tune import instrument as instrument_module
from kerftone.tune.history import Bottom, Tap
from kerftone.tune.instrument import Instrument
from kerftone.tune.pull import BenchAir, Pulled, finished, wood_of

from ..drums import WREN
from ..solving import solve_once

CLOSED = parse_drum(WREN + '[bottom]\nwood = "teak"\nthickness = 6.0\n')


@pytest.fixture
def solves(monkeypatch: pytest.MonkeyPatch) -> list[Drum]:
    """The drums that are solved whole, as they are asked for."""
    asked: list[Drum] = []

    def solve(drum: Drum) -> object:
        asked.append(drum)
        return solve_once(drum)

    monkeypatch.setattr(instrument_module, "solve", solve)
    return asked


def test_the_air_comes_with_the_frame_s_own_solve_and_is_kept_for_the_next_time(
    tmp_path: Path, solves: list[Drum]
) -> None:
    air = BenchAir(bottoms=("glued", "off", "table"), shelf=Shelf(tmp_path / "solved"))
    first = Instrument(design=CLOSED, cache=tmp_path / "frames", air=air)
    first.notes(CLOSED)
    first.notes(CLOSED, bottom_on=False)
    found = [first.air_moves(bottom).cents for bottom in air.bottoms]
    assert [drum.bottom is None for drum in solves] == [False, True], "each wood once, and the air with it"
    again = Instrument(design=CLOSED, cache=tmp_path / "frames", air=air)
    again.notes(CLOSED)
    for bottom, cents in zip(air.bottoms, found, strict=True):
        np.testing.assert_array_equal(again.air_moves(bottom).cents, cents)
    assert len(solves) == 2
    assert (found[0] < found[1] - 1.0).all(), "air shut in lowers more than an open box"


def test_a_state_that_comes_later_is_solved_for_once(tmp_path: Path, solves: list[Drum]) -> None:
    begun = Instrument(design=CLOSED, air=BenchAir(bottoms=("off",), shelf=Shelf(tmp_path)))
    begun.notes(CLOSED, bottom_on=False)
    later = replace(begun, air=BenchAir(bottoms=("off", "loose"), shelf=Shelf(tmp_path)))
    loose = later.air_moves("loose").cents
    np.testing.assert_array_equal(later.air_moves("loose").cents, loose)
    assert len(solves) == 2 and not np.allclose(loose, later.air_moves("off").cents, atol=0.5)


def test_in_vacuo_there_is_no_air(solves: list[Drum]) -> None:
    nothing = Instrument(design=CLOSED).air_moves("glued")
    hz = np.array([200.0, 300.0])
    np.testing.assert_array_equal(nothing.by(hz), [0.0, 0.0])
    np.testing.assert_array_equal(nothing.per_cent(hz), [0.0, 0.0])
    assert solves == []


def test_a_damaged_answer_is_not_read(tmp_path: Path) -> None:
    air = BenchAir(shelf=Shelf(tmp_path))
    solution = solve_once(wood_of(CLOSED, "off"))
    found = air.found(solution, "off", 6.0)
    kept = air.kept(solution.drum, "off", 6.0)
    assert kept is not None
    for name in ("hz", "cents"):
        assert json.dumps(getattr(kept, name).tolist()) == json.dumps(getattr(found, name).tolist())
    assert air.kept(solution.drum, "table", 6.0) is None
    for path in tmp_path.glob("*.npz"):
        path.write_bytes(path.read_bytes()[:40])
    assert air.kept(solution.drum, "off", 6.0) is None


@pytest.mark.slow
@pytest.mark.parametrize("bottom", ["off", "glued"])
def test_the_shift_is_foretold_within_a_third_of_a_cent_over_a_bore(bottom: Bottom) -> None:
    """Full solves with and without a bore that moves its tongue by more than 20 cents."""
    drum = wood_of(CLOSED, bottom)
    (hole,) = parse_drum(WREN + "[[bores]]\nx = 140.0\ny = 35.0\ndiameter = 15.0\ndepth = 4.0\n").bores
    before, after = (solve_once(replace(drum, bores=bores), layered=True) for bores in ((), (hole,)))
    moved = 1200.0 * np.log2(after.hz[:2] / before.hz[:2])
    assert moved[0] > 20.0
    was, now = (BenchAir().found(solution, bottom, 0.0) for solution in (before, after))
    np.testing.assert_allclose(now.by(now.hz), was.by(was.hz * 2.0 ** (moved / 1200.0)), atol=0.34)


def test_what_to_tune_to_is_the_note_moved_by_the_pull() -> None:
    """An octave and a fifth are 1200 and, pure, 701.955 cents: from memory."""
    now = np.array([0.0, 100.0])
    pulled = Pulled(
        bottom="off",
        cents=now,
        plus_minus=now,
        aim_cents=np.array([1200.0, -701.955]),
        aim_plus_minus=np.array([2.0, 3.0]),
    )
    said = pulled.tune_to(1, 300.0)
    assert said["tune_to_hz"] == pytest.approx(200.0, abs=0.001)
    assert pulled.tune_to(0, 220.0)["tune_to_hz"] == 440.0 and said["finished_plus_minus_cents"] == 3.0


def test_the_finished_drum_has_its_bottom_glued_or_none() -> None:
    assert finished(CLOSED) == "glued" and finished(parse_drum(WREN)) == "off"
    assert wood_of(CLOSED, "glued") is CLOSED and wood_of(CLOSED, "loose").bottom is None


def test_the_old_words_are_states() -> None:
    assert Tap(tongue=0, hz=200.0).state == "glued"
    assert Tap(tongue=0, hz=200.0, bottom_on=False).state == "off"
    assert Tap(tongue=0, hz=200.0, bottom_on=False, bottom="table").state == "table"
