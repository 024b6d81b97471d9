"""The butt joint: the end walls, cut square, stand between the front and the back."""

from __future__ import annotations

from typing_extensions import override

from kerftone.drum.corners.corner import Corner, Ends, Say
from kerftone.drum.joinery import Wall


class Butt(Corner):
    """All ends are square; the end walls are as much shorter as two walls are thick."""

    joint = "butt"
    kind = "square"
    how = "butt"

    @override
    def ends(self, wall_mm: float, height_mm: float, *, long_one: bool) -> Ends:
        return Ends(kind="square", back_mm=0.0 if long_one else wall_mm)

    @override
    def setting(self, wall: Wall, words: Say) -> tuple[str, str]:
        return "ends", f"square, {words(wall.length_mm)} long"
