"""`kerftone layout`: the top in plan, at true size."""

from __future__ import annotations

from pathlib import Path

from kerftone.cli.place import check_target, drum_file
from kerftone.cli.screen import emit, show
from kerftone.draw.layout import layout_sheet
from kerftone.draw.svg import svg_file
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.files import atomic_write


def run(given: Path, output: Path, *, as_json: bool) -> None:
    """Write the drawing of a drum's top into an SVG file."""
    path = drum_file(given)
    check_target(output, ending=".svg", drum=path)
    drum = read_drum(path)
    atomic_write(output, layout_bytes(drum))
    if as_json:
        emit({"written": [str(output)]})
        return
    show(f"Wrote {output}. Print it at 100 % and check its bar with a rule.")


def layout_bytes(drum: Drum) -> bytes:
    """The drawing at full size, as a file. Raises OutlineError for a top that cannot be sawn."""
    check_outline(drum)
    return svg_file(layout_sheet(drum, outline(drum))).encode("utf-8")
