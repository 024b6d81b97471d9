"""A slot that bows: an arc of a circle through its two ends on the root lines and its bowed middle.

The saw cuts a kerf along that arc, so both edges of the slot are arcs of the same middle, half a kerf nearer and
further, as far as the root lines. mm; x along the board, y across from the front edge; a bow is positive towards the
back. Where areas and meshes need straight pieces, the whole edge is one line of chords from root line to root line:
whatever ends on it shares its corners. Held by tests/drum/test_slot_curve.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kerftone.drum.arcs import Point, Segment, same_area_chords, segment_chords

CHORD_SHARE = 0.125
"""The chords of a slot stray from it by this share of what others may: tongues end between them. Own judgement."""
APART_MM = 0.5
"""A corner of the chords nearer than this to where a tongue ends is left out: no cell may be so small."""


@dataclass(frozen=True, kw_only=True)
class SlotCurve:
    """The centre line of a slot: its ends at x `left_mm` and `right_mm`, both at y `y_mm`, and its bow."""

    left_mm: float
    right_mm: float
    y_mm: float
    bow_mm: float

    @property
    def _half(self) -> float:
        return 0.5 * (self.right_mm - self.left_mm)

    @property
    def radius_mm(self) -> float:
        """Of the centre line."""
        rise = abs(self.bow_mm)
        return (self._half**2 + rise**2) / (2.0 * rise)

    def y_at(self, x_mm: float, off_mm: float = 0.0) -> float:
        """Where the line runs that lies so far beside the centre line, towards the back.

        Parameters
        ----------
        x_mm : float
            From the left end of the board, in mm.
        off_mm : float, optional
            Beside the centre line, square to it, positive towards the back, in mm.
        """
        if not self.bow_mm:
            return self.y_mm + off_mm
        way = math.copysign(1.0, self.bow_mm)
        along = x_mm - 0.5 * (self.left_mm + self.right_mm)
        radius = self.radius_mm + way * off_mm
        # As a fall from the top of the arc: the middle of a faint bow's circle is too far away to start from.
        fall = along**2 / (radius + math.sqrt(max(radius**2 - along**2, 0.0)))
        return self.y_mm + self.bow_mm + off_mm - way * fall

    def piece(self, from_mm: float, to_mm: float, off_mm: float) -> Segment:
        """That line between two x, as it is drawn and cut.

        Parameters
        ----------
        from_mm : float
            The x where it begins, in mm.
        to_mm : float
            The x where it ends, in mm.
        off_mm : float
            Beside the centre line, towards the back, in mm.
        """
        ends = [(x, self.y_at(x, off_mm)) for x in (from_mm, to_mm)]
        if not self.bow_mm:
            return Segment(start=ends[0], end=ends[1])
        way = math.copysign(1.0, self.bow_mm)
        middle, radius = 0.5 * (self.left_mm + self.right_mm), self.radius_mm + way * off_mm
        angles = [math.asin(max(-1.0, min((x - middle) / radius, 1.0))) for x in (from_mm, to_mm)]
        return Segment(start=ends[0], end=ends[1], bulge=-way * math.tan(0.25 * (angles[1] - angles[0])))

    def chords(self, off_mm: float, tolerance_mm: float, *, same_area: bool = False) -> list[Point]:
        """The corners of straight pieces along that line, from root line to root line.

        Parameters
        ----------
        off_mm : float
            Beside the centre line, towards the back, in mm.
        tolerance_mm : float
            How far other chords of the drawing stray from their curves; these keep to a share of it.
        same_area : bool, optional
            Their inner corners moved so that they enclose what the arc does.
        """
        one = self.piece(self.left_mm, self.right_mm, off_mm)
        sagitta = CHORD_SHARE * tolerance_mm
        return same_area_chords((one,), sagitta) if same_area else segment_chords(one, sagitta)
