"""Drums and a made-up motion to draw: ordinary sizes, an INVENTED motion."""

import numpy as np
import pytest
import shapely
from scipy.spatial import Delaunay

from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline

BROOK = """
name = "Brook & <Daughters>"
units = "mm"
[tuning]
aim_cents = -30.0
[top]
wood = "cherry, black"
length = 420.0
width = 190.0
thickness = 16.0
grain_angle_deg = 12.0
[slots]
kerf = 3.0
end_margin = 32.0
side_margin = 26.0
tongue_end = "round"
[[tongues]]
note = "D3"
row = 1
side = "left"
length = 150.0
[[tongues]]
note = "F#3"
row = 1
side = "right"
length = 170.0
[[tongues]]
note = "G3"
row = 2
side = "left"
length = 131.3
[[tongues]]
note = "A3"
row = 3
side = "right"
length = 165.0
[[bores]]
x = 330.0
y = 49.0
diameter = 20.0
depth = 4.0
[box]
wood = "ash, white"
wall = 12.0
height = 95.0
"""

PIKE = """
name = "Pike"
units = "in"
[top]
wood = "walnut, black"
length = "16 1/2"
width = "7 1/2"
thickness = "5/8"
[slots]
kerf = "1/8"
end_margin = "1 3/8"
side_margin = "1 1/8"
stop_hole = "1/4"
[[tongues]]
note = "D3"
row = 1
side = "left"
length = "5 29/32"
[[tongues]]
note = "A3"
row = 1
side = "right"
length = "6 5/8"
[box]
wood = "ash, white"
wall = "3/4"
height = "3 3/4"
mount = "in ledge"
ledge = "1/4"
"""


@pytest.fixture(scope="session")
def brook():
    """A millimetre drum with four tongues (one alone in its row), round ends, a bore and slanting grain."""
    return parse_drum(BROOK)


@pytest.fixture(scope="session")
def brook_outline(brook):
    return outline(brook)


@pytest.fixture(scope="session")
def pike():
    """An inch drum let into a ledge, with stop holes: the outer box is larger than the top."""
    return parse_drum(PIKE)


@pytest.fixture(scope="session")
def pike_outline(pike):
    return outline(pike)


def _mesh(top, step_mm):
    """Triangles over the wood of a top, fine enough to follow the slots."""
    rims = []
    for ring in (top.exterior, *top.interiors):
        count = int(ring.length / step_mm)
        rims += [ring.interpolate(i / count, normalized=True).coords[0] for i in range(count)]
        rims += list(ring.coords[:-1])
    west, south, east, north = top.bounds
    grid = np.array(
        [(x, y) for x in np.arange(west, east, step_mm) for y in np.arange(south, north, step_mm)]
    )
    grid = grid[shapely.contains_xy(top.buffer(-0.4 * step_mm), *grid.T)]
    points = np.unique(np.round(np.vstack([rims, grid]), 6), axis=0)
    triangles = Delaunay(points).simplices
    return points, triangles[shapely.contains_xy(top, *points[triangles].mean(axis=1).T)]


@pytest.fixture(scope="session")
def top_mesh(brook_outline):
    """(points, triangles) over Brook's top, 4 mm apart."""
    return _mesh(brook_outline.top, 4.0)


@pytest.fixture(scope="session")
def invented_lift(brook_outline, top_mesh):
    """INVENTED: tongue 1 bends up, its facing tongue half as far down, the rest almost rests."""
    points, _ = top_mesh
    lift = 0.01 * np.sin(points[:, 0] / 50.0)
    for number, share in ((0, 1.0), (1, -0.5)):
        west, south, east, north = brook_outline.tongues[number].bounds
        along = (points[:, 0] - west) / (east - west)
        along = along if number == 0 else 1.0 - along
        inside = (points[:, 1] >= south - 0.1) & (points[:, 1] <= north + 0.1) & (along >= 0) & (along <= 1)
        lift = lift + share * np.where(inside, along**2, 0.0)
    return lift
