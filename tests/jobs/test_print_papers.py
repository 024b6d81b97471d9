"""Papers are made without being written, and looked at as pages."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import pytest

from kerftone.drum.file import parse_drum
from kerftone.errors import NeedsFitError
from kerftone.jobs import preview_sound
from kerftone.jobs.print_papers import PapersRequest, ShopLookRequest, look_at_shop, print_papers

from ..drums import REED, WREN

PNG = b"\x89PNG\r\n\x1a\n"


def request(kind: Any) -> PapersRequest:
    return PapersRequest(drum=parse_drum(REED), text=REED, kind=kind)


def test_the_booklet_comes_with_a_picture_of_each_of_its_pages() -> None:
    import pypdfium2

    done = print_papers(request("booklet"))
    assert set(done.files) == {"build.pdf", "cutlist.csv", "build.json"}
    assert len(done.pages) == len(pypdfium2.PdfDocument(done.files["build.pdf"]))
    assert all(page.startswith(PNG) for page in done.pages)


@pytest.mark.parametrize(
    "kind, names", [("svg", {"top.svg"}), ("dxf", {"top.dxf"}), ("step", {"top.step", "box.step"})]
)
def test_files_for_machines_are_those_of_the_commands(kind: str, names: set[str]) -> None:
    done = print_papers(request(kind))
    assert names <= set(done.files) and done.pages == ()


def test_the_plan_to_give_away_is_one_zip_with_everything(
    monkeypatch: pytest.MonkeyPatch, predicted: Any
) -> None:
    monkeypatch.setattr(preview_sound, "with_overtones", lambda *given: predicted)
    drum = parse_drum(WREN)
    done = print_papers(PapersRequest(drum=drum, text=WREN, kind="all"))
    packed = zipfile.ZipFile(io.BytesIO(done.files["Wren.zip"]))
    assert packed.testzip() is None
    expected = "drum.toml drum.wav build.pdf cutlist.csv templates.pdf top.svg top.dxf top.step"
    assert set(expected.split()) <= set(packed.namelist())
    assert packed.read("drum.toml").decode() == WREN


def test_the_shops_look_needs_no_solve_and_refuses_what_cannot_be_made() -> None:
    assert look_at_shop(ShopLookRequest(drum=parse_drum(REED))).document()["parts"]


def test_templates_of_a_drum_without_lengths_are_refused() -> None:
    text = WREN.replace("length = 140.0\n", "").replace("length = 105.0\n", "")
    with pytest.raises(NeedsFitError):
        print_papers(PapersRequest(drum=parse_drum(text), text=text, kind="svg"))
