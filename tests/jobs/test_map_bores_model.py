"""What the map for boring shows, from the model itself: where a bit may go, and what it would do there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from kerftone.bench.facts import BoreMade, Entry, Fact, Start, Tapped
from kerftone.bench.limits import check_bore
from kerftone.bench.replay import Bench, bench_of
from kerftone.draw.bench_map import BenchMap, TongueMap
from kerftone.drum.design import Bore
from kerftone.drum.outline import tongue_polygon
from kerftone.drum.plan_lines import layout
from kerftone.errors import EntryError
from kerftone.jobs.advice_words import sentence
from kerftone.jobs.map_bores import map_of
from kerftone.jobs.model_at_bench import calibrated
from kerftone.jobs.progress import Progress
from kerftone.tune.advise import next_step
from kerftone.tune.bores import grid_map, spots
from kerftone.tune.instrument import Instrument

from ..bench.conftest import START

BIT_MM = 10.0
MADE = BoreMade(tongue=1, x_mm=126.0, y_mm=35.0, bit_mm=BIT_MM, depth_mm=3.0)
"""In the left tongue of Wren, 100 mm from its root at x = 26; the right one's root is at x = 294."""


def bench(*facts: Fact, start: Start = START) -> Bench:
    return bench_of([Entry(number=n, at="", fact=fact) for n, fact in enumerate((start, *facts), start=1)])


def tap(tongue: int, hz: float) -> Tapped:
    return Tapped(tongue=tongue, hz=hz, bottom_on=False)


HEARD = bench(tap(1, 286.0), tap(2, 452.0), MADE, tap(1, 288.0))


def drawn(at_bench: Bench, cache: Path) -> BenchMap:
    """The map of the drum as it stands, for the 10 mm bit."""
    return map_of(at_bench, BIT_MM, cache.with_name("drum.toml"), Progress())


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("wren") / "bench.cache"


@pytest.fixture(scope="module")
def model(cache: Path) -> Instrument:
    return Instrument(design=HEARD.design, cache=cache)


@pytest.fixture(scope="module")
def untapped(model: Instrument, cache: Path) -> BenchMap:
    """The drum with its one bore, before anyone tapped it."""
    model.notes(HEARD.drum)  # solves the frame into the cache, where the map finds it
    return drawn(bench(MADE), cache)


@pytest.fixture(scope="module")
def tapped(untapped: BenchMap, cache: Path) -> BenchMap:
    return drawn(HEARD, cache)


def test_it_shows_the_bore_made_and_the_step_that_is_advised(tapped: BenchMap, cache: Path) -> None:
    instrument, belief = calibrated(HEARD, cache.with_name("drum.toml"), Progress())
    advice = next_step(instrument, HEARD.drum, belief, HEARD.targets_hz)
    assert advice.bore is not None and tapped.next_bore is not None
    shown = (tapped.next_bore.x_mm, tapped.next_bore.y_mm, tapped.next_bore.diameter_mm)
    assert shown == (advice.bore.x_mm, advice.bore.y_mm, advice.bore.diameter_mm)
    assert tapped.words[-1] == sentence(advice, HEARD)
    (made,) = tapped.made
    assert (made.x_mm, made.y_mm, made.diameter_mm, made.depth_mm) == (126.0, 35.0, 10.0, 3.0)


def test_before_any_tap_it_advises_no_step(untapped: BenchMap) -> None:
    assert untapped.next_bore is None and len(untapped.made) == 1
    assert not [line for line in untapped.words if "sounds" in line or "expect" in line]


def open_places(shown: BenchMap, step_mm: float = 2.5) -> list[tuple[float, float]]:
    """Places on a grid where the map leaves the bit's middle free, none within a tenth of a mm of its edge."""
    free = shown.wood.difference(shapely.union_all(shown.keep_out)).buffer(-0.1)
    west, south, east, north = shown.board.bounds
    grid = [(x, y) for x in np.arange(west, east, step_mm) for y in np.arange(south, north, step_mm)]
    return [place for place in grid if shapely.contains_xy(free, *place)]


