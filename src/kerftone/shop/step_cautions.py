"""What can hurt at each step, said where it belongs.

Common workshop practice, no source. The manual of each tool, the label of each product and the rules where
you live come before anything said here; this is no substitute for them.
"""

from __future__ import annotations

FIRST = (
    "Follow the manual of each tool, the labels of glue and finish, and the rules where you live. "
    "What is said "
    "here is common practice and no substitute for them."
)

CAUTIONS: dict[str, str] = {
    "blade": (
        "Guard on, push-stick in hand, never stand in line with the blade, and let it stop before you "
        "reach in."
    ),
    "small stock": (
        "Short and narrow pieces are pulled into a cutter: saw them from a longer piece, or hold them "
        "in a carrier, not in the fingers."
    ),
    "stop cuts": (
        "Stop the cut before the line and finish by hand. Clamp a stop block, lower and lift the work "
        "against a fence with both hands clear, and never plunge free-hand."
    ),
    "routing": (
        "Feed a router against the turn of its bit, both hands on it; a bit that catches a slot's corner is thrown. "
        "Small pieces and free tongues must lie on a board, and the bit must stand still before you set it down."
    ),
    "boring": (
        "Clamp the work flat and bore square with a depth stop: a large bit can tear a board out of "
        "the hand. No gloves, no loose sleeves."
    ),
    "round stock": (
        "A ball turns in the fingers and takes the bit with it: hold it in a drilled cradle or soft jaws."
    ),
    "dust": (
        "Wood dust harms the lungs and some species sensitise skin, eyes and lungs: draw it off at "
        "the tool and wear a mask that fits."
    ),
    "noise": (
        "Saws, planers and routers are loud enough to harm: wear ear protection, and eye protection too."
    ),
    "rags": (
        "Rags wet with drying oil heat themselves and can catch fire: spread them flat outdoors or "
        "keep them under water in a closed metal can."
    ),
    "labels": (
        "Use glue and finish by their labels: air, gloves, times. For a child's drum use a finish "
        "sold as safe for toys."
    ),
    "soldering": (
        "A soldering iron burns and its fumes harm: use a stand and draw the air away; wash the hands."
    ),
    "small parts": (
        "Mallet balls and offcuts can choke a young child: fix balls so that they cannot come off, "
        "and leave mallets with small balls out of reach."
    ),
    "hearing": (
        "A hard mallet close to the ear is loud: keep your distance, and rest your ears while tuning."
    ),
}
"""Each caution by the name the steps use."""
