"""What can hurt while a drum is made, said once for every page that needs it.

Common workshop practice, no source. The tool's own manual and local rules come first.
"""

from __future__ import annotations

CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "First",
        "The manual of each tool, and the rules where you live, come before anything said here.",
    ),
    (
        "Saw",
        "Clamp the board, keep hands out of the line of the blade, and let it stop before you reach in. "
        "A tongue "
        "can close on the blade as it comes free: support it, and drill stop holes first.",
    ),
    (
        "Boring",
        "Bore in a drill press with a depth stop and the work clamped: a large bit can tear a board out of "
        "the hand. No gloves or loose sleeves near anything that turns.",
    ),
    (
        "Dust",
        "Wood dust harms the lungs, and some species irritate skin and eyes. Draw it off at the tool and "
        "wear "
        "a mask that fits; wet wiping raises less than sweeping.",
    ),
    (
        "Oily rags",
        "Rags wet with drying oil heat up by themselves and can catch fire. Dry them spread flat "
        "outdoors, or "
        "keep them under water in a closed metal can, and follow the label of the finish.",
    ),
    (
        "Small parts",
        "Mallet heads and offcuts can choke a small child. Fix mallet heads so that they cannot come "
        "off, and "
        "round every edge that hands and mallets meet. For a child's drum, use a finish sold as safe for "
        "toys.",
    ),
    ("Hearing", "Saws and routers are loud enough to harm: wear ear protection, and eye protection too."),
)
