"""The cuts of walls and bottom, read back from DXF: places by hand, areas against the plan."""

import io
from dataclasses import replace

import ezdxf
import pytest
from ezdxf import path as ezpath
from shapely.geometry import Point, Polygon

from kerftone.draw.box_sheets import box_cuts
from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.drum.design import Bottom
from kerftone.drum.outline import outline
from kerftone.drum.shop import FootRelief, Pickup


def _read(sheet):
    document = ezdxf.read(io.StringIO(dxf_file(sheet).decode("utf-8")))
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    assert document.units == ezdxf.units.MM
    return document.modelspace()


def _areas(space, layer):
    found = []
    for entity in space.query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert entity.closed
        found.append(Polygon([(p.x, p.y) for p in ezpath.make_path(entity).flattening(0.001)]))
    return found


def _let_in(drum, **box):
    bottom = Bottom(
        wood="ash, white", elastic=drum.box.elastic, thickness_mm=9.0, fit="let in", recess_mm=6.0
    )
    return replace(drum, bottom=bottom, box=replace(drum.box, **box))


@pytest.mark.outside
@pytest.mark.roundtrip
def test_a_wall_read_back_has_its_outline_and_the_places_to_clear(brook):
    drum = _let_in(brook, foot_relief=FootRelief(rise_mm=5.0, inset_mm=60.0), joint="mitre")
    space = _read(box_cuts(drum)["walls-front-back"])
    # 95 mm over the bottom, which is 9 thick and 6 up: 110 mm high, 420 long.
    (face,) = _areas(space, "OUTLINE")
    radius = (150.0**2 + 5.0**2) / 10.0  # through the feet, 300 apart, and the crown
    circle = Polygon([(0.0, 0.0), (420.0, 0.0), (420.0, 110.0), (0.0, 110.0)])
    arch = Point(210.0, 5.0 - radius).buffer(radius, quad_segs=20000)
    assert face.area == pytest.approx(circle.difference(arch).area, rel=1e-5)
    (entity,) = space.query('LWPOLYLINE[layer=="OUTLINE"]')
    assert len(entity) == 6  # a true arc, not chords
    (rabbet,) = _areas(space, "RABBETS")
    assert rabbet.bounds == pytest.approx((0.0, 0.0, 420.0, 15.0))
    assert {round(line[0][0], 6) for line in space.query('LWPOLYLINE[layer=="MITRES"]')} == {12.0, 408.0}
    words = " ".join(text.dxf.text for text in space.query("TEXT"))
    assert "Inner face up" in words and "RABBETS, lower edge: 6 mm deep" in words


def test_holes_and_counterbores_are_circles_where_they_are_seen_from_inside(brook):
    pickup = Pickup(wall="back", jack_along_mm=100.0, jack_up_mm=40.0, jack_thread_mm=9.5, pot_thread_mm=20.0)
    space = _read(box_cuts(replace(brook, making=replace(brook.making, pickup=pickup)))["wall-back"])
    holes = {tuple(c.dxf.center)[:2] for c in space.query('CIRCLE[layer=="HOLES"]')}
    assert holes == {(320.0, 40.0), (105.0, 47.5)}
    (wide,) = space.query('CIRCLE[layer=="COUNTERBORES"]')
    assert (tuple(wide.dxf.center)[:2], wide.dxf.radius) == ((320.0, 40.0), 15.0)


@pytest.mark.parametrize("joint, ends", [("rabbet", {(0.0, 12.0), (408.0, 420.0)}), ("butt", set())])
def test_end_rabbets_are_areas_too(brook, joint, ends):
    drum = replace(brook, box=replace(brook.box, joint=joint))
    areas = _areas(_read(box_cuts(drum)["walls-front-back"]), "RABBETS")
    assert {(a.bounds[0], a.bounds[2]) for a in areas} == ends
    assert all((a.bounds[1], a.bounds[3]) == (0.0, 95.0) for a in areas)


@pytest.mark.outside
def test_fingers_read_back_from_both_walls_fill_the_corner(brook):
    cuts = box_cuts(replace(brook, box=replace(brook.box, joint="finger")))
    (front,), (left,) = (
        _areas(_read(cuts[name]), "OUTLINE") for name in ("walls-front-back", "walls-left-right")
    )
    # 420 and 190 long, 95 high, 12 thick: between them both corner strips are shared out
    assert 420.0 * 95.0 - front.area + 190.0 * 95.0 - left.area == pytest.approx(2 * 12.0 * 95.0)


def test_the_bottom_is_its_outline_at_true_size(brook):
    space = _read(box_cuts(_let_in(brook))["bottom"])
    (board,) = _areas(space, "OUTLINE")
    # let in half of 12 mm walls with 0.5 mm of air on every side: 420 - 13 by 190 - 13
    assert board.bounds == (0.0, 0.0, 407.0, 177.0)


def test_the_disc_is_cut_from_below_and_only_where_the_file_puts_it(brook):
    drum = replace(
        brook,
        making=replace(brook.making, pickup=Pickup(x_mm=40.0, y_mm=150.0, disc_mm=20.0, recess_mm=0.4)),
    )
    drawn = outline(drum, tolerance_mm=FINE_MM)
    space = _read(cuts_sheet(drum, drawn, from_below=True))
    (disc,) = space.query('CIRCLE[layer=="PICKUP_DISC"]')
    assert (tuple(disc.dxf.center)[:2], disc.dxf.radius) == ((380.0, 150.0), 10.0)
    assert any("20 mm, in a recess 0.4 mm deep" in text.dxf.text for text in space.query("TEXT"))
    assert not _read(cuts_sheet(drum, drawn)).query('CIRCLE[layer=="PICKUP_DISC"]')
    assert not _read(cuts_sheet(brook, drawn, from_below=True)).query('CIRCLE[layer=="PICKUP_DISC"]')


def test_countersinks_lie_round_the_stop_holes_of_the_upper_face_alone(pike, pike_outline):
    sunk = replace(pike, slots=replace(pike.slots, countersink_mm=2.0 * pike.slots.stop_hole_mm))
    above, below = (cuts_sheet(sunk, pike_outline, from_below=turned) for turned in (False, True))
    holes, wide = above.layer("stop holes").shapes, above.layer("countersinks").shapes
    assert [one.centre for one in holes] == [one.centre for one in wide]
    assert [2.0 * one.radius_mm for one in holes] == [one.radius_mm for one in wide]
    assert "countersinks" not in [layer.name for layer in below.layers]
    assert "countersinks" not in [layer.name for layer in cuts_sheet(pike, pike_outline).layers]
