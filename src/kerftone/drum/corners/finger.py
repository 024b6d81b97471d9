"""The finger joint: square fingers of each wall fill the gaps between those of the other."""

from __future__ import annotations

from typing_extensions import override

from kerftone.drum.corners.corner import Corner, EndCut, Ends, Say
from kerftone.drum.joinery import Fingers, Wall

LEAST_FINGERS = 3
"""With fewer the corner is a lap: own judgement."""


class Fingered(Corner):
    """Front and back have a finger at each edge, the end walls a socket."""

    joint = "finger"
    kind = "fingers"
    how = "finger"

    @override
    def ends(self, wall_mm: float, height_mm: float, *, long_one: bool) -> Ends:
        return Ends(kind="fingers", cut_mm=wall_mm, fingers_mm=_fingers(height_mm, wall_mm, first=long_one))

    @override
    def runs_out(self, ends: Ends, wall_mm: float, *, beside_mm: float, step_mm: float) -> bool:
        # the sockets at the edges are higher than the step: there is no wood to stop it in
        return ends.fingers_mm[0][0] >= step_mm

    @override
    def cuts(self, wall: Wall) -> tuple[EndCut, ...]:
        thick = wall.thickness_mm
        return (EndCut(profile_mm=((thick, 0.0), (thick, thick)), heights_mm=tuple(wall.gaps_mm())),)

    @override
    def setting(self, wall: Wall, words: Say) -> tuple[str, str]:
        low, high = wall.fingers_mm[0]
        sockets = "fingers" if low == 0.0 else "sockets"
        stays = ", ".join(f"{words(a)} to {words(b)}" for a, b in wall.fingers_mm)
        return (
            f"fingers at both ends, {sockets} at the edges",
            f"{words(high - low)} high, {words(wall.thickness_mm)} deep; wood stays from the lower edge {stays}",
        )

    @override
    def said(self, wall: Wall, say: Say) -> str:
        return f"Fingers: cut back {say(wall.thickness_mm)} where the outline steps in."

    @override
    def bare_mm(self, wall: Wall) -> float:
        return wall.thickness_mm


def _fingers(height: float, wall: float, *, first: bool) -> Fingers:
    """The heights of one wall's fingers: an odd number in all, about as high as the wall is thick."""
    count = max(LEAST_FINGERS, 2 * round((height / wall - 1.0) / 2.0) + 1)
    step = height / count
    return tuple((k * step, (k + 1) * step) for k in range(0 if first else 1, count, 2))
