"""The strain of the underside is the slope of the motion, seen another way."""

from __future__ import annotations

import numpy as np
import pytest

from kerftone.drum import parse_drum
from kerftone.drum.outline import outline
from kerftone.modal.solve import solve
from kerftone.modal.underside_strain import underside_strain

LONE = """\
# INVENTED: one long tongue
name = "Lone"
[top]
wood = "cherry, black"
length = 260.0
width = 60.0
thickness = 8.0
[slots]
kerf = 3.0
end_margin = 26.0
side_margin = 18.0
[[tongues]]
note = "A3"
row = 1
side = "left"
length = 150.0
[box]
wood = "teak"
wall = 10.0
height = 30.0
"""


def test_along_a_bending_tongue_it_is_half_the_thickness_times_the_curvature() -> None:
    solution = solve(parse_drum(LONE), 2)
    row = outline(solution.drum).strike_points[0][1]
    x = np.linspace(60.0, 150.0, 31)
    points = np.column_stack([x, np.full_like(x, row)])
    got = underside_strain(solution, points, [0])[:, 0].sum(axis=1)
    # Beam theory (Euler and Bernoulli): strain along = h/2 w''. Across, a free tongue draws in by nu_LT of it.
    import ngsolve as ng

    field = ng.GridFunction(solution.space.field)
    field.vec.FV().NumPy()[:] = solution.shapes[0]
    middle = solution.space.mesh(x * 1e-3, points[:, 1] * 1e-3, np.full_like(x, 4e-3))
    lift = field[2](middle).ravel()
    curvature = 2.0 * np.polyfit(1e-3 * (x - 105.0), lift, 5)[3]
    nu = solution.drum.top.elastic.nu_lt
    expected = 4e-3 * curvature * (1.0 - nu)
    at_middle = got[15]
    assert at_middle == pytest.approx(expected, rel=0.1)
    assert at_middle != pytest.approx(-expected, rel=0.1)  # a flipped sign is caught
