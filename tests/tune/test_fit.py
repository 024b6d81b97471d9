from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum, Tongue
from kerftone.drum.file import parse_drum
from kerftone.errors import OutlineError
from kerftone.modal.result import Modes
from kerftone.modal.solve import solve
from kerftone.tune.fit import _not_reached, aims_hz, fit

from ..drums import WREN


@pytest.fixture(scope="module")
def pair() -> Drum:
    """Two tongues in one row, without lengths: where more prove nothing, and two are solved in seconds."""
    drum = parse_drum(WREN)
    return replace(drum, tongues=tuple(replace(tongue, length_mm=None) for tongue in drum.tongues))


def test_every_tongue_sounds_its_aim_within_a_cent_in_at_most_three_full_solves(fitted) -> None:
    aims = aims_hz(fitted.drum)
    assert aims[5] / aims[0] == pytest.approx(2.0)
    for note, aim in zip(fitted.notes, aims, strict=True):
        assert note.hz == pytest.approx(aim, rel=0.0006)
    assert fitted.full_solves <= 3
    check_outline(fitted.drum)


def test_a_solve_of_its_own_finds_the_same_pitches(fitted) -> None:
    modes = solve(fitted.drum).modes()
    for note in fitted.notes:
        assert modes.hz[note.mode] == pytest.approx(note.hz, rel=1e-6)


@pytest.mark.slow
def test_lengths_do_not_depend_on_where_it_starts(pair) -> None:
    """Within what a cent is worth in length, some 0.2 mm."""
    first, again = fit(pair), fit(pair.with_lengths((110.0, 125.0)))
    for one, other in zip(first.drum.tongues, again.drum.tongues, strict=True):
        assert one.length_mm == pytest.approx(other.length_mm, abs=0.5)


def test_a_tongue_alone_in_its_row_comes_in_tune_too(pair) -> None:
    alone = replace(pair, tongues=pair.tongues[:1])
    result = fit(alone)
    for note, aim in zip(result.notes, aims_hz(alone), strict=True):
        assert note.hz == pytest.approx(aim, rel=0.0006)


@pytest.mark.slow
@pytest.mark.refusal
def test_notes_too_long_for_the_board_name_the_row_and_what_would_take_them(wanted) -> None:
    short = replace(wanted, top=replace(wanted.top, length_mm=400.0))
    with pytest.raises(OutlineError) as caught:
        fit(short)
    text = str(caught.value)
    for word in ("Row", "needs", "too little", "a top ", " long", "thick", "semitone"):
        assert word in text, text
    assert 480.0 < caught.value.nearest < 500.0
    longer = replace(short, top=replace(short.top, length_mm=caught.value.nearest))
    assert fit(longer).full_solves <= 3


@pytest.mark.refusal
def test_a_note_too_high_for_the_thickness_says_so(pair) -> None:
    thin = replace(pair.top, thickness_mm=8.0)
    high = replace(pair, top=thin, tongues=(pair.tongues[0], Tongue(note="C7", row=1, side="right")))
    with pytest.raises(OutlineError, match=r"Tongue 2 \(C7\) would have to be shorter than"):
        fit(high)


def modes_of(hz: list[float], loud: list[list[float]]) -> Modes:
    """Modes of two tongues that move and push so much air in each."""
    moves = np.array(loud)
    return Modes(hz=np.array(hz), strike=moves, sweep=moves, volume=np.ones(2), unknowns=2, seconds=0.0)


@pytest.mark.parametrize(
    ("loud", "says"),
    [
        ([[0.4, 1.0], [1.0, 0.4]], "has its note, but sounds another tongue's louder, [+-]702 cents off"),
        ([[1.0, 0.4], [0.4, 1.0]], r"stays \+10.0 cents off its aim"),
    ],
    ids=["swapped", "off"],
)
def test_what_does_not_settle_is_told_apart_from_notes_that_two_tongues_share(
    wanted, loud, says: str
) -> None:
    aims = (200.0, 300.0)
    hz = list(aims) if "louder" in says else [aims[0], aims[1] * 2 ** (10 / 1200)]
    refused = _not_reached(wanted, modes_of(hz, loud), aims)
    assert re.search(says, str(refused)) and "Give neighbours notes further apart, or other places" in str(
        refused
    )
