"""`new` keeps its last look at a drum, and `fit` begins with it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kerftone.drum.design import Drum, Tongue
from kerftone.drum.file import parse_drum
from kerftone.modal.plan import Fineness
from kerftone.modal.search import search_model
from kerftone.modal.shelf import Shelf
from kerftone.modal.solve import solve
from kerftone.tune import fit as fitting
from kerftone.tune.arrange import arranged
from kerftone.tune.before_search import aims_hz, reach_mm, started_drum, task_for
from kerftone.tune.boards import drawn_boards
from kerftone.tune.fit import Look, fit
from kerftone.tune.look_kept import keep_look, kept_look

from ..drums import REED


class Stopped(Exception):
    """Raised where a full solve would begin."""


@pytest.fixture(scope="module")
def drum() -> Drum:
    reed = parse_drum(REED)
    return replace(reed, tongues=tuple(Tongue(note=tongue.note) for tongue in reed.tongues))


@pytest.fixture(scope="module")
def look(drum: Drum) -> Look:
    """As `looked` finds it, but with rough elements and few boards."""
    aims = aims_hz(drum)
    rough = solve(started_drum(drum, aims), fineness=Fineness(order=2))
    model = search_model(rough, reach_mm(drum, aims))
    tried = arranged(model, task_for(drum, aims), drawn_boards(drum, 2))
    return Look(model=model, shift=np.linspace(-3.0, 2.0, len(aims)), tried=tuple(tried))


@pytest.fixture
def shelf(tmp_path: Path, drum: Drum, look: Look) -> Shelf:
    kept = Shelf(tmp_path / "kept")
    keep_look(drum, look, kept)
    return kept


def test_a_kept_look_is_read_back_whole(drum: Drum, look: Look, shelf: Shelf) -> None:
    again = kept_look(drum, shelf)
    assert again is not None
    assert np.array_equal(again.shift, look.shift)
    assert len(again.tried) == len(look.tried) > 1
    for one, two in zip(look.tried, again.tried, strict=True):
        assert (one.tuned.places, one.tuned.lengths_mm) == (two.tuned.places, two.tuned.lengths_mm)
        assert np.array_equal(one.tuned.pull, two.tuned.pull, equal_nan=True)
        assert np.array_equal(one.merit, two.merit, equal_nan=True)
        assert (one.least, one.uneven_db) == (two.least, two.uneven_db)
        assert one.tuned.settled == two.tuned.settled


def test_only_the_very_drum_and_its_aims_find_it(drum: Drum, shelf: Shelf) -> None:
    assert kept_look(replace(drum, name="Another name"), shelf) is not None
    thicker = replace(drum, top=replace(drum.top, thickness_mm=drum.top.thickness_mm + 0.1))
    flatter = replace(drum, tuning=replace(drum.tuning, aim_cents=drum.tuning.aim_cents - 5.0))
    placed = replace(drum, tongues=(replace(drum.tongues[0], row=1, side="left"), *drum.tongues[1:]))
    for other in (thicker, flatter, placed):
        assert kept_look(other, shelf) is None


def test_a_damaged_file_is_as_none(drum: Drum, shelf: Shelf) -> None:
    assert shelf.folder is not None
    (file,) = shelf.folder.iterdir()
    file.write_bytes(file.read_bytes()[:-200])
    assert kept_look(drum, shelf) is None


def test_fit_goes_straight_to_the_best_arrangement_of_a_look(
    drum: Drum, look: Look, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its first full solve is of that arrangement, and nothing is compared before it."""
    asked: list[Drum] = []

    def solved(wanted: Drum, **_: Any) -> None:
        asked.append(wanted)
        raise Stopped

    monkeypatch.setattr(fitting, "solve", solved)
    with pytest.raises(Stopped):
        fit(drum, look=look)
    best = look.tried[0].tuned
    assert [(tongue.row, tongue.side) for tongue in asked[0].tongues] == list(best.places)
    assert [tongue.length_mm for tongue in asked[0].tongues] == pytest.approx(best.lengths_mm, abs=0.01)
    with pytest.raises(Stopped):
        fit(drum)
    assert [tongue.length_mm for tongue in asked[1].tongues] != pytest.approx(best.lengths_mm, abs=0.01)
