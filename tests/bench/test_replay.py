"""The drum is always its log played again, voids and mends and all."""

from __future__ import annotations

from pathlib import Path

import pytest

from kerftone.bench.facts import (
    BoreMade,
    Entry,
    Fact,
    SlotsLengthened,
    Tapped,
    TipTrimmed,
    Voided,
    WeightFixed,
)
from kerftone.bench.log import open_log
from kerftone.bench.replay import bench_of, counting
from kerftone.drum import parse_drum
from kerftone.errors import BenchError

from .conftest import START, WREN


def entries(*facts: Fact, instead: dict[int, int] | None = None) -> list[Entry]:
    """The start and these facts, numbered from 1; `instead` maps an entry to the one whose place it takes."""
    told = enumerate((START, *facts), start=1)
    return [
        Entry(number=n, at="2026-01-02T03:04:05Z", fact=f, instead_of=(instead or {}).get(n)) for n, f in told
    ]


HOLE = BoreMade(tongue=1, x_mm=126.0, y_mm=35.0, bit_mm=10.0, depth_mm=3.0)
DEEPER = BoreMade(tongue=1, x_mm=126.0, y_mm=35.0, bit_mm=10.0, depth_mm=5.0, measured_mm=4.6)


def test_the_drum_is_what_was_cut_and_all_that_was_done_since() -> None:
    drum = bench_of(
        entries(
            HOLE,
            DEEPER,
            SlotsLengthened(tongue=2, by_mm=1.5),
            SlotsLengthened(tongue=2, by_mm=0.5),
            TipTrimmed(tongue=1, by_mm=2.0),
            WeightFixed(tongue=2, grams=5.0),
            WeightFixed(tongue=2, grams=-2.0),
        )
    ).drum
    assert [(bore.x_mm, bore.depth_mm) for bore in drum.bores] == [(126.0, 4.6)]
    assert [tongue.length_mm for tongue in drum.tongues] == [138.0, 105.0]
    assert [tongue.lengthened_mm for tongue in drum.tongues] == [0.0, 2.0]
    assert [tongue.weight_g for tongue in drum.tongues] == [0.0, 3.0]


def test_what_is_voided_leaves_no_trace_in_the_drum() -> None:
    bench = bench_of(entries(HOLE, TipTrimmed(tongue=1, by_mm=2.0), Voided(number=2, reason="other tongue")))
    assert bench.drum.bores == () and bench.drum.tongues[0].length_mm == 138.0


def test_a_mend_stands_where_the_slip_stood() -> None:
    first, second = Tapped(tongue=1, hz=280.0), Tapped(tongue=1, hz=284.0)
    slip = BoreMade(tongue=1, x_mm=126.0, y_mm=35.0, bit_mm=10.0, depth_mm=2.0)
    told = entries(
        first, slip, second, Voided(number=3, reason="mended"), HOLE, Voided(number=6, reason="again"), DEEPER,
        instead={6: 3, 8: 6},
    )  # fmt: skip
    assert [entry.number for entry in counting(told)] == [1, 2, 8, 4]
    bench = bench_of(told)
    assert [type(event).__name__ for event in bench.events] == ["Tap", "Bored", "Tap"]
    assert bench.drum.bores[0].depth_mm == 4.6


def test_tongues_count_from_nought_in_the_events_and_states_are_kept() -> None:
    (tap,) = bench_of(entries(Tapped(tongue=2, hz=460.0, bottom_on=False, top_glued=False))).events
    assert (tap.tongue, getattr(tap, "bottom_on", None), getattr(tap, "top_glued", None)) == (1, False, False)


def test_wishes_may_change_after_the_cut_and_the_wood_may_not() -> None:
    edited = (
        WREN.replace("thickness = 12.0", "thickness = 11.0")
        .replace('note = "D4"', 'note = "C#4"')
        .replace("length = 105.0", "length = 99.0")
        .replace("bits = [6.0, 10.0, 15.0]", "bits = [8.0]")
        + "[bottom]\nwood = 'teak'\nthickness = 6.0\n"
    )
    bench = bench_of(entries(HOLE), parse_drum(edited))
    assert bench.drum.top.thickness_mm == 12.0 and bench.drum.bottom is None
    assert bench.drum.tongues[1].length_mm == 105.0
    assert bench.drum.shop.bits_mm == (8.0,)
    assert bench.targets_hz[0] == pytest.approx(
        277.18, abs=0.01
    )  # C#4 in published tables of equal temperament
    assert bench.edited == (
        "tongue 2 has length 99 mm, and was cut 105 mm long",
        "thickness in [top] is 11, and was 12",
        "[bottom] was added since",
    )
    assert bench_of(entries(HOLE), parse_drum(WREN)).edited == ()


@pytest.mark.refusal
def test_a_log_without_its_beginning_says_how_to_go_on() -> None:
    with pytest.raises(BenchError, match="begin again"):
        bench_of(entries(HOLE)[1:])


def test_a_log_on_the_disk_plays_like_one_in_memory(log_path: Path) -> None:
    with open_log(log_path) as log:
        drum = bench_of(log.entries()).drum
    assert drum.bores[0].depth_mm == 2.8
    assert drum.tongues[1].length_mm == 104.5  # and not lengthened: that entry is void
    assert (drum.tongues[1].lengthened_mm, drum.tongues[0].weight_g) == (0.0, 4.0)
