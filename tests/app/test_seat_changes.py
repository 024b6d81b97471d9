"""Every way in which top and bottom can sit is reached from every other with one wish, and the drum then holds."""

from __future__ import annotations

from itertools import permutations

import pytest

from kerftone.app.wishes import WishError, changes_of
from kerftone.drum.check import check_outline
from kerftone.drum.edit import edited
from kerftone.drum.file import parse_drum

from ..drums import REED

INCHES = REED.replace("[top]", 'units = "in"\n[top]', 1)
for mm, inches in (
    ("400.0", "15.75"),
    ("180.0", "7.1"),
    ("14.0", "0.55"),
    ("45.0", "1.78"),
    ("32.0", "1.26"),
    ("150.0", "5.9"),
    ("110.0", "4.3"),
    ("130.0", "5.1"),
    ("95.0", "3.74"),
    ("16.0", "0.63"),
    ("90.0", "3.5"),
    ("8.0", "0.3"),
    ("3.0", "0.12"),
):
    INCHES = INCHES.replace(f"= {mm}\n", f"= {inches}\n")


def done(text: str, wish: dict[str, str]) -> str:
    return edited(text, changes_of(parse_drum(text), [wish])[0])


@pytest.mark.parametrize("text", [REED, INCHES], ids=["mm", "in"])
@pytest.mark.parametrize("was, to", [*permutations(["on walls", "in ledge", "on a lip"], 2)])
def test_the_top_goes_from_any_seat_to_any_other(text: str, was: str, to: str) -> None:
    first = done(text, {"do": "mount", "to": was})
    drum = parse_drum(done(first, {"do": "mount", "to": to}))
    check_outline(drum)
    assert drum.box.mount == to
    assert (drum.box.ledge_mm > 0) == (to == "in ledge") and (drum.top.lip_mm > 0) == (to == "on a lip")


@pytest.mark.parametrize("was, to", [*permutations(["none", "under", "let in", "on a lip"], 2)])
def test_the_bottom_goes_from_any_fit_to_any_other(was: str, to: str) -> None:
    first = REED if was == "under" else done(REED, {"do": "bottom", "fit": was})
    drum = parse_drum(done(first, {"do": "bottom", "fit": to}))
    check_outline(drum)
    assert (drum.bottom is None) == (to == "none")
    if drum.bottom is not None:
        assert drum.bottom.fit == to and (drum.bottom.lip_mm > 0) == (to == "on a lip")


@pytest.mark.refusal
@pytest.mark.parametrize("wish", [{"do": "mount", "to": "in the air"}, {"do": "bottom", "fit": "up"}])
def test_no_other_seats_are_taken(wish: dict[str, str]) -> None:
    with pytest.raises(WishError, match="cannot be read"):
        done(REED, wish)
