"""How is a drum given away? One PDF: its picture, what to buy and to do, its templates at full size.

Nothing is solved: lengths are those of the drum file. Whether they sound the notes is what the prediction says.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kerftone import __version__
from kerftone.draw.portrait import portrait
from kerftone.draw.printing import printing
from kerftone.draw.share import Shared, share_pdf
from kerftone.drum.file import read_drum
from kerftone.drum.outline import outline
from kerftone.drum.paper import PAPER_NAMES, paper_of
from kerftone.drum.shop import Paper
from kerftone.files import atomic_write
from kerftone.jobs.draw_templates import printed_of
from kerftone.jobs.paths import check_target, drum_path
from kerftone.jobs.progress import Progress, job
from kerftone.shop.box import box_of
from kerftone.shop.measure import measure_of
from kerftone.shop.shop_plan import shop_plan
from kerftone.shop.shopping import shopping_of

NAME = "share.pdf"


@dataclass(frozen=True, kw_only=True)
class ShareRequest:
    """Which drum; the .pdf to write (None: share.pdf beside the drum file); the paper (None: the drum's own)."""

    drum: Path
    output: Path | None = None
    paper: Paper | None = None


@dataclass(frozen=True, kw_only=True)
class DrumShared:
    """The file written, its paper, and how many of its last pages are templates."""

    written: Path
    paper: Paper
    templates: int

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return {"written": [str(self.written)], "paper": self.paper, "template_pages": self.templates}


@job
def share_drum(request: ShareRequest, progress: Progress) -> DrumShared:
    """Write the PDF. Raises DrumFileError, OutlineError, NeedsFitError, ShopError, WriteError."""
    path = drum_path(request.drum)
    target = request.output or path.parent / NAME
    check_target(target, ending=".pdf", drum=path)
    drum = read_drum(path)
    paper = paper_of(drum, request.paper)
    templates = printed_of(drum, paper)
    plan = shop_plan(drum)
    pages = len(printing(templates, paper))
    progress("Drawing its picture and its templates.")
    shared = Shared(
        plan=plan,
        wants=shopping_of(plan, measure_of(drum), paper=PAPER_NAMES[paper], sheets=pages),
        picture=portrait(drum, outline(drum), box_of(drum)),
        templates=templates,
        paper=paper,
        made_by=f"Made with Kerftone {__version__}",
    )
    atomic_write(target, share_pdf(shared))
    return DrumShared(written=target, paper=paper, templates=pages)
