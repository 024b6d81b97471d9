"""`kerftone draw` writes full-size templates in the formats asked for, or nothing."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pypdfium2
import pytest

Run = Callable[..., Any]


def test_without_more_words_it_is_a_pdf_on_a4(run: Run, wren: Path, tmp_path: Path) -> None:
    folder = tmp_path / "the templates" / "wren"
    ran = run("draw", wren.parent, "-o", folder)
    assert (ran.code, ran.fault) == (0, None)
    assert [p.name for p in folder.iterdir()] == ["templates.pdf"]
    assert "100 %" in ran.out and str(folder / "templates.pdf") in ran.out.replace("\n", " ")
    sizes = {tuple(sorted(round(pt / 72.0 * 25.4) for pt in page.get_size())) for page in _pdf(folder)}
    assert sizes == {(210, 297)}


def test_every_format_is_written_and_json_names_the_files(run: Run, wren: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    ran = run("draw", wren, "-o", folder, "--format", "STEP, dxf,svg,pdf", "--paper", "letter", "--json")
    names = [
        "templates.pdf", "top.svg", "underside.svg",
        "walls-front-back.svg", "walls-left-right.svg",
        "top.dxf", "underside.dxf", "walls-front-back.dxf", "walls-left-right.dxf", "top.step", "box.step",
    ]  # fmt: skip
    assert ran.document["written"] == [str(folder / name) for name in names]
    assert sorted(p.name for p in folder.iterdir()) == sorted(names)
    assert (ran.document["paper"], ran.document["pages"]) == ("letter", len(_pdf(folder)))
    document = ezdxf.read(io.StringIO((folder / "top.dxf").read_text("utf-8")))
    assert {"OUTLINE", "SLOTS", "BOX"} <= {e.dxf.layer for e in document.modelspace()}
    assert (folder / "box.step").read_text().startswith("ISO-10303-21;")


def test_an_inch_drum_gets_letter_paper_unless_told(run: Run, wren: Path, tmp_path: Path) -> None:
    text = wren.read_text()
    for old, new in (
        ('units = "mm"', 'units = "in"'), ("320.0", "12.5"), ("70.0", "2.75"), ("12.0", "0.5"), ("3.0\n", "0.125\n"),
        ("26.0", "1.0"), ("20.0", "0.75"), ("140.0", "5.5"), ("105.0", "4.125"), ("10.0", "0.375"), ("40.0", "1.5"),
    ):  # fmt: skip
        text = text.replace(old, new)
    wren.write_text(text)
    assert run("draw", wren, "-o", tmp_path / "a", "--json").document["paper"] == "letter"
    assert run("draw", wren, "-o", tmp_path / "b", "--paper", "a4", "--json").document["paper"] == "a4"


def test_the_paper_of_the_drum_file_is_drawn_on_unless_a_flag_says_otherwise(
    run: Run, wren: Path, tmp_path: Path
) -> None:
    wren.write_text(wren.read_text() + '\n[shop]\npaper = "letter"\n')
    assert run("draw", wren, "-o", tmp_path / "a", "--json").document["paper"] == "letter"
    sizes = {tuple(sorted(round(pt) for pt in page.get_size())) for page in _pdf(tmp_path / "a")}
    assert sizes == {(612, 792)}
    assert run("draw", wren, "-o", tmp_path / "b", "--paper", "a4", "--json").document["paper"] == "a4"


@pytest.mark.refusal
@pytest.mark.parametrize(
    "old, new, options, words",
    [
        ("", "", ["--format", "pdf,gif"], "'gif' cannot be written"),
        ("", "", ["--format", ","], "pdf, svg, dxf and step"),
        ("length = 140.0", "", [], "kerftone fit"),
        ("length = 140.0", "length = 200.0", ["--format", "svg,step"], "take"),
    ],
)
def test_what_cannot_be_drawn_writes_nothing(
    run: Run, wren: Path, tmp_path: Path, old: str, new: str, options: list[str], words: str
) -> None:
    wren.write_text(wren.read_text().replace(old, new) if old else wren.read_text())
    ran = run("draw", wren, "-o", tmp_path / "out", *options)
    assert ran.code == 2 and ran.fault is None and words in ran.err
    assert len(ran.err.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.refusal
def test_a_file_is_not_taken_for_a_folder(run: Run, wren: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    ran = run("draw", wren, "-o", tmp_path / "taken")
    assert ran.code == 2 and "cannot be a folder" in ran.err
    assert (tmp_path / "taken").read_text() == "mine"


def _pdf(folder: Path) -> Any:
    return list(pypdfium2.PdfDocument(folder / "templates.pdf"))
