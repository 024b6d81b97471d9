"""The map for boring: what it leaves open, what a place is said to do, the paper it comes on.

How it is drawn is held by tests/draw/test_bench_map.py.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pypdfium2
import pytest
import shapely

from kerftone.bench.facts import BoreMade, Entry, Start
from kerftone.bench.replay import Bench, bench_of
from kerftone.draw.bench_map import BenchMap
from kerftone.drum.outline import outline
from kerftone.errors import EntryError
from kerftone.jobs import map_bores as job_module
from kerftone.jobs.map_bores import MapRequest, keep_out, map_bores
from kerftone.jobs.progress import Progress
from kerftone.jobs.start_log import StartRequest, start_the_log

from ..drums import REED, WREN


def bench(text: str, *facts: BoreMade) -> Bench:
    told = (Start(file="drum.toml", text=text), *facts)
    return bench_of([Entry(number=n, at="", fact=fact) for n, fact in enumerate(told, start=1)])


def _bare(given: Bench, bit_mm: float, _: Path, progress: Progress) -> BenchMap:
    """The drum's map before anything was worked out: the board and the box alone."""
    drawn = outline(given.drum)
    return BenchMap(
        name=given.drum.name,
        board=drawn.board,
        wood=drawn.top,
        box_inner=drawn.box_inner,
        bit_mm=bit_mm,
        tongues=(),
    )


@pytest.mark.parametrize(
    "in_file, asked, size_mm",
    [
        ("", None, (210, 297)),
        ('[shop]\npaper = "letter"\n', None, (216, 279)),
        ('[shop]\npaper = "letter"\n', "a4", (210, 297)),
    ],
)
def test_the_map_comes_on_the_paper_of_the_file_unless_another_is_asked_for(
    wren: Path, monkeypatch: pytest.MonkeyPatch, in_file: str, asked: Any, size_mm: tuple[int, int]
) -> None:
    monkeypatch.setattr(job_module, "map_of", _bare)  # without the model, which takes seconds
    wren.write_text(wren.read_text() + in_file)
    start_the_log(StartRequest(drum=wren))
    map_file = wren.parent / "map.pdf"
    done = map_bores(MapRequest(drum=wren, output=map_file, bit="20", paper=asked))
    assert (done.bit_mm, done.written) == (20.0, map_file)
    with pypdfium2.PdfDocument(map_file) as document:
        sizes = {tuple(sorted(round(pt / 72.0 * 25.4) for pt in page.get_size())) for page in document}
    assert sizes == {size_mm}


@pytest.mark.refusal
def test_a_bit_that_the_shop_has_not_is_told_with_the_nearest(begun: Path) -> None:
    with pytest.raises(EntryError, match=r"no bit of 23 mm.*the nearest is 25 mm") as refused:
        map_bores(MapRequest(drum=begun, output=begun.parent / "map.svg", bit="23"))
    assert refused.value.nearest == 25.0


@pytest.mark.parametrize("text", [WREN, REED])
@pytest.mark.parametrize("bit_mm", [10.0, 15.0])
def test_the_map_leaves_nothing_open_that_the_adviser_avoids(text: str, bit_mm: float) -> None:
    """Every open place of a fine grid keeps 4 mm from the tongue's edges, 8 from its root, 2 from bores.

    Those are the distances of `[shop]` as it is without a table, measured here from the outline itself.
    """
    made = BoreMade(tongue=1, x_mm=110.0, y_mm=35.0 if text is WREN else 61.0, bit_mm=10.0, depth_mm=3.0)
    given = bench(text, made)
    drum, drawn, radius = given.drum, outline(given.drum), 0.5 * bit_mm
    x, y = np.meshgrid(np.arange(0.0, drum.top.length_mm, 1.7), np.arange(0.0, drum.top.width_mm, 1.7))
    open_ = shapely.contains_xy(drawn.top, x, y) & ~shapely.intersects_xy(keep_out(given, bit_mm), x, y)
    assert open_.any()
    end = drum.slots.end_margin_mm
    roots = {"left": end, "right": drum.top.length_mm - end}
    for at in shapely.points(x[open_], y[open_]):
        (number,) = [n for n, shape in enumerate(drawn.tongues) if shape.contains(at)]
        assert drawn.removed.distance(at) >= radius + 4.0 - 0.1, at
        assert abs(at.x - roots[str(drum.tongues[number].side)]) >= radius + 8.0 - 1e-6, at
        for bore in drum.bores:
            assert np.hypot(at.x - bore.x_mm, at.y - bore.y_mm) >= radius + 5.0 + 2.0 - 0.1, at


def test_a_place_says_what_a_millimetre_of_depth_does_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bit 20 mm wide takes 0.31416 cm3 a millimetre: of wood that acts by 100 cents a cm3, 31.4 cents."""
    given = bench(WREN)

    def density(x: Any, y: Any) -> Any:
        return 100.0 + 0.5 * (x - 100.0)

    model = SimpleNamespace(bore_maps=lambda number, mode: (density,), modes=lambda: None)
    notes = [SimpleNamespace(mode=3), SimpleNamespace(mode=7)]
    monkeypatch.setattr("kerftone.modal.notes.read_notes", lambda drum, modes: notes)
    tongue = job_module._tongue(given, model, 0, 20.0)  # type: ignore[arg-type]
    assert (tongue.place, tongue.note) == (given.drum.tongues[0].place, "D4")
    at, row = int(np.argmin(abs(tongue.xs_mm - 100.0))), int(np.argmin(abs(tongue.ys_mm - 35.0)))
    # on the middle of a disc the slope of the field cancels
    there = 100.0 + 0.5 * (tongue.xs_mm[at] - 100.0)
    assert tongue.cents_per_mm[row, at] == pytest.approx(there * math.pi / 10.0, rel=0.01)
    assert np.isfinite(tongue.cents_per_mm).any()
    assert tongue.shape.bounds == pytest.approx((26.0, 21.5, 166.0, 48.5))


def test_a_drum_that_was_heard_has_its_next_bore_on_the_map(monkeypatch: pytest.MonkeyPatch) -> None:
    """The adviser and the model are stand-ins; what is looked at is where their answers go."""
    from kerftone.bench.facts import Tapped
    from kerftone.drum.design import Bore

    bore = Bore(x_mm=126.0, y_mm=35.0, diameter_mm=15.0, depth_mm=3.0)
    advice = SimpleNamespace(bore=bore, tongue=0)
    model = SimpleNamespace(save_tongues=lambda: None, assembly=lambda drum, bottom_on: None)
    monkeypatch.setattr(job_module, "calibrated", lambda bench, file, progress: (model, None))
    monkeypatch.setattr("kerftone.tune.advise.next_step", lambda *given: advice)
    monkeypatch.setattr(job_module, "sentence", lambda advice, bench, pulled: "Bore it.")
    monkeypatch.setattr(job_module, "_tongue", lambda *given: None)
    given = bench(WREN)
    tap = Entry(number=2, at="", fact=Tapped(tongue=1, hz=288.5))
    heard = bench_of([*given.entries, tap])
    shown = job_module.map_of(replace(heard, edited=()), 15.0, Path("drum.toml"), Progress())
    assert shown.next_bore is not None and (shown.next_bore.x_mm, shown.next_bore.name) == (126.0, "L1 (D4)")
    assert shown.words[-1] == "Bore it."
    unasked = job_module.map_of(replace(heard, edited=()), None, Path("drum.toml"), Progress())
    assert unasked.bit_mm == 15.0, (
        "without a bit the map is for that of the next bore, not for the usual 20 mm"
    )
