import math

import pytest

from kerftone.draw.dimension import Measures, arrow_head


def test_a_level_measure_runs_from_end_to_end_with_its_figure_in_the_middle_above():
    taken = Measures(figure_mm=4.0)
    taken.across(x_from=10.0, x_to=110.0, y=50.0, words="100", reach_from=40.0)
    assert ((10.0, 50.0), (110.0, 50.0)) in [line.points for line in taken.lines]
    assert sorted(head.outer[0] for head in taken.heads) == [(10.0, 50.0), (110.0, 50.0)]
    (figure,) = taken.figures
    assert figure.at[0] == 60.0 and figure.at[1] > 50.0 and figure.anchor == "middle"
    reaching = [line for line in taken.lines if line.points[0][0] == line.points[1][0]]
    assert len(reaching) == 2
    assert all(line.points[0][1] > 40.0 and line.points[1][1] > 50.0 for line in reaching)


def test_an_upright_measure_too_short_for_its_figure_has_it_beside():
    long, short = Measures(figure_mm=4.0), Measures(figure_mm=4.0)
    long.upright(y_from=0.0, y_to=60.0, x=-8.0, words="60", reach_from=0.0)
    short.upright(y_from=0.0, y_to=5.0, x=-8.0, words="5 1/32", reach_from=0.0)
    assert long.figures[0].angle_deg == 90.0
    assert short.figures[0].angle_deg == 0.0
    assert short.figures[0].anchor == "end" and short.figures[0].at[0] < -8.0
    assert not short.heads


def test_a_head_points_away_from_the_line():
    head = arrow_head((10.0, 0.0), (0.0, 0.0), 3.0)
    tip, one, other = head.outer
    assert tip == (10.0, 0.0)
    assert one[0] == other[0] == 7.0
    assert math.isclose(one[1], -other[1])


def test_a_measure_that_starts_where_it_measures_needs_no_line_out():
    taken = Measures(figure_mm=4.0)
    taken.across(x_from=0.0, x_to=50.0, y=10.0, words="50", reach_from=10.0)
    assert len(taken.lines) == 1
    assert taken.figures[0].height_mm == pytest.approx(4.0)
