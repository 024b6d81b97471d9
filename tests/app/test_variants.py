"""A variant is a copy of the drum's file beside it: kept, told apart, taken in its place with undo, dropped."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kerftone.app.variants import ENDING, Variants, differences
from kerftone.drum.file import parse_drum, read_drum
from kerftone.errors import KerftoneError

from ..drums import WREN

DRUM = "/api/drum/Wren"


def do(client: TestClient, **sent: Any) -> Any:
    return client.post(f"{DRUM}/variant", json=sent)


def thinner(client: TestClient) -> None:
    change = {"do": "set", "at": ["top", "thickness"], "mm": 10.0}
    assert client.post(f"{DRUM}/change", json={"changes": [change]}).status_code == 200


def test_a_variant_is_kept_and_said_to_differ_once_the_drum_is_changed(
    client: TestClient, drums: Path
) -> None:
    kept = do(client, do="keep", name="as it was").json()["variants"]
    assert [(one["name"], one["same"], one["differs"]) for one in kept] == [("as it was", True, [])]
    thinner(client)
    (listed,) = client.get(f"{DRUM}/variants").json()["variants"]
    assert not listed["same"] and listed["differs"] == ["thickness 12 mm, not 10 mm"]
    assert read_drum(drums / "Wren" / f"as it was{ENDING}").top.thickness_mm == 12.0
    assert client.get("/").text.count("/drum/Wren") == 1  # it is no drum of its own in the list


def test_a_variant_taken_is_a_step_that_can_be_undone(client: TestClient) -> None:
    do(client, do="keep", name="a")
    thinner(client)
    do(client, do="take", name="a")
    state = client.get(DRUM).json()
    assert state["drum"]["top"]["thickness_mm"] == 12.0 and state["undo"] == "variant a taken"
    state = client.post(f"{DRUM}/undo", json={}).json()
    assert state["drum"]["top"]["thickness_mm"] == 10.0


def test_a_variant_dropped_is_given_back_to_be_kept_again(client: TestClient, drums: Path) -> None:
    do(client, do="keep", name="a")
    text = (drums / "Wren" / f"a{ENDING}").read_text("utf-8")
    gone = do(client, do="drop", name="a").json()
    assert gone["variants"] == [] and not (drums / "Wren" / f"a{ENDING}").exists()
    do(client, do="keep", name="a", text=gone["text"])
    assert (drums / "Wren" / f"a{ENDING}").read_text("utf-8") == text


@pytest.mark.refusal
def test_two_of_one_name_are_refused_and_what_is_no_drum_is_not_kept(client: TestClient) -> None:
    do(client, do="keep", name="Thin")
    again = do(client, do="keep", name="thin")
    assert again.status_code == 422 and "already" in again.json()["error"]["message"]
    assert do(client, do="keep", name="b", text="name = 3").status_code == 422
    assert do(client, do="fold", name="b").status_code == 400
    assert do(client, do="take", name="none").status_code == 422


def test_names_and_links_lead_nowhere_else(drums: Path, tmp_path: Path) -> None:
    kept = Variants(drums / "Wren" / "drum.toml")
    assert kept.keep("../../out", WREN).path.parent == drums / "Wren"
    (tmp_path / "outside.toml").write_text(WREN)
    (drums / "Wren" / f"linked{ENDING}").symlink_to(tmp_path / "outside.toml")
    assert "linked" not in kept.names()
    with pytest.raises(KerftoneError, match="no variant"):
        kept.get("linked")


def test_a_spoilt_variant_is_listed_with_what_is_wrong(client: TestClient, drums: Path) -> None:
    (drums / "Wren" / f"bad{ENDING}").write_text("name = 3")
    (listed,) = client.get(f"{DRUM}/variants").json()["variants"]
    assert listed["name"] == "bad" and listed["trouble"]


def test_differences_are_told_in_the_first_ones_units() -> None:
    one = parse_drum(WREN)
    other = parse_drum(WREN.replace('wood = "cherry, black"', 'wood = "walnut, black"', 1))
    assert differences(one, other) == ["wood cherry, black, not walnut, black"]
    assert differences(one, one) == []


def test_a_variant_and_another_top_are_heard_with_the_phrase_asked_for(client: TestClient) -> None:
    do(client, do="keep", name="a")
    thinner(client)
    asked = {"variant": "a", "thickness": "3/8", "unit": "in", "played": [[0, 1, 1.0]]}
    told = client.post(f"{DRUM}/other", json=asked).json()
    assert told["thickness_mm"] == pytest.approx(9.525) and told["wood"] == "cherry, black"
    # the stub's sound is what it was asked for
    assert b"[[0, 1, 1.0]]" in client.get(told["sound"]).content
    own = client.post(f"{DRUM}/other", json={}).json()
    assert own["thickness_mm"] == 10.0
    assert client.post(f"{DRUM}/other", json={"thickness": "thin"}).status_code == 422
