"""The lines the plan stands on: where the rows are, their slots, and the roots.

mm, x along the length from the left end, y across from the front edge. Rows are equal strips between the ends of the
outer slots' centre lines, row 1 in front; a slot may bow between its ends (`slot_curve.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

from kerftone.drum.design import Drum, Side, Tongue
from kerftone.drum.slot_curve import SlotCurve
from kerftone.errors import NeedsFitError, OutlineError, Remedy


@dataclass(frozen=True, kw_only=True)
class Layout:
    """The lines the drawing stands on, all in mm.

    slot_ys_mm: of the slots' ends. bows_mm: none where all are straight.
    """

    rows: int
    row_pitch_mm: float
    tongue_width_mm: float
    root_left_mm: float
    root_right_mm: float
    slot_ys_mm: tuple[float, ...]
    bows_mm: tuple[float, ...] = ()

    @property
    def half_kerf_mm(self) -> float:
        """Half of what the saw takes."""
        return 0.5 * (self.row_pitch_mm - self.tongue_width_mm)

    def slot(self, number: int) -> SlotCurve:
        """The centre line of a slot, counted from 0 at the front."""
        return SlotCurve(
            left_mm=self.root_left_mm,
            right_mm=self.root_right_mm,
            y_mm=self.slot_ys_mm[number],
            bow_mm=self.bows_mm[number] if self.bows_mm else 0.0,
        )

    def is_bowed(self, row: int) -> bool:
        """Whether a slot beside this row bows."""
        return any(self.bows_mm[row - 1 : row + 1])

    @property
    def span_mm(self) -> float:
        """From root line to root line."""
        return self.root_right_mm - self.root_left_mm

    def centre_mm(self, row: int) -> float:
        """The y of the centre line of this row; where slots bow, at the roots."""
        return 0.5 * (self.slot_ys_mm[row - 1] + self.slot_ys_mm[row])

    def centre_at_mm(self, row: int, x_mm: float) -> float:
        """The y half way between the edges of a tongue in this row, at this x.

        Parameters
        ----------
        row : int
            From 1 at the front.
        x_mm : float
            From the left end of the board, in mm.
        """
        return 0.5 * sum(self.edges_at_mm(row, x_mm)) if self.is_bowed(row) else self.centre_mm(row)

    def root_mm(self, side: Side) -> float:
        """The x of the root line on this side."""
        return self.root_left_mm if side == "left" else self.root_right_mm

    def edges_mm(self, row: int) -> tuple[float, float]:
        """The y of the front and the back edge of a tongue in this row, at its root."""
        return self.edges_at_mm(row, self.root_left_mm)

    def edges_at_mm(self, row: int, x_mm: float) -> tuple[float, float]:
        """The y of the front and the back edge of a tongue in this row, at this x.

        Parameters
        ----------
        row : int
            From 1 at the front.
        x_mm : float
            From the left end of the board, in mm.
        """
        half = self.half_kerf_mm
        return self.slot(row - 1).y_at(x_mm, half), self.slot(row).y_at(x_mm, -half)

    def clear_mm(self, row: int) -> tuple[float, float]:
        """The y between which a row has wood all along: where slots bow into it, between their bows."""
        at_root, mid = self._at_root_and_middle(row)
        return max(at_root[0], mid[0]), min(at_root[1], mid[1])

    def outermost_mm(self, row: int) -> tuple[float, float]:
        """The y between which all wood of a row's tongues lies, slots that bow out of it counted in full."""
        at_root, mid = self._at_root_and_middle(row)
        return min(at_root[0], mid[0]), max(at_root[1], mid[1])

    def _at_root_and_middle(self, row: int) -> tuple[tuple[float, float], tuple[float, float]]:
        middle = 0.5 * (self.root_left_mm + self.root_right_mm)
        return self.edges_mm(row), self.edges_at_mm(row, middle)

    def width_at_mm(self, row: int, x_mm: float) -> float:
        """How wide a tongue in this row is at this x, in mm.

        Parameters
        ----------
        row : int
            From 1 at the front.
        x_mm : float
            From the left end of the board, in mm.
        """
        front, back = self.edges_at_mm(row, x_mm)
        return back - front if self.is_bowed(row) else self.tongue_width_mm

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
            Across it from its front edge there, in mm; without it on its centre line.
        """
        assert tongue.side is not None and tongue.row is not None
        x = self.root_mm(tongue.side) + (from_root_mm if tongue.side == "left" else -from_root_mm)
        front, _ = self.edges_at_mm(tongue.row, x)
        return x, self.centre_at_mm(tongue.row, x) if from_edge_mm is None else front + from_edge_mm

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
        front, _ = self.edges_at_mm(tongue.row, x_mm)
        return along if tongue.side == "left" else -along, y_mm - front


def layout(drum: Drum) -> Layout:
    """Where rows, slots and root lines lie on this drum, mm.

    Raises NeedsFitError without all places, OutlineError where there are not as many bows as slots.
    """
    missing = [index for index, tongue in enumerate(drum.tongues, start=1) if tongue.row is None]
    if missing:
        raise needs_fit(drum, missing, "place")
    rows = max(tongue.row or 0 for tongue in drum.tongues)
    bows = drum.slots.bow_mm
    if bows and len(bows) != rows + 1:
        raise _wrong_count(bows, rows)
    pitch = (drum.top.width_mm - 2.0 * drum.slots.side_margin_mm) / rows
    return Layout(
        rows=rows,
        row_pitch_mm=pitch,
        tongue_width_mm=pitch - drum.slots.kerf_mm,
        root_left_mm=drum.slots.end_margin_mm,
        root_right_mm=drum.top.length_mm - drum.slots.end_margin_mm,
        slot_ys_mm=tuple(drum.slots.side_margin_mm + row * pitch for row in range(rows + 1)),
        bows_mm=bows,
    )


def _wrong_count(bows: tuple[float, ...], rows: int) -> OutlineError:
    return OutlineError(
        f"bow has {len(bows)} lengths. Tongues in {rows} row{'s' * (rows != 1)} lie between {rows + 1} slots, and "
        f"each slot has one, 0 where it is straight: write {rows + 1}, from front to back.",
        given=len(bows),
        limit=rows + 1,
        nearest=rows + 1,
        at=("slots", "bow"),
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
