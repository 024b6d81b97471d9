"""How many times more order 2 errs than order 3, on drums whose top or bottom has an open gap beside its joint.

Drums with a lip or on a ledge alone, those of `mounts.py` and others, are solved on the program's own mesh with
elements of order 2 to 5. The last three orders and a power law say where they lead, mode by mode; from there the
errors of orders 2 and 3 are read, and what the program prints with each ratio. All drums are INVENTED.

`python benchmarks/orders.py --json orders.json` takes some minutes a drum; `--only NAME ...`, `--layered`.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import brentq

import mounts
from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.modal.plan import Fineness
from kerftone.modal.solve import solve

COUNT = 10
ORDERS = (2, 3, 4, 5)
RATIOS = (3.5, 3.7, 3.9, 4.1, 4.3, 4.6, 5.0)
BOTTOM = '[bottom]\nwood = "ash, white"\nthickness = 7.0\n'
LIPPED = (
    '[bottom]\nwood = "ash, white"\nthickness = 8.0\nfit = "on a lip"\nlip = 5.0\nlip_thickness = 4.0\n'
    "clearance = 0.75\nrecess = 3.0\n"
)


def _drum(
    name: str, top: str, slots: tuple[float, float, float], box: str, tongues: str, more: str = ""
) -> str:
    kerf, end, side = slots
    cut = f"kerf = {kerf}\nend_margin = {end}\nside_margin = {side}"
    return mounts.toml(name, top, cut, box, tongues=tongues, more=more)


DRUMS = mounts.DRUMS | {
    "wide ledge": _drum(
        "wide ledge",
        "length = 420.0\nwidth = 170.0\nthickness = 18.0",
        (3.0, 34.0, 24.0),
        'wall = 20.0\nheight = 90.0\nmount = "in ledge"\nledge = 8.0\nclearance = 1.0\nstands = "free"',
        "L1155 L2170 R1180 R2150",
        BOTTOM,
    ),
    "narrow ledge": _drum(
        "narrow ledge",
        "length = 320.0\nwidth = 140.0\nthickness = 12.0",
        (2.0, 24.0, 20.0),
        'wall = 15.0\nheight = 70.0\nmount = "in ledge"\nledge = 5.0\nclearance = 0.5',
        "L1120 L2135 R1145 R2110",
    ),
    "thick lip": _drum(
        "thick lip",
        "length = 400.0\nwidth = 160.0\nthickness = 19.0\nlip = 8.0\nlip_thickness = 10.0",
        (3.0, 36.0, 26.0),
        'wall = 16.0\nheight = 95.0\nmount = "on a lip"\nclearance = 1.0\nglued = "lip"\nstands = "free"',
        "L1140 L2160 R1170 R2150",
        BOTTOM,
    ),
    "thin lip": _drum(
        "thin lip",
        "length = 330.0\nwidth = 150.0\nthickness = 14.0\nlip = 5.0\nlip_thickness = 7.0",
        (2.5, 26.0, 21.0),
        'wall = 12.0\nheight = 75.0\nmount = "on a lip"\nclearance = 0.5\nglued = "lip"',
        "L1125 L2140 R1150 R2115",
    ),
    "ledge, lipped bottom": _drum(
        "ledge, lipped bottom",
        "length = 360.0\nwidth = 150.0\nthickness = 16.0",
        (3.0, 30.0, 22.0),
        'wall = 16.0\nheight = 80.0\nmount = "in ledge"\nledge = 7.0\nclearance = 0.8\nstands = "free"',
        "L1140 L2125 R1155 R2145",
        LIPPED,
    ),
    "walls, lipped bottom": _drum(
        "walls, lipped bottom",
        "length = 360.0\nwidth = 150.0\nthickness = 16.0",
        (3.0, 30.0, 26.0),
        'wall = 14.0\nheight = 80.0\nmount = "on walls"\nstands = "free"',
        "L1140 L2125 R1155 R2145",
        LIPPED,
    ),
}


def of_orders(drum: Drum, *, layered: bool | None) -> list[list[float]]:
    """The lowest modes by each order, in Hz."""
    found = []
    for order in ORDERS:
        solution = solve(drum, COUNT, fineness=Fineness(order=order), layered=layered)
        found.append((np.sqrt(np.sort(solution.fine_values)[:COUNT]) / (2.0 * np.pi)).tolist())
    return found


def end_of(three: Any) -> float:
    """Where a + b order^-c leads through orders 3, 4 and 5, in the logarithm of Hz."""
    one, two, last = three
    ratio = (two - last) / (one - two)
    p, q, r = (float(order) for order in ORDERS[1:])

    def off(power: float) -> float:
        return float((q**-power - r**-power) / (p**-power - q**-power) - ratio)

    power = float(brentq(off, 0.3, 12.0))
    return float(last - (two - last) / (q**-power - r**-power) * r**-power)


def show(name: str, found: list[list[float]]) -> None:
    """One drum's errors, and what each ratio would print."""
    logs = 1200.0 * np.log2(np.array(found))
    ends = np.array([end_of(column) for column in logs[1:].T])
    errors = logs - ends
    print(f"{name}\n  order 2  {said(errors[0])}\n  order 3  {said(errors[1])}\n  order 4  {said(errors[2])}")
    print(f"  ratio    {' '.join(f'{one:5.2f}' for one in errors[0] / errors[1])}")
    for ratio in RATIOS:
        print(f"  with {ratio:3.1f} {said(errors[1] - (errors[0] - errors[1]) / (ratio - 1.0))}")


def said(cents: Any) -> str:
    """These cents in a row."""
    return " ".join(f"{one:5.1f}" for one in cents)


def main() -> None:
    """Print the tables."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    options.add_argument("--only", nargs="+", choices=tuple(DRUMS), default=tuple(DRUMS))
    options.add_argument("--layered", action="store_true", help="the top in two layers of elements")
    options.add_argument("--json", type=Path, help="keep what was found here, and use what is there")
    given = options.parse_args()
    kept: dict[str, list[list[float]]] = {}
    if given.json is not None and given.json.exists():
        kept = json.loads(given.json.read_text())
    for name in given.only:
        key = f"{name}, layered" if given.layered else name
        if key not in kept:
            kept[key] = of_orders(parse_drum(DRUMS[name]), layered=True if given.layered else None)
            if given.json is not None:
                given.json.write_text(json.dumps(kept))
        show(key, kept[key])


if __name__ == "__main__":
    main()
