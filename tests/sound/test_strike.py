import numpy as np
import pytest
from scipy.integrate import solve_ivp

from kerftone.sound.decay import poles
from kerftone.sound.mallet import HARD_RUBBER, SOFT_RUBBER, WOOD, contact_stiffness, rigid_contact_ms
from kerftone.sound.strike import Blow, strike

LOSSLESS = 1e-12


def _blow(top, mallet, *, strikes=1, speed=1.0, steps=240):
    return Blow(
        tongue=np.arange(strikes),
        speed_m_s=np.full(strikes, speed),
        mallet=mallet,
        top=top,
        steps_per_contact=steps,
    )


def test_on_a_tongue_that_hardly_moves_the_touch_is_hertz_own(cherry_top):
    rung = strike(
        shape=np.array([[1e-4]]),
        volume=np.array([0.02]),
        poles=poles(np.array([200.0]), np.array([0.008])),
        blow=_blow(cherry_top, HARD_RUBBER),
    )
    rigid = rigid_contact_ms(HARD_RUBBER, cherry_top, speed_m_s=1.0)
    assert rung.contact_ms[0] == pytest.approx(rigid, rel=0.01)
    assert rung.speed_after_m_s[0] == pytest.approx(-1.0, rel=1e-4)
    # The push sums to twice the mallet's momentum.
    assert np.sum(rung.force_n[0]) / 48000.0 == pytest.approx(2.0 * 0.011, rel=1e-3)


@pytest.mark.outside
def test_a_ball_on_a_loose_block_rebounds_as_in_the_textbook(cherry_top):
    # Elastic collision of two free bodies: v1' = (m1 - m2)/(m1 + m2) v1, v2' = 2 m1/(m1 + m2) v1.
    ball, block = 0.011, 0.040
    rung = strike(
        shape=np.array([[1.0 / np.sqrt(block)]]),
        volume=np.array([1.0]),
        poles=poles(np.array([0.02]), np.array([LOSSLESS])),
        blow=_blow(cherry_top, HARD_RUBBER),
    )
    assert rung.speed_after_m_s[0] == pytest.approx((ball - block) / (ball + block), rel=2e-3)
    speed_of_block = 2.0 * ball / (ball + block)
    assert rung.energy_j[0] == pytest.approx(0.5 * block * speed_of_block**2, rel=2e-3)


@pytest.mark.parametrize("mallet", [SOFT_RUBBER, HARD_RUBBER, WOOD], ids=lambda m: m.name)
def test_without_loss_the_mallet_gives_exactly_what_the_modes_get(mallet, cherry_top, invented_modes):
    rung = strike(
        shape=invented_modes.strike,
        volume=invented_modes.volume,
        poles=poles(invented_modes.hz, np.full(12, LOSSLESS)),
        blow=_blow(cherry_top, mallet, strikes=6),
    )
    before = 0.5e-3 * mallet.mass_g
    after = 0.5e-3 * mallet.mass_g * rung.speed_after_m_s**2 + rung.energy_j
    assert after == pytest.approx(np.full(6, before), rel=1e-3)
    assert np.max(rung.energy_j) > 0.2 * before


@pytest.mark.rate
def test_the_error_falls_with_the_square_of_the_step(cherry_top, invented_modes):
    def ring(steps):
        return strike(
            shape=invented_modes.strike[:1],
            volume=invented_modes.volume,
            poles=poles(invented_modes.hz, np.full(12, 0.008)),
            blow=_blow(cherry_top, HARD_RUBBER, steps=steps),
        )

    fine = ring(6400)
    errors = []
    for steps in (100, 200, 400):
        coarse = ring(steps)
        errors.append(np.linalg.norm(coarse.force_n[0, :48] - fine.force_n[0, :48]))
    assert np.log2(errors[0] / errors[2]) / 2.0 == pytest.approx(2.0, abs=0.35)


def test_the_stepped_motion_is_that_of_a_general_integrator(cherry_top, invented_modes):
    hz, loss = invented_modes.hz[:4], np.full(4, 0.02)
    u, v = invented_modes.strike[2, :4], invented_modes.volume[:4]
    k, mass = contact_stiffness(SOFT_RUBBER, cherry_top), 1e-3 * SOFT_RUBBER.mass_g
    omega = 2.0 * np.pi * hz

    def push(state):
        return k * max(state[0] + u @ state[2:6], 0.0) ** 1.5

    def motion(_t, state):
        force = push(state)
        q, speed = state[2:6], state[6:]
        return np.concatenate(
            [[state[1], -force / mass], speed, -force * u - loss * omega * speed - omega**2 * q]
        )

    start = np.zeros(10)
    start[1] = 1.0
    rung = strike(
        shape=u[None],
        volume=v,
        poles=poles(hz, loss),
        blow=_blow(cherry_top, SOFT_RUBBER),
    )
    samples = rung.attack.shape[1]
    t = np.arange(samples) / 48000.0
    path = solve_ivp(motion, (0.0, t[-1]), start, t_eval=t, rtol=1e-9, atol=1e-13, max_step=2e-5)
    expected = np.array([-v @ (omega**2 * s[2:6] + loss * omega * s[6:]) for s in path.y.T])
    assert np.max(np.abs(rung.attack[0] - expected)) < 2e-3 * np.max(np.abs(expected))
    assert rung.force_n[0] == pytest.approx(np.array([push(s) for s in path.y.T]), abs=0.02)


def test_a_light_tongue_that_comes_back_meets_a_heavy_mallet_twice(cherry_top):
    # A 300 Hz tongue with 6 g at the tip under a head of 11 g: the head goes on down and meets it again.
    rung = strike(
        shape=np.array([[1.0 / np.sqrt(0.006)]]),
        volume=np.array([0.02]),
        poles=poles(np.array([300.0]), np.array([0.008])),
        blow=_blow(cherry_top, HARD_RUBBER),
    )
    assert rung.knocks[0] >= 2
    assert rung.force_n[0, -1] == 0.0


def test_the_ring_takes_over_where_the_attack_ends(cherry_top, invented_modes):
    pole = poles(invented_modes.hz, np.full(12, 0.008))
    rung = strike(
        shape=invented_modes.strike,
        volume=invented_modes.volume,
        poles=pole,
        blow=_blow(cherry_top, HARD_RUBBER, strikes=6),
    )
    back = np.real(rung.ring @ np.exp(-np.outer(pole, np.arange(1, 6)) / 48000.0))
    assert back == pytest.approx(rung.attack[:, -1:-6:-1], rel=1e-6, abs=1e-6 * np.max(np.abs(rung.ring)))
