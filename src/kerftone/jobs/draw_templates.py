"""What is sawn and bored by? Full-size templates for the bench, and the same for machines and modellers.

Everything is made before the first file is written, so that a drum that cannot be drawn leaves the folder as
it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone.draw.box_sheets import box_cuts, box_sheets, sections_of
from kerftone.draw.cuts import FINE_MM, cuts_sheet
from kerftone.draw.dxf import dxf_file
from kerftone.draw.layout import layout_sheet
from kerftone.draw.pdf import pdf_file
from kerftone.draw.printing import printing
from kerftone.draw.sheet import Sheet
from kerftone.draw.stack import closely
from kerftone.draw.svg import svg_file
from kerftone.draw.underside import underside_sheet
from kerftone.drum.check import check_outline
from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.drum.paper import paper_of
from kerftone.drum.shop import Paper
from kerftone.errors import WriteError
from kerftone.jobs.paths import check_folder, drum_path, write_results
from kerftone.jobs.progress import Progress, job
from kerftone.shop.box import box_of
from kerftone.shop.pickup import check_disc

FORMATS = ("pdf", "svg", "dxf", "step")


@dataclass(frozen=True, kw_only=True)
class TemplatesRequest:
    """Which drum, the folder for the drawings, formats with commas between, the paper (None: the drum's own)."""

    drum: Path
    folder: Path
    formats: str = "pdf"
    paper: Paper | None = None


@dataclass(frozen=True, kw_only=True)
class TemplatesDrawn:
    """The files written; on what paper, and how many pages the PDF has (None: there is none)."""

    written: tuple[Path, ...]
    paper: Paper
    pages: int | None

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"written": [str(path) for path in self.written], "paper": self.paper, "pages": self.pages}


@job
def draw_templates(request: TemplatesRequest, progress: Progress) -> TemplatesDrawn:
    """Write a drum's templates into a folder."""
    formats = formats_of(request.formats)
    path = drum_path(request.drum)
    check_folder(request.folder)
    drum = read_drum(path)
    paper = paper_of(drum, request.paper)
    sheets = sheets_of(drum)
    made: dict[str, bytes] = {}
    for number, one in enumerate(formats):
        progress(f"Drawing: {one}.", number / len(formats))
        made |= files_of(one, drum, sheets, paper)
    pages = template_pages(drum, paper) if "pdf" in formats else None
    return TemplatesDrawn(written=write_results(request.folder, made), paper=paper, pages=pages)


def formats_of(words: str) -> tuple[str, ...]:
    """The formats named here, each once, in the order of FORMATS. Raises WriteError for any other."""
    asked = [word.strip().lower() for word in words.split(",") if word.strip()]
    strange = next((word for word in asked if word not in FORMATS), None)
    if strange is not None or not asked:
        given = f"The format {strange!r}" if strange is not None else "An empty list of formats"
        raise WriteError(
            f"{given} cannot be written. Drawings are written as pdf, svg, dxf and step: name some of these, "
            "such as pdf,dxf.",
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


def printed_of(drum: Drum, paper: Paper | None = None) -> tuple[Sheet, ...]:
    """The sheets that go on paper (None: the drum's own).

    Sections together, walls one under the other where that takes fewer pages, the underside only where there is
    something to find on it.
    """
    sheets = sheets_of(drum)
    pickup, bottom = drum.making.pickup, sheets.pop("bottom", None)
    if not drum.bores and (pickup is None or pickup.x_mm is None or pickup.on != "top"):
        del sheets["underside"]
    walls = [sheets.pop(name) for name in list(sheets) if name.startswith("wall")]
    title = f"{drum.name}: the walls, seen from inside"
    faces = closely(walls, paper_of(drum, paper), title=title)
    return (*sheets.values(), *faces, sections_of(drum), *(() if bottom is None else (bottom,)))


def template_pages(drum: Drum, paper: Paper) -> int:
    """How many sheets of paper the templates of this drum take."""
    return len(printing(printed_of(drum, paper), paper))


def files_of(kind: str, drum: Drum, sheets: dict[str, Sheet], paper: Paper) -> dict[str, bytes]:
    """The files of one format.

    Parameters
    ----------
    kind : str
        pdf, svg, dxf or step.
    drum : Drum
        As its file has it.
    sheets : dict[str, Sheet]
        The drawings by name; for svg.
    paper : Paper
        What is in the printer; for pdf.
    """
    if kind == "pdf":
        title = f"{drum.name}: templates at full size"
        return {"templates.pdf": pdf_file(printed_of(drum, paper), paper=paper, title=title)}
    if kind == "svg":
        return {f"{name}.svg": svg_file(sheet).encode("utf-8") for name, sheet in sheets.items()}
    if kind == "dxf":
        return {f"{name}.dxf": dxf_file(sheet) for name, sheet in _cuts(drum).items()}
    from kerftone.modal.step_file import box_step, top_step

    return {"top.step": top_step(drum), "box.step": box_step(box_of(drum))}


def _cuts(drum: Drum) -> dict[str, Sheet]:
    """The sheets for a machine: the top seen from above, and from below for boring; walls and bottom."""
    drawn = outline(drum, tolerance_mm=FINE_MM)
    tops = {"top": cuts_sheet(drum, drawn), "underside": cuts_sheet(drum, drawn, from_below=True)}
    return tops | box_cuts(drum)
