"""The mitre, plain or with keys: all walls cut at 45 degrees; keys are strips glued in slots across the corner."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from typing_extensions import override

from kerftone.drum.corners.corner import Corner, EndCut, Ends, Say
from kerftone.drum.design import Box as BoxWished
from kerftone.drum.joinery import Box, Wall
from kerftone.drum.shop import Joint
from kerftone.errors import ShopError
from kerftone.units import MM_PER_INCH, Units

KEY_SHARE = 0.6
"""A key's slot goes this share of the way through the mitre, corner to corner: own judgement."""


class Mitre(Corner):
    """All ends are mitred, the long points on the outer face."""

    joint: Joint = "mitre"
    kind = "mitre"
    how = "mitre"
    glued = "mitre"
    layer = "mitres"

    @override
    def ends(self, wall_mm: float, height_mm: float, *, long_one: bool) -> Ends:
        return Ends(kind="mitre", cut_mm=wall_mm)

    @override
    def runs_out(self, ends: Ends, wall_mm: float, *, beside_mm: float, step_mm: float) -> bool:
        return True  # into the mitre

    @override
    def cuts(self, wall: Wall) -> tuple[EndCut, ...]:
        profile = ((0.0, 0.0), (0.5 * (wall.length_mm - wall.short_mm), wall.thickness_mm))
        return (EndCut(profile_mm=profile, heights_mm=((0.0, wall.height_mm),)),)

    @override
    def setting(self, wall: Wall, words: Say) -> tuple[str, str]:
        return (
            "mitres",
            f"45 degrees, {words(wall.length_mm)} from long point to long point, {words(wall.short_mm)} from short "
            "point to short point",
        )

    @override
    def said(self, wall: Wall, say: Say) -> str:
        return (
            f"Mitred ends, 45°: {say(wall.length_mm)} long point to long point, {say(wall.short_mm)} inside."
        )

    @override
    def depth_said(self, wall: Wall, say: Say) -> str:
        return "MITRES: 45 degrees, from these lines out to the ends of the outer face."

    @override
    def length_note(self) -> str:
        return "length is from long point to long point"


class KeyedMitre(Mitre):
    """The same with keys, whose slots are sawn in the glued box."""

    joint: Joint = "mitre with keys"

    @override
    def key_depth_mm(self, box: BoxWished, units: Units) -> float:
        step = (
            MM_PER_INCH / 16.0 if units == "in" else 0.5
        )  # the half millimetre or sixteenth of an inch below
        return math.floor(KEY_SHARE * math.sqrt(2.0) * box.wall_mm / step) * step

    @override
    def key_heights_mm(self, box: BoxWished, free_mm: tuple[float, float], words: Say) -> tuple[float, ...]:
        low, high = free_mm
        count, thick = box.keys.count, box.keys.thickness_mm
        gap = (high - low) / (count + 1)
        if gap < 2.0 * thick:
            most = max(1, int((high - low) / (2.0 * thick)) - 1)
            raise ShopError(
                f"{count} keys {words(thick)} thick stand {words(gap)} apart in {words(high - low)} of wall. Between "
                f"keys as much wood must stay as a key is thick: use {most} at most, or thinner ones.",
                given=count,
                limit=most,
                nearest=most,
            )
        return tuple(low + gap * (k + 1) for k in range(count))

    @override
    def box_settings(self, wished: BoxWished, box: Box, words: Say) -> Iterator[tuple[str, str]]:
        heights = ", ".join(words(s) for s in box.walls[0].key_heights_mm)
        yield (
            "slots for the keys",
            f"{words(wished.keys.thickness_mm)} wide, {words(box.key_depth_mm)} deep from the corner with the box "
            f"cradled at 45 degrees; middles at {heights} from the lower edge",
        )

    @override
    def steps_when_glued(
        self, wished: BoxWished, box: Box, words: Say
    ) -> Iterator[tuple[str, Mapping[str, object]]]:
        yield "keys", {"count": wished.keys.count, "depth": words(box.key_depth_mm)}

    @override
    def wood_left(self, box: Box) -> Iterator[tuple[float, str]]:
        yield math.sqrt(2.0) * box.wall_mm - box.key_depth_mm, "behind the key slots"
