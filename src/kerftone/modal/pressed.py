"""A top that is held down by clamps and not glued: two dry faces that press on each other.

Pressed rough faces do not lie on each other all over: their high places carry, and are springs. How stiff these are
is in proportion to the pressure, k = p / u, u a part of the height of the roughness (Greenwood and Williamson 1966,
Persson 2007; from memory), along the face some 0.8 of that (Mindlin 1949, from memory): a light tap moves the faces
far less than friction would let them slide. So the top is held at the walls all round, across and along, by springs
that are much softer than glue; that it slides freely, or lifts between the clamps, is not modelled. Dry faces want a
flat top, stiff clamping cauls and clamps near each other for that.

In the mesh the springs are a layer `PRESSED_MM` thick under the top. Held by tests/modal/test_pressed.py.
"""

from __future__ import annotations

import numpy as np

from kerftone.drum.seat import PRESSED_MM
from kerftone.modal.mechanics import Matrix

PRESSURE_MPA = 0.7
"""Of the clamps on the walls' faces: as for gluing a light wood (Wood Handbook, chapter 10, from memory)."""
ROUGH_MM = 0.005
"""The u of planed wood: some hundredths of a millimetre of roughness, of which u is a part. Own judgement, no source.
How far off it may be, with the pressure, is `SOFTER` in `tune/glue.py`."""
ALONG_SHARE = 0.8
"""Of the stiffness across the faces: Mindlin's 2 (1 - v) / (2 - v), from memory, with v = 0.3."""


def pressed_stiffness() -> Matrix:
    """Stress for strain (Pa) of a layer as thick as in the mesh that is as stiff as the springs of the two faces.

    The same across and along, where nothing is asked of it: so soft a layer carries nothing on its edge.
    """
    across = PRESSURE_MPA * PRESSED_MM / ROUGH_MM * 1e6
    return np.diag([across] * 3 + [ALONG_SHARE * across] * 3)
