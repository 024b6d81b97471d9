"""The papers of a drum, made but not written: booklet, templates, files for machines, or all of them in one zip.

For a face that shows them first and has them saved where the maker says.
"""

from __future__ import annotations

import io
import zipfile
from dataclasses import asdict, dataclass
from typing import Any, Literal

from kerftone.drum.design import Drum
from kerftone.drum.paper import paper_of
from kerftone.jobs.draw_templates import files_of, sheets_of
from kerftone.jobs.plan_shop import check_document, heard_of, plan_document, results
from kerftone.jobs.progress import Progress, job
from kerftone.jobs.shaken_places import STROKE_M_S
from kerftone.shop.shop_plan import Heard, ShopPlan, shop_plan

Kind = Literal["booklet", "pdf", "svg", "dxf", "step", "all"]
PICTURE_DPI = 90.0
"""Fine enough to read the words, own judgement."""
DATE = (1980, 1, 1, 0, 0, 0)
"""The date of every file in the zip, so that the same drum gives the same bytes."""


@dataclass(frozen=True, kw_only=True)
class PapersRequest:
    """Which drum, its file's text, and which papers; "all" is one zip with everything."""

    drum: Drum
    text: str
    kind: Kind


@dataclass(frozen=True, kw_only=True)
class PapersPrinted:
    """The files, by name; pages: pictures of the pages of those that are printed, as PNG."""

    files: dict[str, bytes]
    pages: tuple[bytes, ...] = ()

    def document(self) -> dict[str, Any]:
        """As JSON, without the bytes."""
        return {"files": sorted(self.files)}


@job
def print_papers(request: PapersRequest, progress: Progress) -> PapersPrinted:
    """Make the papers. Raises ShopError, OutlineError and NeedsFitError."""
    drum, kind = request.drum, request.kind
    if kind == "all":
        return PapersPrinted(files={f"{_plain(drum.name)}.zip": _zip(_everything(request, progress))})
    if kind == "booklet":
        progress("Writing the booklet.", 0.1)
        files = results(shop_plan(drum, heard_of(drum, progress)))
    else:
        progress(f"Drawing: {kind}.", 0.1)
        files = files_of(kind, drum, sheets_of(drum), paper_of(drum))
    printed = next((data for name, data in files.items() if name.endswith(".pdf")), None)
    return PapersPrinted(files=files, pages=() if printed is None else page_pictures(printed, progress))


def page_pictures(pdf: bytes, progress: Progress) -> tuple[bytes, ...]:
    """The pages of a PDF as PNG pictures, to be looked at before they are printed."""
    import pypdfium2

    pictures = []
    document = pypdfium2.PdfDocument(pdf)
    try:
        for number, page in enumerate(document):
            progress("Making pictures of the pages.", 0.4 + 0.6 * number / len(document))
            stream = io.BytesIO()
            page.render(scale=PICTURE_DPI / 72.0).to_pil().save(stream, "PNG", optimize=True)
            pictures.append(stream.getvalue())
    finally:
        document.close()
    return tuple(pictures)


def _everything(request: PapersRequest, progress: Progress) -> dict[str, bytes]:
    from kerftone.jobs.air_asked import USUAL_AIR
    from kerftone.jobs.prediction import NOTHING_KEPT
    from kerftone.jobs.preview_sound import preview_of, with_overtones
    from kerftone.sound.wav import wav_bytes

    drum = request.drum
    shop_plan(drum)  # a refusal of the shop's comes before any long work
    files = {"drum.toml": request.text.encode("utf-8")}
    progress("Solving the drum for its sound.", 0.1)
    files["drum.wav"] = wav_bytes(preview_of(with_overtones(drum, NOTHING_KEPT, USUAL_AIR)))
    progress("Writing the booklet.", 0.6)
    files |= results(shop_plan(drum, heard_of(drum, progress)))
    sheets = sheets_of(drum)
    for share, kind in ((0.75, "pdf"), (0.85, "svg"), (0.9, "dxf"), (0.95, "step")):
        progress(f"Drawing: {kind}.", share)
        files |= files_of(kind, drum, sheets, paper_of(drum))
    return files


def _zip(files: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in sorted(files.items()):
            packed.writestr(zipfile.ZipInfo(name, DATE), data, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _plain(name: str) -> str:
    """The drum's name as a file may be called anywhere."""
    words = "".join(char if char.isascii() and (char.isalnum() or char in " -") else " " for char in name)
    return " ".join(words.split())[:60] or "drum"


@dataclass(frozen=True, kw_only=True)
class ShopLookRequest:
    """Which drum."""

    drum: Drum


@dataclass(frozen=True, kw_only=True)
class ShopLooked:
    """The shop plan, without what needs a solve."""

    plan: ShopPlan

    def document(self) -> dict[str, Any]:
        """As JSON, each check with the change that mends it, if there is one."""
        checks = [
            check_document(check) | {"by": None if check.by is None else asdict(check.by)}
            for check in self.plan.checks
        ]
        return plan_document(self.plan) | {"checks": checks}


@job
def look_at_shop(request: ShopLookRequest, progress: Progress) -> ShopLooked:
    """Parts, checks and steps of a drum, at once. Raises ShopError, OutlineError."""
    from kerftone.sound.mallet import mallet_named, rigid_contact_ms

    del progress  # it is there at once
    drum = request.drum
    contact = rigid_contact_ms(mallet_named(drum.making.mallets.ball), drum.top, speed_m_s=STROKE_M_S)
    return ShopLooked(plan=shop_plan(drum, Heard(contact_ms=contact)))
