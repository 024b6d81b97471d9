"""The tone that is asked for: it must really tell what it is asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kerftone.modal.free_board import FreeTones, free_tones
from kerftone.tune.identify import identify
from kerftone.tune.next_tone import ENOUGH_CENTS
from kerftone.wood.board import Board, Cut, Motion, Tap
from kerftone.wood.species import find_species

CHERRY = find_species("cherry, black")
SIX: tuple[tuple[Motion, int], ...] = tuple(
    (kind, number) for number in (0, 1) for kind in ("along", "twisting", "across")
)


def tapped(size_mm: tuple[float, float, float], *, cut: Cut, count: int) -> tuple[Board, FreeTones]:
    """A board of mean cherry and the first so many of two tones of each kind."""
    wood = CHERRY.elastic()
    tones = free_tones(size_mm=size_mm, elastic=wood, cut=cut)
    places = {kind: [at for at, one in enumerate(tones.kinds) if one == kind] for kind, _ in SIX}
    taps = tuple(Tap(hz=float(tones.hz[places[kind][n]]), motion=kind) for kind, n in SIX[:count])
    length, width, thick = size_mm
    mass = wood.density_kg_m3 * length * width * thick * 1e-6
    board = Board(
        species=CHERRY,
        length_mm=length,
        width_mm=width,
        thickness_mm=thick,
        mass_g=mass,
        cut=cut,
        taps=taps,
    )
    return board, tones


@pytest.mark.parametrize(("cut", "count"), [("flatsawn", 6), ("quartersawn", 4)])
def test_the_tone_that_is_asked_for_tells_more_of_the_notes_than_the_next_one_up(
    cut: Cut, count: int
) -> None:
    board, tones = tapped((430.0, 195.0, 16.4), cut=cut, count=count)
    before = identify(board)
    asked = before.further
    assert asked is not None and before.notes_cents > ENOUGH_CENTS
    at = int(abs(tones.hz - asked.hz).argmin())
    assert tones.names[at][0] == asked.symmetry and tones.kinds[at] == asked.kind
    heard = [float(tap.hz) for tap in board.taps]
    plain = next(float(hz) for hz in tones.hz if float(hz) not in heard and abs(hz - asked.hz) > 1.0)
    with_it, with_other = (
        identify(replace(board, taps=(*board.taps, Tap(hz=hz, motion="unknown"))))
        for hz in (float(tones.hz[at]), plain)
    )
    assert with_it.notes_cents == pytest.approx(asked.then, rel=0.1)
    assert with_it.notes_cents < 0.8 * before.notes_cents
    assert with_it.notes_cents < with_other.notes_cents


def test_after_one_tone_the_first_of_the_other_kinds_would_tell_what_is_untold() -> None:
    board, tones = tapped((430.0, 195.0, 16.4), cut="flatsawn", count=1)
    untold = identify(board).untold
    assert [one.name for one in untold] == ["e_t_gpa", "g_lt_gpa"]
    for one, kind in zip(untold, ("across", "twisting"), strict=True):
        assert one.tone is not None and one.tone.first and one.tone.kind == kind
        assert one.tone.hz == pytest.approx(float(tones.hz[tones.kinds.index(kind)]), rel=0.01)


def test_a_narrow_strip_says_that_none_of_its_tones_tells_the_stiffness_across() -> None:
    board, _ = tapped((400.0, 40.0, 16.0), cut="flatsawn", count=2)
    (across,) = (one for one in identify(board).untold if one.name == "e_t_gpa")
    assert across.tone is None and across.after > 0.15