def refused(x_mm: float, y_mm: float, tongue: int) -> bool:
    """Whether the log would doubt or refuse a bore here."""
    try:
        check_bore(HEARD.drum, replace(MADE, tongue=tongue, x_mm=x_mm, y_mm=y_mm), sure=False)
    except EntryError:
        return True
    return False


def test_wherever_it_leaves_the_bit_free_the_log_takes_the_bore(untapped: BenchMap) -> None:
    places = open_places(untapped)
    shapes = [one.shape for one in untapped.tongues]
    under = [next(n for n, s in enumerate(shapes, 1) if shapely.contains_xy(s, *at)) for at in places]
    assert min(under.count(1), under.count(2)) > 40, "both tongues have room"
    assert [at for at, tongue in zip(places, under, strict=True) if refused(*at, tongue)] == []
    assert refused(126.0 + 6.0, 35.0, 1) and (132.5, 35.0) not in places, "in the bore that is there"


def test_wherever_the_advice_may_bore_it_leaves_the_bit_free(untapped: BenchMap) -> None:
    drum = HEARD.drum
    closed = shapely.union_all(untapped.keep_out).buffer(-0.1)
    for number in range(2):
        even = grid_map(drum, number, lambda x, y: np.ones(x.shape))
        places = [(s.x_mm, s.y_mm) for s in spots(drum, number, even) if s.bit_mm == BIT_MM and not s.now_mm]
        assert len(places) > 20
        assert [at for at in places if shapely.contains_xy(closed, *at)] == []


def value(shown: TongueMap, x_mm: float) -> tuple[float, float, float]:
    """The value nearest x on the tongue's middle line, and where that is."""
    row, column = len(shown.ys_mm) // 2, int(np.argmin(abs(shown.xs_mm - x_mm)))
    return float(shown.xs_mm[column]), float(shown.ys_mm[row]), float(shown.cents_per_mm[row, column])


@pytest.mark.parametrize(("root_mm", "within"), [(90.0, 0.15), (80.0, 0.15)])
def test_a_value_on_it_is_what_a_shallow_bore_there_does_when_solved(
    untapped: BenchMap, model: Instrument, root_mm: float, within: float
) -> None:
    """On the right tongue, in its outer half, where the first order is good: see docs/accuracy.md."""
    x, y, said = value(untapped.tongues[1], 294.0 - root_mm)
    bore = Bore(x_mm=x, y_mm=y, diameter_mm=BIT_MM, depth_mm=0.5)
    bored = replace(HEARD.drum, bores=(*HEARD.drum.bores, bore))
    true = model.moved(HEARD.drum, bored)[1]
    assert true > 1.0
    assert said * bore.depth_mm == pytest.approx(true, rel=within)


@pytest.mark.outside
def test_its_values_raise_towards_the_tip_and_lower_towards_the_root(untapped: BenchMap) -> None:
    """Common practice, no source."""
    for shown, root_x, way in zip(untapped.tongues, (26.0, 294.0), (1.0, -1.0), strict=True):
        assert value(shown, root_x + way * 90.0)[2] > 1.0
        assert value(shown, root_x + way * 12.0)[2] < -1.0


def test_it_has_values_under_the_whole_of_each_tongue_and_nowhere_else(untapped: BenchMap) -> None:
    drum = HEARD.drum
    for shown, tongue in zip(untapped.tongues, drum.tongues, strict=True):
        assert (shown.note, shown.place) == (tongue.note, tongue.place)
        wood = tongue_polygon(drum, tongue, layout(drum))
        across, up = np.meshgrid(shown.xs_mm, shown.ys_mm)
        known = np.isfinite(shown.cents_per_mm)
        assert known[shapely.contains_xy(wood.buffer(-0.1), across, up)].all()
        assert not known[~shapely.contains_xy(wood.buffer(0.6), across, up)].any()
        assert known.sum() > 100
