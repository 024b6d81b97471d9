"""`kerftone draw`: full-size templates for the bench, and the same for machines and modellers.

Everything is made before the first file is written, so that a drum that cannot be drawn leaves the folder as
it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kerftone.cli.place import check_folder, drum_file, make_folder
from kerftone.cli.screen import emit, show
from kerftone.draw.box_sheets import box_cuts, box_sheets
from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.draw.layout import layout_sheet
from kerftone.draw.paper import tiling
from kerftone.draw.pdf import pdf_file
from kerftone.draw.sheet import Sheet
from kerftone.draw.svg import svg_file
from kerftone.draw.underside import underside_sheet
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.drum.paper import PAPER_NAMES, paper_of
from kerftone.drum.shop import Paper
from kerftone.errors import WriteError
from kerftone.files import atomic_write
from kerftone.shop.box import box_of
from kerftone.shop.pickup import check_disc

FORMATS = ("pdf", "svg", "dxf", "step")


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What was asked for: formats with commas between, and the paper, None for the drum's own."""

    formats: str
    paper: Paper | None = None


def run(given: Path, folder: Path, wanted: Wanted, *, as_json: bool) -> None:
    """Write a drum's templates into a folder."""
    formats = formats_of(wanted.formats)
    path = drum_file(given)
    check_folder(folder)
    drum = read_drum(path)
    paper = paper_of(drum, wanted.paper)
    sheets = sheets_of(drum)
    made: dict[str, bytes] = {}
    for one in formats:
        made |= _made(one, drum, sheets, paper)
    make_folder(folder)
    for name, data in made.items():
        atomic_write(folder / name, data)
    pages = sum(tiling(sheet, paper).pages for sheet in sheets.values()) if "pdf" in formats else None
    if as_json:
        emit({"written": [str(folder / name) for name in made], "paper": paper, "pages": pages})
        return
    for name in made:
        show(f"Wrote {folder / name}.")
    if pages is not None:
        show(
            f"templates.pdf has {pages} {PAPER_NAMES[paper]} pages. Print it at 100 % "
            "and check the bars on a page with a rule before taping.",
            wrap=True,
        )


def formats_of(words: str) -> tuple[str, ...]:
    """The formats named here, each once, in the order of FORMATS. Raises WriteError for any other."""
    asked = [word.strip().lower() for word in words.split(",") if word.strip()]
    strange = next((word for word in asked if word not in FORMATS), None)
    if strange is not None or not asked:
        said = f"The format {strange!r}" if strange is not None else "An empty list of formats"
        raise WriteError(
            f"{said} cannot be written. Drawings are written as pdf, svg, dxf and step: name some of these, "
            "such as --format pdf,dxf.",
            given=words,
            nearest=FORMATS,
        )
    return tuple(one for one in FORMATS if one in asked)


def sheets_of(drum: Drum) -> dict[str, Sheet]:
    """The sheets to print, by file name. Raises OutlineError for a top that cannot be sawn."""
    check_outline(drum)
    drawn = outline(drum, tolerance_mm=FINE_MM)
    check_disc(drum, drawn)
    tops = {"top": layout_sheet(drum, drawn), "underside": underside_sheet(drum, drawn)}
    return tops | box_sheets(drum)


def _made(kind: str, drum: Drum, sheets: dict[str, Sheet], paper: Paper) -> dict[str, bytes]:
    """The files of one format."""
    if kind == "pdf":
        title = f"{drum.name}: templates at full size"
        return {"templates.pdf": pdf_file(tuple(sheets.values()), paper=paper, title=title)}
    if kind == "svg":
        return {f"{name}.svg": svg_file(sheet).encode("utf-8") for name, sheet in sheets.items()}
    if kind == "dxf":
        return {f"{name}.dxf": dxf_file(sheet) for name, sheet in _cuts(drum).items()}
    from kerftone.modal.step import box_step, top_step

    return {"top.step": top_step(drum), "box.step": box_step(box_of(drum))}


def _cuts(drum: Drum) -> dict[str, Sheet]:
    """The sheets for a machine: the top seen from above, and from below for boring; walls and bottom."""
    drawn = outline(drum, tolerance_mm=FINE_MM)
    tops = {"top": cuts_sheet(drum, drawn), "underside": cuts_sheet(drum, drawn, from_below=True)}
    return tops | box_cuts(drum)
