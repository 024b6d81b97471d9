"""Root bars on every sheet that shows what lies under the top: places by hand, words, files for machines."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import ezdxf
import pytest

from kerftone.draw.bench_map import BenchMap, bench_map_sheet
from kerftone.draw.box_sheets import box_cuts, box_sheets
from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.draw.layout import layout_sheet
from kerftone.draw.sheet import Line, Sheet, Text
from kerftone.draw.style import BAR
from kerftone.draw.underside import underside_sheet
from kerftone.drum.design import Drum
from kerftone.drum.outline import Outline, outline


@pytest.fixture(scope="module")
def drum(brook: Drum) -> Drum:
    """The top 420 by 190, walls 12 thick and 95 high, bars 14 wide and 40 high."""
    tongues = tuple(replace(t, length_mm=(t.length_mm or 0.0) - 12.0) for t in brook.tongues)
    slots = replace(brook.slots, end_margin_mm=38.0)
    box = replace(brook.box, root_bar_mm=14.0, root_bar_height_mm=40.0)
    return replace(brook, tongues=tongues, slots=slots, box=box)


@pytest.fixture(scope="module")
def drawn(drum: Drum) -> Outline:
    return outline(drum, tolerance_mm=FINE_MM)


def ends(sheet: Sheet, layer: str = "root bars") -> set[Any]:
    return {shape.points for shape in sheet.layer(layer).shapes if isinstance(shape, Line)}


def told(sheet: Sheet) -> str:
    return " ".join(s.words for layer in sheet.layers for s in layer.shapes if isinstance(s, Text))


EDGES = {((26.0, 12.0), (26.0, 178.0)), ((394.0, 12.0), (394.0, 178.0))}
"""12 of wall and 14 of bar from either end, as long as the box is wide inside."""


def test_the_plan_shows_the_walls_inside_and_the_edges_of_the_bars(drum: Drum, drawn: Outline) -> None:
    sheet = layout_sheet(drum, drawn)
    assert ends(sheet) == EDGES
    (inside,) = sheet.layer("box inside").shapes
    assert {x for x, _ in inside.outer} == {12.0, 408.0}
    entry = next(entry for entry in sheet.marks if entry.name == "root bar")
    assert entry.pen == BAR and "14 mm wide and 40 mm high" in entry.words


def test_the_underside_has_them_too_and_says_to_bore_between_them(drum: Drum, drawn: Outline) -> None:
    sheet = underside_sheet(drum, drawn)
    assert ends(sheet) == EDGES  # alike at both ends, so turning over changes nothing
    assert "root bars, 14 mm wide" in " ".join(sheet.notes) and "bore between them" in " ".join(sheet.notes)


def test_the_bench_map_shows_where_the_walls_and_the_bars_end(drum: Drum, drawn: Outline) -> None:
    given = BenchMap(
        name="Brook",
        board=drawn.board,
        wood=drawn.top,
        box_inner=drawn.box_inner,
        wall_inner=drawn.wall_inner,
        bit_mm=20.0,
        tongues=(),
    )
    sheet = bench_map_sheet(given)
    assert ends(sheet) == EDGES
    assert any(entry.name == "root bar" for entry in sheet.marks)


def test_without_bars_no_sheet_speaks_of_them(brook: Drum, brook_outline: Outline) -> None:
    sheets = (
        layout_sheet(brook, brook_outline),
        underside_sheet(brook, brook_outline),
        *box_sheets(brook).values(),
        *box_cuts(brook).values(),
    )
    for sheet in sheets:
        assert not any(layer.name.startswith("root bar") for layer in sheet.layers)
        assert "root bar" not in told(sheet).lower()


def test_the_end_wall_shows_its_bar_from_inside_and_beside_its_section(drum: Drum) -> None:
    sheets = box_sheets(drum)
    assert list(sheets) == ["walls-front-back", "walls-left-right"]
    face, section = (set(shape.outer) for shape in sheets["walls-left-right"].layer("root bar").shapes)
    # 190 long, mitred: the bar begins 12 from either end and takes the upper 40 of 95
    assert face == {(12.0, 55.0), (178.0, 55.0), (178.0, 95.0), (12.0, 95.0)}
    x = {x for x, _ in section}
    assert max(x) - min(x) == pytest.approx(14.0) and {y for _, y in section} == {55.0, 95.0}
    wall = sheets["walls-left-right"].layer("outline").shapes[1]
    assert min(x for x, _ in wall.outer) == pytest.approx(max(x))  # on the wall's inner face
    said = " ".join(sheets["walls-left-right"].notes)
    assert "the root bar, 166 × 40 × 14 mm, glued to this face 12 mm from either end" in said
    assert "flush with the upper edge" in said
    assert "root bar" not in " ".join(sheets["walls-front-back"].notes)


def test_under_a_top_let_in_the_bar_is_flush_with_the_ledge(drum: Drum) -> None:
    let_in = replace(drum, box=replace(drum.box, mount="in ledge", ledge_mm=6.0, joint="butt"))
    sheet = box_sheets(let_in)["walls-left-right"]
    face = sheet.layer("root bar").shapes[0].outer
    # the wall stands 16 higher, for the top; inside the box is 190 less two ledges wide
    assert {y for _, y in face} == {55.0, 95.0} and {x for x, _ in face} == {0.0, 178.0}
    said = " ".join(sheet.notes)
    assert "from end to end, its upper face 16 mm under the upper edge, where the top lies on it" in said


@pytest.mark.roundtrip
def test_a_machine_reads_the_bars_on_a_layer_of_their_own(drum: Drum, drawn: Outline) -> None:
    def space(sheet: Sheet) -> Any:
        document = ezdxf.read(io.StringIO(dxf_file(sheet).decode("utf-8")))
        audit = document.audit()
        assert not audit.errors and not audit.fixes
        return document.modelspace()

    for below in (False, True):
        lines = space(cuts_sheet(drum, drawn, from_below=below)).query('LWPOLYLINE[layer=="ROOT_BARS"]')
        assert {tuple(round(x, 6) for x, *_ in line) for line in lines} == {(26.0, 26.0), (394.0, 394.0)}
    wall = space(box_cuts(drum)["walls-left-right"])
    (bar,) = wall.query('LWPOLYLINE[layer=="ROOT_BAR"]')
    assert bar.closed
    corners = {(round(x, 6), round(y, 6)) for x, y, *_ in bar}
    assert corners == {(12.0, 55.0), (178.0, 55.0), (178.0, 95.0), (12.0, 95.0)}
    assert any("nothing is cut there" in text.dxf.text for text in wall.query("TEXT"))
