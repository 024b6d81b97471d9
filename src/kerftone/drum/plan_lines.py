"""The straight lines the plan stands on: where the rows are, their slots, and the roots.

mm, x along the length from the left end, y across from the front edge. Rows are equal strips between the outer slots'
centre lines, row 1 in front.
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.drum.design import Drum, Side, Tongue
from kerftone.errors import NeedsFitError, Remedy


@dataclass(frozen=True, kw_only=True)
class Layout:
    """The straight lines the drawing stands on, all in mm."""

    rows: int
    row_pitch_mm: float
    tongue_width_mm: float
    root_left_mm: float
    root_right_mm: float
    slot_ys_mm: tuple[float, ...]

    @property
    def span_mm(self) -> float:
        """From root line to root line."""
        return self.root_right_mm - self.root_left_mm

    def centre_mm(self, row: int) -> float:
        """The y of the centre line of this row."""
        return 0.5 * (self.slot_ys_mm[row - 1] + self.slot_ys_mm[row])

    def root_mm(self, side: Side) -> float:
        """The x of the root line on this side."""
        return self.root_left_mm if side == "left" else self.root_right_mm

    def edges_mm(self, row: int) -> tuple[float, float]:
        """The y of the front and the back edge of a tongue in this row."""
        half_kerf = 0.5 * (self.row_pitch_mm - self.tongue_width_mm)
        return self.slot_ys_mm[row - 1] + half_kerf, self.slot_ys_mm[row] - half_kerf

    def spot_mm(
        self, tongue: Tongue, from_root_mm: float, from_edge_mm: float | None = None
    ) -> tuple[float, float]:
        """The x and y of a place on a tongue: along it from its root, across it from its front edge.

        Parameters
        ----------
        tongue : Tongue
            With its row and side.
        from_root_mm : float
            Along the tongue from its root line, in mm.
        from_edge_mm : float, optional
            Across it from its front edge, in mm; without it on its centre line.
        """
        assert tongue.side is not None and tongue.row is not None
        along = from_root_mm if tongue.side == "left" else -from_root_mm
        front, _ = self.edges_mm(tongue.row)
        y = self.centre_mm(tongue.row) if from_edge_mm is None else front + from_edge_mm
        return self.root_mm(tongue.side) + along, y

    def place_mm(self, tongue: Tongue, x_mm: float, y_mm: float) -> tuple[float, float]:
        """How far a spot of the board is from a tongue's root and from its front edge; `spot_mm` the other way.

        Parameters
        ----------
        tongue : Tongue
            With its row and side.
        x_mm : float
            From the left end of the board, in mm.
        y_mm : float
            From its front edge, in mm.
        """
        assert tongue.side is not None and tongue.row is not None
        along = x_mm - self.root_mm(tongue.side)
        return along if tongue.side == "left" else -along, y_mm - self.edges_mm(tongue.row)[0]


def layout(drum: Drum) -> Layout:
    """Where rows, slots and root lines lie on this drum, mm. Raises NeedsFitError without all places."""
    missing = [index for index, tongue in enumerate(drum.tongues, start=1) if tongue.row is None]
    if missing:
        raise needs_fit(drum, missing, "place")
    rows = max(tongue.row or 0 for tongue in drum.tongues)
    pitch = (drum.top.width_mm - 2.0 * drum.slots.side_margin_mm) / rows
    return Layout(
        rows=rows,
        row_pitch_mm=pitch,
        tongue_width_mm=pitch - drum.slots.kerf_mm,
        root_left_mm=drum.slots.end_margin_mm,
        root_right_mm=drum.top.length_mm - drum.slots.end_margin_mm,
        slot_ys_mm=tuple(drum.slots.side_margin_mm + row * pitch for row in range(rows + 1)),
    )


def needs_fit(drum: Drum, numbers: list[int], what: str) -> NeedsFitError:
    """The refusal of a drum whose tongues, these by their numbers, still lack a place or a length.

    Parameters
    ----------
    drum : Drum
        The drum.
    numbers : list[int]
        Of the tongues, from 1.
    what : str
        What they lack: "place" or "length".
    """
    names = ", ".join(f"{number} ({drum.tongues[number - 1].note})" for number in numbers)
    many = len(numbers) > 1
    return NeedsFitError(
        f"{'Tongues' if many else 'Tongue'} {names} {'have' if many else 'has'} no {what} yet. The top "
        f"cannot be drawn without: have the {what} found, or write it in the drum file.",
        given=tuple(numbers),
        remedy=Remedy.FIND_LENGTHS,
    )
