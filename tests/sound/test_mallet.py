from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from kerftone.sound.mallet import (
    HARD_RUBBER,
    MALLETS,
    SOFT_RUBBER,
    WOOD,
    MalletError,
    board_modulus_gpa,
    contact_modulus_gpa,
    contact_stiffness,
    mallet_named,
    rigid_contact_ms,
    rubber_gpa,
)


def _integrated_contact_ms(*, mass_kg: float, stiffness: float, speed_m_s: float) -> float:
    """m x'' = -k x^1.5 from first touch until the ball leaves, by SciPy's integrator."""

    def motion(_t, state):
        return [state[1], -stiffness / mass_kg * max(state[0], 0.0) ** 1.5]

    def leaves(_t, state):
        return state[0]

    leaves.terminal = True
    leaves.direction = -1
    path = solve_ivp(motion, (0, 0.1), [0.0, speed_m_s], events=leaves, rtol=1e-9, atol=1e-14, max_step=2e-5)
    return 1e3 * float(path.t_events[0][0])


@pytest.mark.parametrize("mallet", MALLETS.values(), ids=lambda m: m.name)
def test_contact_time_is_that_of_the_integrated_motion(mallet, cherry_top):
    integrated = _integrated_contact_ms(
        mass_kg=1e-3 * mallet.mass_g, stiffness=contact_stiffness(mallet, cherry_top), speed_m_s=0.8
    )
    assert rigid_contact_ms(mallet, cherry_top, speed_m_s=0.8) == pytest.approx(integrated, rel=1e-5)


@pytest.mark.outside
def test_contact_time_carries_the_published_constant(cherry_top):
    # T = 2.87 (m^2 / (R E*^2 v))^(1/5): Johnson, Contact Mechanics, eq. 11.24 (from memory).
    pace = (0.011**2 / (0.012 * (1e9 * contact_modulus_gpa(HARD_RUBBER, cherry_top)) ** 2 * 2.0)) ** 0.2
    assert rigid_contact_ms(HARD_RUBBER, cherry_top, speed_m_s=2.0) == pytest.approx(2.87e3 * pace, rel=2e-3)


@pytest.mark.outside
def test_contact_time_is_that_of_hertzs_own_example(cherry_top):
    # Two steel spheres of 25 mm radius meet at 10 mm/s: they touch for 0.00038 s. The example at the end of "On the
    # contact of elastic solids" (1881; Miscellaneous Papers, 1896, p. 146 on), with steel of 20,000 kgf/mm2: from
    # memory, as are Poisson's ratio of 1/3 and 7.7 g/cm3. Two like spheres are one of half the mass and half the
    # radius on a still block.
    steel = replace(cherry_top.elastic, e_r_gpa=196.1, e_t_gpa=196.1, nu_rt=1.0 / 3.0)
    half_g = 0.5 * 7.7e-3 * 4.0 / 3.0 * np.pi * 25.0**3
    ball = replace(WOOD, mass_g=half_g, radius_mm=12.5, e_gpa=196.1, nu=1.0 / 3.0)
    block = replace(cherry_top, elastic=steel)
    assert rigid_contact_ms(ball, block, speed_m_s=0.010) == pytest.approx(0.38, rel=0.015)
    softer = replace(cherry_top, elastic=replace(steel, e_r_gpa=150.0))  # the check bites
    assert rigid_contact_ms(ball, softer, speed_m_s=0.010) != pytest.approx(0.38, rel=0.015)


@pytest.mark.rate
def test_a_blow_32_times_as_fast_touches_half_as_long(cherry_top):
    slow = rigid_contact_ms(WOOD, cherry_top, speed_m_s=0.1)
    assert rigid_contact_ms(WOOD, cherry_top, speed_m_s=3.2) == pytest.approx(slow / 2.0)


def test_the_harder_the_head_the_shorter_the_touch(cherry_top):
    soft, hard, wood = (
        rigid_contact_ms(m, cherry_top, speed_m_s=1.0) for m in (SOFT_RUBBER, HARD_RUBBER, WOOD)
    )
    assert soft > 2.0 * hard > 4.0 * wood


@pytest.mark.outside
def test_rubber_of_shore_50_is_about_two_and_a_half_megapascal():
    # 2.5 MPa at Shore A 50: usual tables of rubber hardness, such as Gent 1958 (from memory).
    assert rubber_gpa(50.0) == pytest.approx(2.5e-3, rel=0.4)


def test_a_wooden_head_presses_the_board_in_as_much_as_the_board_the_head(cherry_top):
    same = replace(WOOD, e_gpa=board_modulus_gpa(cherry_top), nu=0.0)
    assert contact_modulus_gpa(same, cherry_top) == pytest.approx(board_modulus_gpa(cherry_top) / 2.0)


def test_a_quartersawn_face_is_softer_than_a_flatsawn_one(cherry_top):
    assert board_modulus_gpa(replace(cherry_top, cut="quartersawn")) < 0.5 * board_modulus_gpa(cherry_top)


def test_a_mallet_is_found_by_its_name_however_it_is_written():
    assert mallet_named("Hard-Rubber") is HARD_RUBBER
    assert mallet_named("  soft   rubber ") is SOFT_RUBBER


@pytest.mark.refusal
def test_an_unknown_mallet_is_refused_with_the_three_there_are():
    with pytest.raises(MalletError) as refused:
        mallet_named("felt")
    assert str(refused.value) == (
        'The mallet is "felt". There are 3 kinds. Choose one of "soft rubber", "hard rubber", "wood".'
    )
    assert refused.value.nearest == ("soft rubber", "hard rubber", "wood")
    assert np.all([name in MALLETS for name in refused.value.nearest])
