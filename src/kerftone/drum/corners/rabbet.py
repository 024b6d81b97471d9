"""The rabbet joint: the square end walls sit in rabbets across the inner face of the front and the back."""

from __future__ import annotations

from collections.abc import Iterator

from typing_extensions import override

from kerftone.drum.corners.corner import Corner, EndCut, Ends, Say
from kerftone.drum.joinery import Box, Wall

SHARE = 0.5
"""A corner rabbet goes this share into the front and back walls: common practice, no source."""


class Rabbeted(Corner):
    """The rabbets are as wide as a wall is thick."""

    joint = "rabbet"
    kind = "rabbet"
    how = "rabbet"
    layer = "rabbets"

    @override
    def ends(self, wall_mm: float, height_mm: float, *, long_one: bool) -> Ends:
        if long_one:
            return Ends(kind="rabbet", cut_mm=wall_mm, depth_mm=SHARE * wall_mm)
        return Ends(kind="square", back_mm=(1.0 - SHARE) * wall_mm)

    @override
    def runs_out(self, ends: Ends, wall_mm: float, *, beside_mm: float, step_mm: float) -> bool:
        return ends.kind == "rabbet" and beside_mm >= wall_mm - ends.depth_mm  # into the corner's own rabbet

    @override
    def cuts(self, wall: Wall) -> tuple[EndCut, ...]:
        back, floor = 0.5 * (wall.length_mm - wall.short_mm), wall.thickness_mm - wall.end_depth_mm
        profile = ((0.0, 0.0), (0.0, floor), (back, floor), (back, wall.thickness_mm))
        return (EndCut(profile_mm=profile, heights_mm=((0.0, wall.height_mm),)),)

    @override
    def setting(self, wall: Wall, words: Say) -> tuple[str, str]:
        back = 0.5 * (wall.length_mm - wall.short_mm)
        cut = "rabbets across the inner face at both ends"
        return cut, f"{words(back)} from the end, {words(wall.end_depth_mm)} deep"

    @override
    def said(self, wall: Wall, say: Say) -> str:
        back = 0.5 * (wall.length_mm - wall.short_mm)
        return f"End rabbets: {say(back)} from each end, {say(wall.end_depth_mm)} deep."

    @override
    def depth_said(self, wall: Wall, say: Say) -> str:
        return f"RABBETS at the ends: {say(wall.end_depth_mm)} deep from this face."

    @override
    def wood_left(self, box: Box) -> Iterator[tuple[float, str]]:
        yield box.wall_mm - box.wall("front").end_depth_mm, "behind the corner rabbet"
