"""`kerftone share` writes one PDF beside the drum, or where it is told, or nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

Run = Callable[..., Any]


def test_it_is_written_beside_the_drum_and_says_which_pages_are_templates(run: Run, wren: Path) -> None:
    ran = run("share", wren.parent)
    assert (ran.code, ran.fault) == (0, None)
    pages = len(pypdfium2.PdfDocument(wren.parent / "share.pdf"))
    templates = run("draw", wren, "-o", wren.parent / "t", "--json").document["pages"]
    assert f"Its last {templates} pages are the templates" in " ".join(ran.out.split())
    assert pages > templates + 4


def test_paper_and_place_can_be_chosen_and_json_names_them(run: Run, wren: Path, tmp_path: Path) -> None:
    target = tmp_path / "for a friend.pdf"
    ran = run("share", wren, "-o", target, "--paper", "letter", "--json")
    assert ran.document["written"] == [str(target)] and ran.document["paper"] == "letter"
    page = pypdfium2.PdfDocument(target)[0]
    assert [round(pt) for pt in page.get_size()] == [612, 792]


@pytest.mark.refusal
def test_without_lengths_nothing_is_written(run: Run, wren: Path) -> None:
    wren.write_text(wren.read_text().replace("length = 140.0", ""))
    ran = run("share", wren)
    assert ran.code == 2 and "has no length yet" in ran.err and "kerftone fit" in ran.err
    assert not (wren.parent / "share.pdf").exists()


@pytest.mark.refusal
def test_a_file_that_is_no_pdf_is_refused(run: Run, wren: Path, tmp_path: Path) -> None:
    ran = run("share", wren, "-o", tmp_path / "share.doc")
    assert ran.code == 2 and "does not end in .pdf" in ran.err
