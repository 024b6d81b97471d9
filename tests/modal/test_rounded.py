"""What rounding over the slots' edges does: against a solid whose edges are cut, beams, and part against whole."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import netgen.occ as occ
import ngsolve as ng
import numpy as np
import pytest
from shapely.geometry import Polygon, box

from kerftone.drum import edge_wood as section
from kerftone.drum.edge_wood import edge_wood
from kerftone.drum.file import parse_drum
from kerftone.modal.eigen import lanczos
from kerftone.modal.frame import assemble
from kerftone.modal.mechanics import flat_axes, stiffness
from kerftone.modal.notes import weights
from kerftone.modal.plan import Fineness
from kerftone.modal.rounded import taken
from kerftone.modal.sensitivity import CENTS_PER_LN, round_over_cents
from kerftone.modal.solve import Solution, solve
from kerftone.modal.space import Mass, Parts, Space
from kerftone.wood.elastic import Elastic

from ..drums import REED

LENGTH, WIDTH, THICK = 120.0, 43.0, 16.0
"""A tongue as a cantilever, held at x = 0, mm."""
RADIUS = 3.2


def clamped(radius_mm: float, wood: Elastic) -> tuple[Space, Any, Any]:
    """The cantilever, the three upper edges that a bit reaches cut by the solid modeller; its lowest modes."""
    body = occ.Box(occ.Pnt(0, 0, 0), occ.Pnt(LENGTH, WIDTH, THICK))
    if radius_mm:
        upper = [e for e in body.edges if abs(e.center.z - THICK) < 1e-6 and e.center.x > 1e-6]
        body = body.MakeFillet(upper, radius_mm)
    body = body.Scale(occ.Pnt(0, 0, 0), 1e-3)
    body.faces.name = "free"
    body.faces.Min(occ.X).name = "base"
    mesh = ng.Mesh(occ.OCCGeometry(body).GenerateMesh(maxh=0.012, grading=0.9, curvaturesafety=0.6)).Curve(3)
    parts = Parts({"default": stiffness(wood, flat_axes("flatsawn", 0.0))}, {"default": wood.density_kg_m3})
    space = Space(mesh, parts, order=3, held="base")
    start = np.random.default_rng(0).standard_normal(space.unknowns) * space.free()
    values, shapes = lanczos(space.blocks().inverse(), Mass(space.mass()), start, count=3)
    return space, values, shapes


def cantilever_edges(radius_mm: float) -> section.EdgeWood:
    """What the bit takes from it: a board with a slot round it, of which only the tongue counts."""
    tongue = box(0.0, 0.0, LENGTH, WIDTH)
    board = box(-20.0, -20.0, LENGTH + 20.0, WIDTH + 20.0)
    wood = board.difference(box(0.0, -3.0, LENGTH + 3.0, WIDTH + 3.0).difference(tongue))
    assert isinstance(wood, Polygon)
    found = edge_wood(wood, radius_mm=radius_mm, thickness_mm=THICK)
    x, y, _ = found.places_mm.T
    inside = (x > 0.0) & (x < LENGTH) & (y > 0.0) & (y < WIDTH)
    return section.EdgeWood(found.places_mm[inside], found.volume_mm3[inside])


@pytest.mark.outside
def test_first_order_says_what_a_solid_with_cut_edges_does(cherry: Elastic) -> None:
    space, values, shapes = clamped(0.0, cherry)
    stiff, mass = taken(space, shapes, cantilever_edges(RADIUS))
    said = CENTS_PER_LN / 2.0 * (np.diag(mass) - np.diag(stiff) / values)
    _, cut, _ = clamped(RADIUS, cherry)
    true = 600.0 * np.log2(cut / values)
    # Measured: -4.17 for -4.44, -2.8 for -3.4 and +11.5 for +12.2 cents.
    assert true[0] < -4.0
    assert abs(said - true).max() < 0.8 and abs(said[0] - true[0]) < 0.35


@pytest.mark.outside
def test_of_a_beam_the_edges_take_what_the_theory_of_bending_says(cherry: Elastic) -> None:
    """Euler and Bernoulli: second moment and area of the section; the tip moves four times the mean square."""
    space, values, shapes = clamped(0.0, cherry)
    stiff, mass = (np.diag(one)[0] for one in taken(space, shapes, cantilever_edges(RADIUS)))
    corner = (1.0 - math.pi / 4.0) * RADIUS**2
    from_middle = 0.5 * THICK - 0.2234 * RADIUS  # the centroid of a spandrel, from its sides
    softer = 2.0 * corner * from_middle**2 / (WIDTH * THICK**3 / 12.0)
    lighter = 2.0 * corner / (WIDTH * THICK) + 4.0 * corner / (LENGTH * THICK)
    assert stiff / values[0] == pytest.approx(softer, rel=0.05)
    assert mass == pytest.approx(lighter, rel=0.05)


def test_where_strips_of_two_edges_overlap_the_overlap_counts_negatively(cherry: Elastic) -> None:
    space, _, shapes = clamped(0.0, cherry)
    wood = cantilever_edges(RADIUS)
    overlap = section.EdgeWood(wood.places_mm, -wood.volume_mm3)
    for goes, comes in zip(taken(space, shapes, wood), taken(space, shapes, overlap), strict=True):
        assert np.isfinite(comes).all()
        assert comes == pytest.approx(-goes)


def test_a_drum_with_the_key_sounds_what_first_order_says_and_its_parts_with_it(solved_w1: Solution) -> None:
    drum = replace(solved_w1.drum, slots=replace(solved_w1.drum.slots, round_over_mm=section.USUAL_MM))
    own = np.argmax(weights(solved_w1.modes()), axis=1)
    said = round_over_cents(solved_w1, list(own))
    rounded = solve(drum)
    true = 1200.0 * np.log2(rounded.hz[own] / solved_w1.hz[own])
    assert true.max() < -2.5 and true.min() > -8.0
    assert abs(said - true).max() < 0.4
    parts = assemble(rounded)
    assert abs(600.0 * np.log2(parts.values[own] / rounded.fine_values[own])).max() < 0.3


@pytest.mark.parametrize("end", ["round", "curve"])
def test_round_tips_are_rounded_over_as_square_ones_are(end: Any) -> None:
    reed = parse_drum(REED)
    cents = {}
    for name in ("square", end):
        drum = replace(reed, slots=replace(reed.slots, tongue_end=name))
        rough = solve(drum, fineness=Fineness(order=2))
        own = np.argmax(weights(rough.modes()), axis=1)
        cents[name] = round_over_cents(rough, list(own))
    assert abs(cents[end] - cents["square"]).max() < 3.0
