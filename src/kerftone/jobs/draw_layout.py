"""How is the top sawn? The top in plan, at true size, as an SVG file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.draw.layout import layout_sheet
from kerftone.draw.svg import svg_file
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.files import atomic_write
from kerftone.jobs.paths import check_target, drum_path
from kerftone.jobs.progress import Progress, job


@dataclass(frozen=True, kw_only=True)
class LayoutRequest:
    """Which drum, and the .svg file to write."""

    drum: Path
    output: Path


@dataclass(frozen=True, kw_only=True)
class LayoutDrawn:
    """The file that was written."""

    written: Path

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"written": [str(self.written)]}


@job
def draw_layout(request: LayoutRequest, progress: Progress) -> LayoutDrawn:
    """Write the drawing of a drum's top. Raises DrumFileError, OutlineError, WriteError."""
    del progress  # it is there at once
    path = drum_path(request.drum)
    check_target(request.output, ending=".svg", drum=path)
    drum = read_drum(path)
    atomic_write(request.output, layout_bytes(drum))
    return LayoutDrawn(written=request.output)


def layout_bytes(drum: Drum) -> bytes:
    """The drawing at full size, as a file. Raises OutlineError for a top that cannot be sawn."""
    check_outline(drum)
    return svg_file(layout_sheet(drum, outline(drum))).encode("utf-8")
