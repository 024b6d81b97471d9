"""How top and bottom sit in the box, as the file says it: read, defaulted, written back, refused."""

from __future__ import annotations

import pytest

from kerftone.drum.check import check_outline
from kerftone.drum.file import parse_drum
from kerftone.drum.outline import outline
from kerftone.drum.template import drum_text
from kerftone.errors import DrumFileError, OutlineError

from ..drums import REED

LIP = REED.replace("thickness = 14.0", "thickness = 14.0\nlip = 6.0\nlip_thickness = 8.0").replace(
    "height = 90.0", 'height = 90.0\nmount = "on a lip"\nclearance = 0.5\nglued = "lip"'
)
LEDGE = REED.replace("height = 90.0", 'height = 90.0\nmount = "in ledge"\nledge = 7.0')
BOTTOM = LIP + 'fit = "on a lip"\nlip = 6.0\nlip_thickness = 4.0\nclearance = 0.5\nrecess = 2.0\n'


def test_a_lip_is_read_and_the_box_stands_round_it() -> None:
    drum = parse_drum(LIP)
    assert (drum.top.lip_mm, drum.top.lip_thickness_mm, drum.box.glued) == (6.0, 8.0, "lip")
    drawn = outline(drum)
    assert drawn.box_outer.bounds == (-10.0, -10.0, 410.0, 190.0)  # the top plus twice the wall less the lip
    assert drawn.wall_inner.bounds == (6.0, 6.0, 394.0, 174.0)
    assert drawn.box_inner.bounds == (6.5, 6.5, 393.5, 173.5)
    check_outline(drum)


@pytest.mark.parametrize(
    "more, glued",
    [("", "ledge and edges"), ("\nclearance = 0.8", "ledge"), ("\nclearance = 0.0", "ledge and edges")]
    + [
        (f'\nclearance = {mm}\nglued = "{how}"', how)
        for mm in (0.0, 0.8)
        for how in ("ledge", "ledge and edges")
    ],
)
def test_a_top_on_a_ledge_holds_at_its_edges_unless_it_was_given_a_gap(more: str, glued: str) -> None:
    assert parse_drum(LEDGE.replace("ledge = 7.0", "ledge = 7.0" + more)).box.glued == glued


@pytest.mark.roundtrip
@pytest.mark.parametrize(
    "text", [LIP, LEDGE, BOTTOM, LEDGE.replace("ledge = 7.0", "ledge = 7.0\nclearance = 0.5")]
)
def test_what_is_written_reads_back_the_same(text: str) -> None:
    drum = parse_drum(text)
    assert parse_drum(drum_text(drum)) == drum


@pytest.mark.refusal
@pytest.mark.parametrize(
    "text, old, new, words",
    [
        (LIP, "lip = 6.0\n", "", ["lip in [top] is missing", "write 16 mm"]),
        (LIP, "lip = 6.0", "lip = 1.0", ["lip in [top] is 1 mm", "2 mm at least", "write 2 mm"]),
        (LIP, "lip = 6.0", "lip = 17.0", ["lip in [top] is 17 mm", "16 mm at most"]),
        (
            LIP,
            "lip_thickness = 8.0",
            "lip_thickness = 14.0",
            ["lip_thickness in [top] is 14 mm", "write 13 mm"],
        ),
        (LIP, 'glued = "lip"', 'glued = "ledge"', ['glued in [box] is "ledge"', 'write "lip"', '"in ledge"']),
        (LEDGE, "ledge = 7.0", 'ledge = 7.0\nglued = "lip"', ['"ledge" or "ledge and edges"', '"on a lip"']),
        (
            REED,
            "height = 90.0",
            'height = 90.0\nglued = "ledge"',
            ["all that meets is glued", "take glued out"],
        ),
        (REED, "thickness = 14.0", "thickness = 14.0\nlip = 6.0", ["not on a lip", "take lip out"]),
        (
            BOTTOM,
            "lip = 6.0\nlip_thickness = 4.0",
            "lip = 14.0\nlip_thickness = 4.0",
            ["in [bottom] is 14 mm", "13.5 mm"],
        ),
        (BOTTOM, 'fit = "on a lip"\n', "", ["lip in [bottom] is 6 mm", 'fit = "on a lip"']),
    ],
)
def test_what_does_not_fit_is_refused_with_the_nearest_that_works(
    text: str, old: str, new: str, words: list[str]
) -> None:
    assert old in text
    with pytest.raises(DrumFileError) as caught:
        parse_drum(text.replace(old, new))
    assert all(word in caught.value.message for word in words), caught.value.message


@pytest.mark.refusal
def test_slots_stay_inside_the_lip_and_its_gap() -> None:
    with pytest.raises(OutlineError, match=r"and the lip \(30.5 mm\)"):
        check_outline(
            parse_drum(LIP.replace("lip = 6.0", "lip = 30.0").replace("wall = 16.0", "wall = 30.0"))
        )
