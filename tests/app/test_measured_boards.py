"""Measured boards beside the drums: made, tapped, fitted, and taken for a drum's top."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kerftone.app.drum_folders import Shelf
from kerftone.app.measured_boards import Boards
from kerftone.app.request_guard import MOST_SOUND_BYTES
from kerftone.drum.board_file import read_board
from kerftone.drum.file import read_drum
from kerftone.errors import KerftoneError

DRUM = "/api/drum/Wren"
NEW = {
    "do": "new",
    "name": "cherry 7",
    "wood": "cherry",
    "length": "600",
    "width": "150",
    "thickness": "16",
    "mass": "806 g",
    "unit": "mm",
}


def do(client: TestClient, **sent: Any) -> Any:
    return client.post(f"{DRUM}/board", json=sent)


def one(client: TestClient) -> dict[str, Any]:
    (found,) = client.get(f"{DRUM}/boards").json()["boards"]
    return dict(found)


def test_a_board_is_weighed_tapped_and_known_better_tap_by_tap(client: TestClient, drums: Path) -> None:
    assert do(client, **NEW).json()["name"] == "cherry 7"
    assert one(client)["constants"] is None and "along" in one(client)["how"]
    spreads = []
    for hz, motion in (("251,5", "along"), ("190", "twisting")):
        do(client, do="tap", name="cherry 7", hz=hz, motion=motion)
        spreads.append(one(client)["constants"]["e_l_gpa"][1])
    assert spreads[1] < spreads[0]
    kept = read_board(drums / "boards" / "cherry 7.toml")
    assert [(tap.hz, tap.motion) for tap in kept.taps] == [(251.5, "along"), (190.0, "twisting")]
    assert kept.mass_g == 806.0
    assert client.get("/").text.count("/drum/") == 2  # a folder of boards is no drum


def test_a_drums_top_is_sawn_from_a_board_and_heard_in_it_before(client: TestClient, drums: Path) -> None:
    do(client, **NEW)
    do(client, do="tap", name="cherry 7", hz="251.5", motion="along")
    told = client.post(f"{DRUM}/other", json={"board": "cherry 7"}).json()
    assert told["wood"] == "cherry, black"
    board = one(client)
    wish = {"do": "board", "file": board["file"], "cut": board["cut"]}
    state = client.post(f"{DRUM}/change", json={"changes": [wish]}).json()
    assert state["drum"]["top"]["board"] == "../boards/cherry 7.toml"
    assert state["undo"] == "the top from the board cherry 7"
    assert client.post(f"{DRUM}/undo", json={}).json()["drum"]["top"]["board"] is None
    client.post(f"{DRUM}/redo", json={})
    before = client.get(DRUM).json()["revision"]
    do(client, do="tap", name="cherry 7", hz="700", motion="unknown")
    assert client.get(DRUM).json()["revision"] > before  # it is looked at again
    client.get(DRUM)
    assert read_drum(drums / "Wren" / "drum.toml").top.wood == "cherry, black"


def test_there_is_a_drawing_of_each_hold(client: TestClient) -> None:
    do(client, **NEW)
    drawn = {client.get(f"{DRUM}/hold/cherry%207/{m}").text for m in ("along", "twisting", "across")}
    assert len(drawn) == 3 and all(one.startswith("<svg") for one in drawn)
    assert client.get(f"{DRUM}/hold/cherry%207/sideways").status_code == 404


@pytest.mark.refusal
@pytest.mark.parametrize(
    "sent, words",
    [
        (NEW | {"mass": "heavy"}, "mass"),
        (NEW | {"wood": "cardboard"}, "cardboard"),
        (NEW | {"length": "long"}, "long"),
        ({"do": "tap", "name": "none", "hz": "200"}, "no board"),
    ],
)
def test_what_cannot_be_is_refused_in_words(client: TestClient, sent: dict[str, Any], words: str) -> None:
    answer = do(client, **sent)
    assert answer.status_code == 422 and words in answer.json()["error"]["message"]


@pytest.mark.refusal
def test_a_tone_that_is_no_number_is_refused(client: TestClient) -> None:
    do(client, **NEW)
    assert "no number" in do(client, do="tap", name="cherry 7", hz="high").json()["error"]["message"]
    assert do(client, do="tap", name="cherry 7", hz=" ").status_code == 422
    assert do(client, **NEW).status_code == 422  # one of that name is there already


def test_a_link_is_no_board_and_one_drum_alone_has_its_boards_in_its_own_folder(
    drums: Path, tmp_path: Path
) -> None:
    (drums / "boards").mkdir()
    (tmp_path / "b.toml").write_text("x = 1")
    (drums / "boards" / "b.toml").symlink_to(tmp_path / "b.toml")
    kept = Boards(Shelf.at(drums), drums / "Wren" / "drum.toml")
    assert kept.names() == []
    with pytest.raises(KerftoneError, match="no board"):
        kept.file("../Wren/drum")
    alone = Boards(Shelf.at(drums / "Wren"), drums / "Wren" / "drum.toml")
    assert alone.folder == drums / "Wren" / "boards"


def test_a_recording_may_be_long_and_nothing_else(client: TestClient, drums: Path) -> None:
    do(client, **NEW)
    heard = f"{DRUM}/board/cherry%207/heard"
    found = client.post(f"{heard}?motion=along", content=b"x" * 1_000_000)
    assert found.status_code == 200 and one(client)["taps"] == [{"hz": 301.0, "motion": "along"}]
    assert client.post(heard, content=b"x" * (MOST_SOUND_BYTES + 1)).status_code == 413
    assert client.post(f"{DRUM}/board", content=b"x" * 1_000_000).status_code == 413
    assert client.post(f"{DRUM}/board/none/heard", content=b"x").status_code == 422
