"""How damp wood becomes in given air, and how its stiffness, weight and size drift with that.

Moisture is in percent of the wood's dry mass, temperature in degrees Celsius, humidity in percent. Equilibrium
moisture is the two-hydrate equation of Hailwood and Horrobin with the Wood Handbook's numbers (FPL-GTR-282,
ch. 4, from memory; it gives back the handbook's own examples, see tests/wood/test_moisture.py). It is for
sitka spruce and serves for all woods; a species may lie a percent off, and wood follows the air by weeks.

Stiffness drifts by the handbook's "middle-trend" table (ch. 4, from memory): against wood at 12 %, the
modulus along the grain is 9 % higher at 6 % and 13 % lower at 20 %, across the grain 20 % and 23 %, in
shear 20 % and 20 %. Between them the logarithm is taken as straight. Valid from 4 to 22 % moisture.
"""

from __future__ import annotations

import math
from dataclasses import replace

from kerftone.errors import MoistureError
from kerftone.wood.elastic import Elastic

LOWEST_PCT, HIGHEST_PCT = 4.0, 22.0
"""The laws below are used between these only; own judgement."""
ALONG, ACROSS, SHEAR = (1.09, 0.87), (1.20, 0.77), (1.20, 0.80)
"""Modulus at 6 % and at 20 % moisture, as a share of that at 12 %."""


def emc_pct(*, humidity_pct: float, temperature_c: float = 20.0) -> float:
    """How damp wood becomes that lies long in air of this humidity and temperature, in percent.

    Valid from 0 to 98 % humidity and from -1 to 60 degrees. Raises MoistureError outside.
    Held by test_equilibrium_moisture_is_the_handbooks.
    """
    if not 0.0 <= humidity_pct <= 98.0:
        near = min(max(humidity_pct, 0.0), 98.0)
        raise MoistureError(
            f"The humidity is {humidity_pct:g} %. The equation for wood's moisture holds from 0 to 98 %: write "
            f"{near:g}.",
            given=humidity_pct,
            limit=near,
            nearest=near,
        )
    if not -1.0 <= temperature_c <= 60.0:
        near = min(max(temperature_c, -1.0), 60.0)
        raise MoistureError(
            f"The temperature is {temperature_c:g} °C. The equation for wood's moisture holds from -1 to 60 °C: "
            f"write {near:g}.",
            given=temperature_c,
            limit=near,
            nearest=near,
        )
    t, h = temperature_c, humidity_pct / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    bound = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return 1800.0 / w * (kh / (1.0 - kh) + bound)


def _share(levels: tuple[float, float], moisture_pct: float) -> float:
    """The logarithm of a modulus at this moisture against that at 12 %."""
    dry, damp = math.log(levels[0]) / 6.0, math.log(levels[1]) / 8.0
    away = moisture_pct - 12.0
    return -dry * away if away < 0.0 else damp * away


def check_moisture(moisture_pct: float) -> None:
    """Refuse a moisture at which the law of stiffness does not hold. Raises MoistureError."""
    if not LOWEST_PCT <= moisture_pct <= HIGHEST_PCT:
        near = min(max(moisture_pct, LOWEST_PCT), HIGHEST_PCT)
        raise MoistureError(
            f"The moisture is {moisture_pct:.3g} %. How stiffness drifts is known from {LOWEST_PCT:g} to "
            f"{HIGHEST_PCT:g} %: the nearest that works is {near:g} %.",
            given=moisture_pct,
            limit=near,
            nearest=near,
        )


def dried(elastic: Elastic, *, from_pct: float, to_pct: float, movement_pct: float) -> Elastic:
    """The constants of a piece of wood after its moisture has changed.

    `movement_pct`: by how many percent its cross-section grows per percent of moisture, which its density
    needs. Poisson's ratios stay. Raises MoistureError outside 4 to 22 %.

    Parameters
    ----------
    elastic : Elastic
        Its constants, in GPa and kg/m³.
    from_pct : float
        The moisture they hold at, in percent.
    to_pct : float
        The moisture wanted, in percent.
    movement_pct : float
        By how many percent its cross-section grows per percent of moisture.
    """
    check_moisture(from_pct)
    check_moisture(to_pct)

    def factor(levels: tuple[float, float]) -> float:
        return math.exp(_share(levels, to_pct) - _share(levels, from_pct))

    along, across, shear = factor(ALONG), factor(ACROSS), factor(SHEAR)
    heavier = (100.0 + to_pct) / (100.0 + from_pct)
    larger = 1.0 + 0.01 * movement_pct * (to_pct - from_pct)
    return replace(
        elastic,
        e_l_gpa=elastic.e_l_gpa * along,
        e_r_gpa=elastic.e_r_gpa * across,
        e_t_gpa=elastic.e_t_gpa * across,
        g_lr_gpa=elastic.g_lr_gpa * shear,
        g_lt_gpa=elastic.g_lt_gpa * shear,
        g_rt_gpa=elastic.g_rt_gpa * shear,
        density_kg_m3=elastic.density_kg_m3 * heavier / larger,
    )
