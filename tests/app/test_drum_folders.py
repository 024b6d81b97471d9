"""Drums are found by their names in one folder, and nothing outside it is."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest
from hypothesis import given
from hypothesis import strategies as st
from starlette.testclient import TestClient

from kerftone.app.drum_folders import NoSuchDrum, Shelf

from ..drums import WREN

ODD = [
    "50% walnut",
    "a?b=c",
    "semi;colon",
    "Ünïcode ♯",
    "quote'",
    'double"',
    "a&b",
    "hash#tag",
    "  spaced  ",
    "'; --",
]


def add(root: Path, name: str) -> None:
    (root / name).mkdir()
    (root / name / "drum.toml").write_text(WREN, "utf-8")


@pytest.mark.parametrize("name", ODD)
def test_a_drum_with_an_odd_name_is_listed_opened_and_changed(
    client: TestClient, drums: Path, name: str
) -> None:
    add(drums, name)
    address = quote(name, safe="")
    assert f"/drum/{address}" in client.get("/").text
    assert client.get(f"/drum/{address}").status_code == 200
    changes = [{"do": "set", "at": ["name"], "value": name}]
    done = client.post(f"/api/drum/{address}/change", json={"changes": changes})
    assert done.json()["drum"]["name"] == name


@pytest.mark.parametrize(
    "name",
    [
        "..",
        "../Wren",
        "../../etc",
        ".",
        "Wren/../Wren",
        "/etc",
        "Wren\\..",
        "no such",
        "\x00",
        "Wren\n",
        ".hid",
    ],
)
def test_what_is_no_name_in_the_folder_is_not_found(client: TestClient, drums: Path, name: str) -> None:
    add(drums, ".hid")
    outside = drums.parent / "outside"
    outside.mkdir()
    (outside / "drum.toml").write_text(WREN)
    assert client.get(f"/api/drum/{quote(name, safe='')}").status_code == 404
    with pytest.raises(NoSuchDrum):
        Shelf.at(drums).file(name)


@pytest.mark.parametrize(
    "path", ["/static/../site.py", "/static/%2e%2e/site.py", "/static/..%2fsite.py", "/static//etc/passwd"]
)
def test_the_pages_own_files_are_not_a_way_out(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "import" not in answer.text


def test_a_link_out_of_the_folder_is_not_followed(client: TestClient, drums: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "drum.toml").write_text(WREN)
    (drums / "linked folder").symlink_to(outside)
    (drums / "linked file").mkdir()
    (drums / "linked file" / "drum.toml").symlink_to(outside / "drum.toml")
    assert Shelf.at(drums).names() == ["Reed 2", "Wren"]
    assert client.get("/api/drum/linked%20folder").status_code == 404
    assert client.get("/api/drum/linked%20file").status_code == 404


def test_a_drums_own_folder_shows_that_drum_alone(drums: Path) -> None:
    shelf = Shelf.at(drums / "Wren")
    assert shelf.names() == ["Wren"]
    with pytest.raises(NoSuchDrum):
        shelf.file("Reed 2")


@given(st.text(max_size=80))
def test_a_new_drums_folder_is_one_plain_name_in_the_folder(name: str) -> None:
    folder = Shelf(root=Path("/nowhere/at all")).free_folder(name)
    assert folder.parent == Path("/nowhere/at all")
    assert folder.name == folder.name.strip(" .") != ""
    assert not set(folder.name) & set('/\\:*?"<>|\0\n\r')
    assert len(folder.name) <= 66


def test_a_second_drum_of_a_name_gets_a_number(drums: Path) -> None:
    assert Shelf.at(drums).free_folder("Wren").name == "Wren 2"
    assert Shelf.at(drums).free_folder("CON").name == "drum CON"
