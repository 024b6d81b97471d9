"""The ends of the tongues as drawn elsewhere, written into the drum file."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.drawn_ends import DrawnEnd, drawn_ends, with_ends
from kerftone.drum.edit import Change, edited
from kerftone.drum.file import parse_drum
from kerftone.drum.reading import read_text
from kerftone.drum.save import same_drum
from kerftone.drum.written import as_toml
from kerftone.errors import DrumFileError, OutlineError
from kerftone.files import write_together
from kerftone.jobs.drawing import read_drawing
from kerftone.jobs.paths import check_open, drum_path
from kerftone.jobs.progress import Progress, job
from kerftone.units import Units, format_length, from_mm


@dataclass(frozen=True, kw_only=True)
class EndsRequest:
    """Which drum and which drawing; units: of a drawing that names none; lengths: take those of the drawing too."""

    drum: Path
    drawing: Path
    units: Units | None = None
    lengths: bool = False


@dataclass(frozen=True, kw_only=True)
class EndsRead:
    """The drum as its file now has it, the ends that were found, the lines that are none, and what was written.

    kept: the file as it was before, in a copy beside it.
    """

    drum: Drum
    ends: tuple[DrawnEnd, ...]
    unused: int
    written: Path
    kept: Path

    def words(self) -> list[str]:
        """Which end went to which tongue, and what in the drawing is none."""
        said = []
        for end in self.ends:
            tongue = self.drum.tongues[end.tongue]
            drawn, kept = (
                format_length(mm, self.drum.units) for mm in (end.length_mm, tongue.length_mm or 0.0)
            )
            also = f"drawn {drawn} long, kept at {kept}" if drawn != kept else f"{kept} long"
            said.append(f"{tongue.place} {tongue.note}: {len(end.path)} points, {also}.")
        if self.unused:
            many = "s" * (self.unused != 1)
            said.append(f"{self.unused} other line{many} in the drawing: no end of a tongue, left out.")
        return said

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {
            "ends": [
                {
                    "tongue": end.tongue + 1,
                    "note": self.drum.tongues[end.tongue].note,
                    "place": self.drum.tongues[end.tongue].place,
                    "points": len(end.path),
                    "drawn_length_mm": round(end.length_mm, 3),
                    "length_mm": self.drum.tongues[end.tongue].length_mm,
                }
                for end in self.ends
            ],
            "unused_lines": self.unused,
            "written": [str(self.written), str(self.kept)],
        }


@job
def read_ends(request: EndsRequest, progress: Progress) -> EndsRead:
    """Find the ends in a drawing, say whose they are, and write them into the drum file.

    Raises DrawingError, OutlineError for ends that cannot be sawn, NeedsFitError while a tongue has no place.
    """
    progress("Reading the drawing.", 0.2)
    path = drum_path(request.drum)
    text = read_text(path)
    before = parse_drum(text, str(path))
    drawing = read_drawing(request.drawing, request.units)
    ends, unused = drawn_ends(before, drawing.on_board(before.top.length_mm, before.top.width_mm))
    if not ends:
        long, wide = (f"{from_mm(mm, before.units):g}" for mm in (before.top.length_mm, before.top.width_mm))
        raise OutlineError(
            f"None of the {unused} lines in {request.drawing.name} goes from one edge of a tongue to the other. An "
            "end does, with the board's left front corner at the drawing's lower left corner: draw a rectangle of "
            f"{long} by {wide} {before.units} where the board lies, if it lies elsewhere.",
            given=unused,
        )
    wanted = with_ends(before, ends, lengths=request.lengths)
    check_outline(wanted)
    check_open(path.parent)
    new = _with(text, before, wanted, ends)
    after = parse_drum(new, str(path))
    if not same_drum(after, wanted):
        raise DrumFileError(
            "the ends cannot be put in without changing something else. The file is left as it is: write each tongue "
            "under its own [[tongues]] header.",
            path=str(path),
        )
    kept = path.with_name(f"{path.stem}.before-ends{path.suffix}")
    write_together({kept: text.encode("utf-8"), path: new.encode("utf-8")})
    return EndsRead(drum=after, ends=ends, unused=unused, written=path, kept=kept)


def _with(text: str, before: Drum, wanted: Drum, ends: tuple[DrawnEnd, ...]) -> str:
    """The file's text with these ends, and with the lengths that are new."""
    changes = []
    for end in ends:
        points = [
            [*(round(from_mm(mm, before.units), 4) for mm in point[:2]), *point[2:]] for point in end.path
        ]
        changes.append(Change(at=("tongues", end.tongue, "end"), value=points))
        length = wanted.tongues[end.tongue].length_mm
        if length is not None and length != before.tongues[end.tongue].length_mm:
            changes.append(
                Change(at=("tongues", end.tongue, "length"), value=round(from_mm(length, before.units), 4))
            )
    try:
        return edited(text, changes)
    except tomllib.TOMLDecodeError:  # written as makers write: put into TOML line for line, comments and all
        return edited(as_toml(text).text, changes)
