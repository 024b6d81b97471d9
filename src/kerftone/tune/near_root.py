"""How much more a bore near the root does than the frame and tongues say.

The frame follows a tongue's root in some twenty motions. A bore close to the root line bends the strain there in
more ways than these, so the model holds the root too stiff and the bore seems to do less than it does. Against two
full solves of the whole drum, in a 16 mm top: 4 to 9 % less for bores of 5 mm whose rims are 12 to 17 mm from the
root, 13 % for one of 8 mm, 4 % for that with its rim 35 mm away; and the last 3 of those 8 mm do 28 % more than the
model says. More motions mend it slowly: three times as many root loads give a third of it, and cost seconds. So
what the model says is multiplied by a factor that grows with the depth and falls with the distance.

The factor was fitted to those full solves, and to nothing else. Lengths in mm; held by tests/tune/test_near_root.py.
"""

from __future__ import annotations

import math

from kerftone.drum.design import Bore, Drum
from kerftone.drum.plan_lines import layout

SHARE, AT, FALLS = 0.25, 0.75, 0.9
"""A bore as deep as the top is thick does the first more, if its rim is the second from the root, in thicknesses;
that falls by e in each third."""


def root_factor(drum: Drum, number: int, bore: Bore, before_mm: float = 0.0) -> float:
    """How many times as much a bore does to its tongue as the frame and tongues say, deepened from `before_mm`.

    What a bore does grows about as its depth, and so does the factor: the last millimetres of a deep one gain most.

    Parameters
    ----------
    drum : Drum
        The drum, in mm.
    number : int
        Which tongue, counted from 0.
    bore : Bore
        As it will be, in mm.
    before_mm : float, optional
        Its depth now, in mm; 0 for a new one.
    """
    thick = drum.top.thickness_mm
    along, _ = layout(drum).place_mm(drum.tongues[number], bore.x_mm, bore.y_mm)
    gap = along - 0.5 * bore.diameter_mm
    near = math.exp(-(gap / thick - AT) / FALLS)
    return 1.0 + SHARE * near * (bore.depth_mm + before_mm) / thick
