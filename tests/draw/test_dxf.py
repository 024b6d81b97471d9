"""DXF is read back with ezdxf, flattened by it, and its areas compared with the outline's."""

import io
import math
from dataclasses import replace

import ezdxf
import pytest
import shapely
from ezdxf import path as ezpath
from shapely.geometry import LineString, Polygon

from kerftone.draw.cuts import FINE_MM, cuts_sheet, mirrored
from kerftone.draw.dxf import dxf_file, layer_name
from kerftone.draw.sheet import Layer, Pen, Sheet, Text
from kerftone.drum.outline import outline

BOTH = pytest.mark.parametrize("which", ["brook", "pike"])


@pytest.fixture
def drum(which, request):
    return request.getfixturevalue(which)


def _read(sheet):
    return ezdxf.read(io.StringIO(dxf_file(sheet).decode("utf-8")))


def _areas(document, layer):
    found = []
    for entity in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert entity.closed
        flat = [(p.x, p.y) for p in ezpath.make_path(entity).flattening(0.001)]
        found.append(Polygon(flat).area)
    return found


@BOTH
@pytest.mark.outside
@pytest.mark.roundtrip
def test_the_file_read_back_is_in_millimetres_sound_and_has_the_areas_of_the_outline(drum):
    document = _read(cuts_sheet(drum, outline(drum, tolerance_mm=FINE_MM)))
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    assert document.dxfversion == "AC1024" and document.units == ezdxf.units.MM
    fine = outline(drum, tolerance_mm=0.0005)
    (board,) = _areas(document, "OUTLINE")
    assert board == pytest.approx(fine.board.area, rel=1e-9)
    assert sum(_areas(document, "SLOTS")) == pytest.approx(fine.removed.area, rel=1e-4)
    assert board - sum(_areas(document, "SLOTS")) == pytest.approx(fine.top.area, rel=1e-5)


@pytest.mark.outside
def test_the_check_of_areas_bites(brook):
    """A kerf one tenth of a millimetre wider changes the slots by far more than the tolerance."""
    wider = replace(brook, slots=replace(brook.slots, kerf_mm=3.1))
    (one, other) = (
        sum(_areas(_read(cuts_sheet(d, outline(d, tolerance_mm=FINE_MM))), "SLOTS")) for d in (brook, wider)
    )
    assert abs(other / one - 1.0) > 1e-3


def test_round_ends_are_true_arcs_of_half_the_tongues_width(brook):
    drawn = outline(brook, tolerance_mm=FINE_MM)
    document = _read(cuts_sheet(brook, drawn))
    radii = []
    for entity in document.modelspace().query('LWPOLYLINE[layer=="SLOTS"]'):
        rows = entity.get_points("xyb")
        assert len(rows) < 40  # not hundreds of chords
        for (x0, y0, bulge), (x1, y1, _) in zip(rows, [*rows[1:], rows[0]], strict=True):
            if abs(bulge) > 0.2:
                chord = math.hypot(x1 - x0, y1 - y0)
                radii.append(chord / 2.0 / math.sin(2.0 * math.atan(abs(bulge))))
    tongue, with_kerf = 0.5 * drawn.layout.tongue_width_mm, 0.5 * drawn.layout.tongue_width_mm + 3.0
    assert {round(r, 1) for r in radii} == {round(tongue, 1), round(with_kerf, 1)}


FREE = (
    (-26.0, -21.5),
    (-20.0, -23.0, "smooth"),
    (0.0, -6.0, "smooth"),
    (-6.0, 12.0, "smooth"),
    (-18.0, 21.5),
)
OWN = ((-16.0, -21.5), (0.0, 0.0, "arc"), (-16.0, 21.5))


def _pieces(document, layer):
    """Each entity of a layer as a line in fine chords, as ezdxf reads it."""
    return [
        LineString([(p.x, p.y) for p in ezpath.make_path(entity).flattening(1e-5)])
        for entity in document.modelspace().query(f'*[layer=="{layer}"]')
    ]


@pytest.mark.outside
@pytest.mark.roundtrip
@pytest.mark.parametrize("below", [False, True])
def test_ends_of_any_shape_are_true_arcs_and_splines_and_have_the_areas_of_the_outline(brook, below):
    """Brook's tongue 3 stands alone in its row: its end has a kerf round it, which is a curve too."""
    ends = ("slant", OWN, FREE, "round")
    drum = replace(
        brook,
        tongues=tuple(replace(t, end=end) for t, end in zip(brook.tongues, ends, strict=True)),
        bores=(),
    )
    document = _read(cuts_sheet(drum, outline(drum, tolerance_mm=FINE_MM), from_below=below))
    assert not document.audit().errors
    slots = document.modelspace().query('*[layer=="SLOTS"]')
    assert {e.dxftype() for e in slots} == {"LWPOLYLINE", "SPLINE"}
    assert sum(len(e.control_points) for e in slots if e.dxftype() == "SPLINE") < 100
    rings = shapely.polygonize([shapely.union_all(_pieces(document, "SLOTS"), grid_size=1e-4)]).geoms
    # The outline's own chords, a hundred times as fine, say how large it should be.
    exact = outline(drum, tolerance_mm=5e-5).removed
    inside = [
        ring
        for ring in rings
        if exact.buffer(0.01).contains(turned(ring, below, drum).representative_point())
    ]
    assert sum(ring.area for ring in inside) == pytest.approx(exact.area, rel=1e-5)


def turned(shape, below, drum):
    return mirrored(shape, drum.top.length_mm) if below else shape


def test_holes_and_bores_are_circles_on_layers_of_their_own(pike, brook):
    holes = _read(cuts_sheet(pike, outline(pike))).modelspace().query('CIRCLE[layer=="STOP_HOLES"]')
    assert {round(2.0 * h.dxf.radius, 6) for h in holes} == {6.35} and len(holes) == 4
    from_above, from_below = (
        _read(cuts_sheet(brook, outline(brook), from_below=below)).modelspace().query("CIRCLE").first
        for below in (False, True)
    )
    assert tuple(from_above.dxf.center)[:2] == (330.0, 49.0)
    assert tuple(from_below.dxf.center)[:2] == (90.0, 49.0)
    words = _read(cuts_sheet(brook, outline(brook), from_below=True)).modelspace().query("TEXT")
    (depth,) = [t for t in words if t.dxf.text == "4 mm deep"]
    assert depth.dxf.align_point.x == 90.0


def test_words_cannot_become_commands():
    text = Text(at=(0.0, 0.0), words="%%c ^J Brook\n{x}", height_mm=4.0)
    layer = Layer(name="text", pen=Pen(fill="#000000"), shapes=(text,))
    document = _read(Sheet(width_mm=9.0, height_mm=9.0, title="", description="", layers=(layer,)))
    (entity,) = document.modelspace().query("TEXT")
    assert "%%" not in entity.dxf.text and "\n" not in entity.dxf.text
    assert not document.audit().errors
    assert layer_name("Stop holes, L/R") == "STOP_HOLES_L_R"
