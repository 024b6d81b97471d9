"""How moist wood becomes in air, and how much wider or narrower a board then is.

Moisture in % of oven-dry weight, air by temperature and relative humidity.
"""

from __future__ import annotations


def emc_pct(*, humidity_pct: float, temperature_c: float = 20.0) -> float:
    """How moist wood becomes that stays in this air, in % of its dry weight.

    The two-hydrate equation of Hailwood and Horrobin with the Wood Handbook's coefficients (FPL-GTR-282, ch. 4,
    eq. 4-5; coefficients from memory), the same for all species. Held by tests/shop/test_movement.py.
    """
    t, h = temperature_c, humidity_pct / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    hydrates = (k1 * kh + 2.0 * k1 * k2 * kh * kh) / (1.0 + k1 * kh + k1 * k2 * kh * kh)
    return 1800.0 / w * (kh / (1.0 - kh) + hydrates)
