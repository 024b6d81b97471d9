"""An invented drum of six cantilever tongues, so that sound can be tested without solving for modes.

INVENTED: no drum was computed or measured. Every tongue is a slender cantilever (Euler's beam, first two
modes: beta L = 1.8751 and 4.6941, Fletcher and Rossing, from memory) that shakes its neighbours a little.
"""

import numpy as np
import pytest

from kerftone.drum.design import Top
from kerftone.modal.result import Modes
from kerftone.wood.elastic import Elastic

LENGTHS_M = (0.150, 0.130, 0.170, 0.165, 0.190, 0.140)
WIDTH_M = 0.043


@pytest.fixture(scope="session")
def cherry_top() -> Top:
    """A 16 mm top of black cherry: Wood Handbook constants (E_L 1.1 x 10.3 GPa), as in the issue."""
    cherry = Elastic(
        e_l_gpa=11.3,
        e_r_gpa=2.23,
        e_t_gpa=0.97,
        g_lr_gpa=1.66,
        g_lt_gpa=1.10,
        g_rt_gpa=0.3,
        nu_lr=0.392,
        nu_lt=0.428,
        nu_rt=0.695,
        density_kg_m3=560.0,
    )
    return Top(wood="cherry, black", length_mm=420.0, width_mm=190.0, thickness_mm=16.0, elastic=cherry)


@pytest.fixture(scope="session")
def invented_modes() -> Modes:
    """Twelve modes of six tongues: a first and a second bending each."""
    length = np.array(LENGTHS_M)
    mass = 560.0 * 0.016 * WIDTH_M * length
    stiff_speed = np.sqrt(11.3e9 / 560.0) * 0.016 / np.sqrt(12.0)
    hz, strike, sweep, volume = [], [], [], []
    # Shape at 15 mm from the tip and mean of the shape: about 0.86 x 2 and 0.78, 0.52 x 2 and 0.43.
    for beta, tip, mean in ((1.8751, 1.72, 0.783), (4.6941, 1.04, 0.434)):
        hz.append((beta / length) ** 2 * stiff_speed / (2.0 * np.pi))
        neighbours = 0.06 * np.cos(np.arange(36.0).reshape(6, 6)) + np.eye(6)
        strike.append(neighbours * tip / np.sqrt(mass))
        volume.append(mean * WIDTH_M * length / np.sqrt(mass))
        sweep.append(np.eye(6) * volume[-1])
    order = np.argsort(np.concatenate(hz))
    return Modes(
        hz=np.concatenate(hz)[order],
        strike=np.concatenate(strike, axis=1)[:, order],
        sweep=np.concatenate(sweep, axis=1)[:, order],
        volume=np.concatenate(volume)[order],
        unknowns=12,
        seconds=0.0,
    )
