"""`kerftone bench map` prints on the maker's paper; what it draws is held by tests/draw/test_bench_map.py."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from kerftone.bench.replay import Bench
from kerftone.cli import bench_map
from kerftone.draw.bench_map import BenchMap
from kerftone.drum.outline import outline

Run = Callable[..., Any]


def _bare(bench: Bench, bit_mm: float, _: Path) -> BenchMap:
    """The drum's map before anything was worked out: the board and the box alone."""
    drawn = outline(bench.drum)
    return BenchMap(
        name=bench.drum.name,
        board=drawn.board,
        wood=drawn.top,
        box_inner=drawn.box_inner,
        bit_mm=bit_mm,
        tongues=(),
    )


@pytest.mark.parametrize(
    "in_file, flag, size_mm",
    [
        ("", [], (210, 297)),
        ('[shop]\npaper = "letter"\n', [], (216, 279)),
        ('[shop]\npaper = "letter"\n', ["--paper", "a4"], (210, 297)),
    ],
)
def test_the_map_comes_on_the_paper_of_the_file_unless_a_flag_says_otherwise(
    run: Run,
    wren: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    in_file: str,
    flag: list[str],
    size_mm: tuple[int, int],
) -> None:
    monkeypatch.setattr(bench_map, "_map", _bare)  # without the model, which takes seconds
    wren.write_text(wren.read_text() + in_file)
    assert run("bench", "start", wren).code == 0
    map_file = tmp_path / "map.pdf"
    ran = run("bench", "map", wren, "-o", map_file, "--bit", "20", *flag)
    assert (ran.code, ran.fault) == (0, None)
    assert "20 mm wide" in ran.out
    with pypdfium2.PdfDocument(map_file) as document:
        sizes = {tuple(sorted(round(pt / 72.0 * 25.4) for pt in page.get_size())) for page in document}
    assert sizes == {size_mm}
