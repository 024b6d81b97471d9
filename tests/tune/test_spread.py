from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from kerftone.drum.file import parse_drum
from kerftone.modal.as_numbers import solved
from kerftone.modal.notes import read_notes
from kerftone.modal.sensitivity import CONSTANTS
from kerftone.modal.solve import solve
from kerftone.tune.spread import covariance, scatters, spreads_cents
from kerftone.wood.species import USUAL_SCATTER, find_species

from ..drums import WREN

DRAWS = 24


def test_a_species_with_all_constants_known_scatters_by_the_two_shared_sources() -> None:
    matrix = covariance(USUAL_SCATTER)
    e_l, density = CONSTANTS.index("e_l_gpa"), CONSTANTS.index("density_kg_m3")
    assert matrix[e_l, e_l] == pytest.approx(0.22**2) and matrix[density, density] == pytest.approx(0.10**2)
    assert matrix[e_l, density] / (0.22 * 0.10) == pytest.approx(0.32, abs=0.005)
    assert np.linalg.eigvalsh(matrix).min() >= -1e-12


def test_a_constant_that_fell_back_on_the_mean_scatters_further() -> None:
    ash = find_species("ash, white").scatter()
    g_rt = CONSTANTS.index("g_rt_gpa")
    assert covariance(ash)[g_rt, g_rt] > 0.22**2


@pytest.mark.slow
def test_the_stated_spread_agrees_with_a_monte_carlo_of_full_solves() -> None:
    """24 boards: the sample's own standard error is 15 %, so agreement is asked to within 35 %."""
    drum = parse_drum(WREN)
    solution = solve(drum)
    said = np.array(spreads_cents(solved(solution).gradients, scatters(drum)))
    rng = np.random.default_rng(7)
    heard = []
    for _ in range(DRAWS):
        other = drum
        for part, scatter in scatters(drum).items():
            owner = getattr(other, part)
            factors = np.exp(rng.multivariate_normal(np.zeros(len(CONSTANTS)), covariance(scatter)))
            drawn = {n: getattr(owner.elastic, n) * f for n, f in zip(CONSTANTS, factors, strict=True)}
            other = replace(other, **{part: replace(owner, elastic=replace(owner.elastic, **drawn))})
        heard.append([note.hz for note in read_notes(other, solve(other).modes())])
    true = (1200 * np.log2(np.array(heard))).std(axis=0, ddof=1)
    assert said.min() > 100.0
    np.testing.assert_allclose(said, true, rtol=0.35)
