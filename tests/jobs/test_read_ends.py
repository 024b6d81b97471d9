"""Ends drawn elsewhere come into the drum file."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.draw.layout import layout_sheet
from kerftone.draw.svg import svg_file
from kerftone.drum import parse_drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.errors import OutlineError
from kerftone.jobs.drawing import DrawingError, read_drawing
from kerftone.jobs.read_ends import EndsRequest, read_ends

from ..drum.conftest import reference_toml

TEXT = "# mine\n" + reference_toml("W1")
BOARD = '<rect x="0" y="0" width="420" height="190"/>'
"""W1 is 420 by 190; row 1 lies from 27.5 to 70.5 from the front edge, its left root at 32."""
ARC = "M 172 162.5 A 28.1125 28.1125 0 0 0 172 119.5"
"""y down: 190 - 27.5 to 190 - 70.5, bulging 10 mm to the right: radius (21.5² + 10²) / 20."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "drum.toml"
    path.write_text(TEXT, "utf-8")
    return path


def svg(inside: str, head: str = 'width="420mm" height="190mm" viewBox="0 0 420 190"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{inside}</svg>'


def asked(file: Path, text: str, name: str = "ends.svg", **more: object) -> EndsRequest:
    drawing = file.with_name(name)
    drawing.write_text(text, "utf-8")
    return EndsRequest(drum=file, drawing=drawing, **more)  # type: ignore[arg-type]


def test_an_arc_from_a_drawing_in_millimetres_is_written_and_the_rest_stays(file: Path) -> None:
    done = read_ends(asked(file, svg(f'<path d="{ARC}"/>')))
    assert [(end.tongue, end.length_mm) for end in done.ends] == [(0, 150.0)]
    text = file.read_text("utf-8")
    assert text.startswith("# mine\n")
    assert read_drum(file).tongues[0].end == ((-10.0, -21.5), (0.0, 0.0, "arc"), (-10.0, 21.5))
    assert (file.parent / "drum.before-ends.toml").read_text("utf-8") == TEXT
    without = [line for line in text.splitlines() if not line.startswith("end = ")]
    assert without == TEXT.splitlines()
    assert done.document()["ends"][0]["place"] == "L1"


@pytest.mark.parametrize(
    ("head", "inside"),
    [
        ('width="16.535433in" height="7.480315in" viewBox="0 0 420 190"', f'<path d="{ARC}"/>'),
        (
            'width="42cm" height="19cm" viewBox="0 0 4200 1900"',
            f'<g transform="scale(10)"><path d="{ARC}"/></g>',
        ),
        (
            'width="600mm" height="400mm" viewBox="0 0 600 400"',
            f'<g transform="translate(33 55)">{BOARD}<path d="{ARC}"/></g>',
        ),
        (
            'width="420mm" height="190mm" viewBox="0 0 420 190"',
            f'<g id="Ends"><path d="{ARC}"/></g><g id="notes"><path d="M 150 162.5 V 119.5"/></g>',
        ),
    ],
)
def test_units_transforms_a_board_elsewhere_and_a_layer_of_ends_are_understood(
    file: Path, head: str, inside: str
) -> None:
    done = read_ends(asked(file, svg(inside, head)))
    (end,) = done.ends
    assert end.length_mm == pytest.approx(150.0, abs=0.011)
    assert end.path == ((-10.0, -21.5), (0.0, 0.0, "arc"), (-10.0, 21.5))


def test_a_drawing_without_a_unit_is_asked_for_one(file: Path) -> None:
    text = svg(f'<path d="{ARC}"/>', 'viewBox="0 0 420 190"')
    with pytest.raises(DrawingError, match="does not say in which unit it is drawn"):
        read_ends(asked(file, text))
    assert file.read_text("utf-8") == TEXT
    assert read_ends(asked(file, text, units="mm")).ends[0].length_mm == 150.0


@pytest.mark.roundtrip
def test_our_own_cuts_read_back_are_the_ends_that_were_drawn(file: Path) -> None:
    """The DXF of a drum with arcs and free curves: its waste outlines are the ends of both tongues of each row."""
    free = '[[-18, -21.5], [0, -6, "smooth"], [-6, 12, "smooth"], [-12, 21.5]]'
    notes = {"C3": '"round"', "D3": free, "E3": '"slant"', "F3": '"curve"', "G3": '"round"', "A3": free}
    shaped = TEXT
    for note, end in notes.items():
        shaped = shaped.replace(f'note = "{note}"', f'note = "{note}"\nend = {end}')
    drum = parse_drum(shaped)
    fine = outline(drum, tolerance_mm=FINE_MM)
    drawing = file.with_name("cuts.dxf")
    drawing.write_bytes(dxf_file(cuts_sheet(drum, fine)))
    found = read_ends(EndsRequest(drum=file, drawing=drawing))
    assert len(found.ends) == 6
    exact = outline(drum, tolerance_mm=1e-4).tongues
    for mine, true in zip(outline(found.drum, tolerance_mm=1e-4).tongues, exact, strict=True):
        assert mine.symmetric_difference(true).area < 0.05 * 60.0  # 0.05 mm along an end of 60 mm at most
    assert found.drum.tongues[0].end is not None and len(found.drum.tongues[0].end) <= 5  # arcs, not chords


def test_an_svg_of_ours_read_back_is_the_drum_it_was_drawn_from(file: Path) -> None:
    drum = parse_drum(TEXT.replace('tongue_end = "square"', 'tongue_end = "curve"'))
    text = svg_file(layout_sheet(drum, outline(drum)))
    tongues = text[text.index('<g id="sheet-tongues"') :]
    tongues = tongues[: tongues.index("</g>") + 4].replace('id="sheet-tongues"', 'id="ends"')
    head = text[text.index("<svg") : text.index(">", text.index("<svg")) + 1]
    inside = text[text.index('<g id="sheet-box-outside"') :] if "sheet-box-outside" in text else ""
    assert not inside  # the box of W1 is as large as its board
    low, left = 190.0, 0.0
    sheet = layout_sheet(drum, outline(drum))
    y0 = sheet.bottom_mm + sheet.height_mm
    board = f'<g id="board"><rect x="{left - sheet.left_mm}" y="{y0 - low}" width="420" height="190"/></g>'
    done = read_ends(asked(file, head + tongues + board + "</svg>", "ours.svg"))
    assert len(done.ends) == 6
    for mine, true in zip(outline(done.drum).tongues, outline(drum).tongues, strict=True):
        assert mine.symmetric_difference(true).area < 1.0


def test_a_dxf_in_inches_of_lines_arcs_and_splines_that_meet_is_one_end(file: Path) -> None:
    document = ezdxf.new("R2010", units=ezdxf.units.IN)
    space = document.modelspace()
    space.add_line((170 / 25.4, 70.5 / 25.4), (180 / 25.4, 60 / 25.4))
    space.add_spline([(180 / 25.4, 60 / 25.4), (184 / 25.4, 49 / 25.4), (178 / 25.4, 40 / 25.4)])
    space.add_lwpolyline([(178 / 25.4, 40 / 25.4, 0.3), (172 / 25.4, 27.5 / 25.4, 0)], format="xyb")
    drawing = file.with_name("tips.dxf")
    document.saveas(drawing)
    (end,) = read_ends(EndsRequest(drum=file, drawing=drawing, lengths=True)).ends
    kinds = [point[2] if len(point) == 3 else "" for point in end.path]
    assert kinds[:2] == ["", "arc"] and "smooth" in kinds and kinds[-2:] == ["", ""]
    assert (
        read_drum(file).tongues[0].length_mm == pytest.approx(end.length_mm) == pytest.approx(152.2, abs=0.3)
    )


@pytest.mark.refusal
def test_ends_that_cross_are_refused_and_nothing_is_written(file: Path) -> None:
    lines = '<path d="M 215 162.5 L 205 119.5"/><path d="M 180 162.5 L 212 119.5"/>'
    with pytest.raises(OutlineError, match=r"A kerf of 3.0 mm must part them"):
        read_ends(asked(file, svg(lines), lengths=True))
    assert file.read_text("utf-8") == TEXT
    assert not (file.parent / "drum.before-ends.toml").exists()


@pytest.mark.refusal
@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("ends.png", "", "is no drawing that can be read"),
        ("ends.svg", "<svg><path", "cannot be read as SVG"),
        ("ends.dxf", "no dxf at all", "cannot be read as DXF"),
        ("ends.svg", svg('<path d="M 0 0 L 10 10"/>'), "None of the 1 lines in ends.svg"),
    ],
)
def test_what_is_no_drawing_of_ends_is_told(file: Path, name: str, text: str, says: str) -> None:
    with pytest.raises((DrawingError, OutlineError), match=says):
        read_ends(asked(file, text, name))
    assert file.read_text("utf-8") == TEXT


def test_a_missing_drawing_is_told(file: Path) -> None:
    with pytest.raises(DrawingError, match="Check its name"):
        read_drawing(file.with_name("none.svg"), None)


def test_a_file_written_as_makers_write_keeps_its_remarks(file: Path) -> None:
    sloppy = TEXT.replace("thickness = 16", "thickness = 16 mm  # planed").replace("[slots]", "[Slots]")
    file.write_text(sloppy, "utf-8")
    read_ends(asked(file, svg(f'<path d="{ARC}"/>')))
    text = file.read_text("utf-8")
    assert "# planed" in text and text.startswith("# mine")
    assert read_drum(file).tongues[0].end is not None
