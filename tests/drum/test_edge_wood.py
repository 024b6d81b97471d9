"""The wood that a round-over takes off the slots' edges, against areas that shapely measures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Point

from kerftone.drum import parse_drum
from kerftone.drum.edge_wood import edge_wood
from kerftone.drum.outline import Outline, outline

from .conftest import reference_toml

W1 = parse_drum(reference_toml("W1"))
RADIUS = 3.2


def drawn_with(**slots: object) -> Outline:
    return outline(replace(W1, slots=replace(W1.slots, **slots)))  # type: ignore[arg-type]


@pytest.mark.outside
@pytest.mark.parametrize(
    ("slots", "share"),
    [
        ({}, 1e-6),
        ({"tongue_end": "slant"}, 1e-6),
        # Where a slot opens into its hole the bit reaches beyond the first chord of it, which counts a hair twice.
        ({"tongue_end": "round"}, 1e-5),
        ({"stop_hole_mm": 8.0}, 1e-5),
    ],
)
def test_its_volume_and_its_depth_are_those_of_strips_which_shapely_measures(
    slots: dict[str, object], share: float
) -> None:
    drawn = drawn_with(**slots)
    places, weights = np.polynomial.legendre.leggauss(12)
    turns = 0.25 * math.pi * (1.0 + places)
    strips = [
        drawn.top.intersection(drawn.removed.buffer(RADIUS * (1.0 - math.cos(turn)), quad_segs=300)).area
        for turn in turns
    ]
    deep = RADIUS * (1.0 - np.sin(turns))
    # By parts: strips times the slope of the depth.
    parts = 0.25 * math.pi * weights * RADIUS * np.cos(turns) * strips
    found = edge_wood(drawn.top, radius_mm=RADIUS, thickness_mm=16.0)
    down = 16.0 - found.places_mm[:, 2]
    assert found.volume_mm3.sum() == pytest.approx(parts.sum(), rel=share)
    assert (down * found.volume_mm3).sum() == pytest.approx(
        (deep * parts).sum(), rel=4e-4
    )  # four points across
    spoiled = edge_wood(drawn.top, radius_mm=1.001 * RADIUS, thickness_mm=16.0)
    assert spoiled.volume_mm3.sum() != pytest.approx(parts.sum(), rel=1e-3)


def test_every_place_lies_in_wood_that_the_bit_takes() -> None:
    drawn = drawn_with()
    found = edge_wood(drawn.top, radius_mm=RADIUS, thickness_mm=16.0)
    for x, y, z in found.places_mm[:: len(found.places_mm) // 200]:
        aside = drawn.removed.distance(Point(x, y))
        assert drawn.top.contains(Point(x, y)) and aside < RADIUS
        round_from_middle = math.hypot(RADIUS - aside, RADIUS - (16.0 - z))
        assert round_from_middle > RADIUS and 16.0 - RADIUS < z < 16.0
