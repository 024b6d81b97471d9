"""Elastic constants: their matrices, and which no solid can have."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kerftone.wood import Elastic


def isotropic(e_gpa: float, nu: float) -> Elastic:
    g = e_gpa / (2 * (1 + nu))
    return Elastic(
        e_l_gpa=e_gpa,
        e_r_gpa=e_gpa,
        e_t_gpa=e_gpa,
        g_lr_gpa=g,
        g_lt_gpa=g,
        g_rt_gpa=g,
        nu_lr=nu,
        nu_lt=nu,
        nu_rt=nu,
        density_kg_m3=7850.0,
    )


CHERRY = Elastic(
    e_l_gpa=11.3,
    e_r_gpa=2.23,
    e_t_gpa=0.97,
    g_lr_gpa=1.66,
    g_lt_gpa=1.1,
    g_rt_gpa=0.3,
    nu_lr=0.392,
    nu_lt=0.428,
    nu_rt=0.695,
    density_kg_m3=560.0,
)


@pytest.mark.outside
def test_steel_has_the_textbook_stiffness_matrix() -> None:
    # E 200 GPa, nu 0.3: 269.2, 115.4 and 76.9 GPa in any text on elasticity (from memory).
    stiffness = isotropic(200.0, 0.3).stiffness()
    assert stiffness[0, 0] == pytest.approx(269.23, abs=0.01)
    assert stiffness[1, 2] == pytest.approx(115.38, abs=0.01)
    assert np.diag(stiffness)[3:] == pytest.approx([76.92] * 3, abs=0.01)


def test_pulling_along_the_grain_narrows_the_wood_by_its_poissons_ratios() -> None:
    strain = CHERRY.compliance() @ np.array([1.0, 0, 0, 0, 0, 0])
    assert -strain[1] / strain[0] == pytest.approx(0.392)
    assert -strain[2] / strain[0] == pytest.approx(0.428)
    across = CHERRY.compliance() @ np.array([0, 1.0, 0, 0, 0, 0])
    assert -across[2] / across[1] == pytest.approx(0.695)


def test_shears_stand_in_the_order_rt_lt_lr() -> None:
    assert 1 / np.diag(CHERRY.compliance())[3:] == pytest.approx([0.3, 1.1, 1.66])


def test_both_matrices_are_symmetric_and_each_others_inverse() -> None:
    give, hold = CHERRY.compliance(), CHERRY.stiffness()
    assert np.allclose(give, give.T)
    assert np.allclose(give @ hold, np.eye(6), atol=1e-12)


@given(st.lists(st.floats(-1.0, 2.0), min_size=3, max_size=3), st.floats(0.2, 4.0))
def test_constants_are_sound_just_when_squeezing_always_costs_energy(nus: list[float], e_r: float) -> None:
    wood = replace(CHERRY, nu_lr=nus[0], nu_lt=nus[1], nu_rt=nus[2], e_r_gpa=e_r)
    lowest = float(np.linalg.eigvalsh(wood.compliance())[0])
    assume(abs(lowest) > 1e-4)
    assert wood.is_stable() == (lowest > 0)


@pytest.mark.parametrize("name", ["e_l_gpa", "g_rt_gpa", "density_kg_m3", "nu_lt"])
@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_numbers_without_end_are_not_sound(name: str, value: float) -> None:
    assert not replace(CHERRY, **{name: value}).is_stable()


@pytest.mark.refusal
def test_one_ratio_too_large_is_named_with_its_limit() -> None:
    why = replace(CHERRY, nu_rt=1.6).why_unstable()
    assert why is not None
    assert "nu_rt is 1.6" in why
    assert "1.516" in why  # the square root of 2.23 / 0.97, by hand


@pytest.mark.refusal
def test_ratios_that_do_not_go_together_get_a_scale_that_works() -> None:
    bad = replace(CHERRY, nu_lr=1.9)
    why = bad.why_unstable()
    assert why is not None
    scale = float(why.rsplit("to ", 1)[1].split(" ")[0])
    mended = replace(bad, nu_lr=1.9 * scale, nu_lt=bad.nu_lt * scale, nu_rt=bad.nu_rt * scale)
    assert mended.is_stable()
    assert scale > 0.9
