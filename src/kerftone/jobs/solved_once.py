"""One drum for the questions of one piece of work: solved at the first that needs it, and only then."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from kerftone.drum.design import Drum

if TYPE_CHECKING:
    from kerftone.modal.solve import Solution


@dataclass
class SolvedOnce:
    """The drum, how many modes it is solved for, and its solve where there is one."""

    drum: Drum
    count: int
    live: Solution | None = field(default=None, repr=False)

    def solution(self) -> Solution:
        """The drum solved. Raises OutlineError and KerftoneError."""
        if self.live is None:
            from kerftone.modal.solve import solve

            self.live = solve(self.drum, self.count)
        return self.live

    def notes_hz(self) -> tuple[float, ...]:
        """What each tongue sounds in vacuo."""
        from kerftone.modal.notes import read_notes

        return tuple(note.hz for note in read_notes(self.drum, self.solution().modes()))
