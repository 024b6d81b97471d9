"""Words that must not lie on one another: where one may still stand.

Boxes in mm on the sheet, (west, south, east, north). The first of several places that is free is taken; what fits
nowhere is left out or, if it must be said, put at its first place. Turned words are not looked at.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from kerftone.draw.sheet import Text, text_width_mm

BoxMm = tuple[float, float, float, float]
AIR_MM = 0.4
"""What stays free round each word."""


def text_box(text: Text) -> BoxMm:
    """The room that some words take."""
    wide = text_width_mm(text.words, text.height_mm, bold=text.bold)
    west = text.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * wide
    return west, text.at[1], west + wide, text.at[1] + text.height_mm


@dataclass
class FreeRoom:
    """What is taken already."""

    boxes: list[BoxMm] = field(default_factory=list)

    def take(self, box: BoxMm) -> None:
        """Keep this room from all that come after."""
        self.boxes.append(box)

    def is_free(self, box: BoxMm) -> bool:
        """Whether nothing stands in this room."""
        return not any(_meet(box, other) for other in self.boxes)

    def put(self, places: Iterable[Text], *, must: bool = False) -> Text | None:
        """The words at the first free one of these places, which is then taken; None if there is none.

        With `must`, the first place of all when none is free. Held by tests/draw/test_free_room.py.
        """
        first: Text | None = None
        for text in places:
            first = first or text
            if self.is_free(text_box(text)):
                self.take(text_box(text))
                return text
        if must and first is not None:
            self.take(text_box(first))
            return first
        return None


def _meet(one: BoxMm, other: BoxMm) -> bool:
    across = one[0] < other[2] + AIR_MM and other[0] < one[2] + AIR_MM
    return across and one[1] < other[3] + AIR_MM and other[1] < one[3] + AIR_MM
