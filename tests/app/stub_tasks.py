"""What the solving process can do in tests of everything but the solver: answers at once, waits, dies."""

from __future__ import annotations

import base64
import os
import time
from pathlib import Path
from typing import Any

from kerftone.drum.design import Drum
from kerftone.drum.file import parse_drum
from kerftone.errors import NoteError, Remedy
from kerftone.jobs.progress import Progress
from kerftone.pitch import sharpened

from ..drums import WREN

RATE = 48000
PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mP8z8BQDwAEhQGAhKmMIQAAAABJRU5ErkJggg=="
)
"""A picture of one pixel."""


def _tone() -> bytes:
    """A sound file of a twentieth of a second."""
    import struct

    data = b"".join(struct.pack("<h", 8000 * (-1) ** (n // 50)) for n in range(2400))
    head = struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF",
        36 + len(data),
        b"WAVE",
        b"fmt ",
        16,
        1,
        1,
        RATE,
        2 * RATE,
        2,
        16,
        b"data",
        len(data),
    )
    return head + data


TONE = _tone()


def warm() -> None:
    pass


def _drum(wishes: dict[str, Any]) -> Drum:
    return parse_drum(wishes["text"], wishes["path"])


def _sound(drum: Drum, by: str) -> dict[str, Any]:
    """INVENTED: each tongue sounds its aim at 200 mm, and moves as a bar does."""
    aims = [sharpened(hz, drum.tuning.aim_cents) for hz in drum.targets_hz]
    hz = [aim * (200.0 / (t.length_mm or 200.0)) ** 2 for aim, t in zip(aims, drum.tongues, strict=True)]
    count = len(hz)
    return {
        "by": by,
        "hz": hz,
        "clarity": [1.0] * count,
        "shared_with": [[] for _ in hz],
        "plus_minus_cents": [150.0] * count,
        "slopes": [[-3462.5 * (row == column) for column in range(count)] for row in range(count)],
    }


def look(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    progress("Solving.", 0.5)
    return _sound(_drum(wishes), "full solve")


def lengths(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    drum = _drum(wishes)
    progress("Comparing.", 0.4)
    if drum.top.length_mm < 310.0:  # INVENTED, as is what would help
        refusal = NoteError("These notes do not fit. It works with a top 330 mm long.")
        refusal.offer = [{"do": "set", "at": ["top", "length"], "mm": 330.0}]  # type: ignore[attr-defined]
        raise refusal
    found = []
    for number, tongue in enumerate(drum.tongues):
        row, side = tongue.row or number // 2 + 1, tongue.side or ("left", "right")[number % 2]
        found.append({"note": tongue.note, "row": row, "side": side, "length_mm": 200.0 - number})
    return {"tongues": found, "words": ["All is well."], "fit": {}, "sound": _sound(drum, "full solve")}


def begin(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    progress("Trying sizes.", 0.2)
    if wishes["wood"] == "unobtainable":
        raise NoteError("No such wood. Woods grow on trees: take oak.", remedy=Remedy.LIST_WOODS)
    if (wishes["lengths"]["board"] or "").startswith("300"):  # INVENTED, as is what would work
        refusal = NoteError("The board is too short. It works with a board 455 mm long.")
        notes = {"notes": ["D3", "A3"], "hz": [146.8, 220.0], "thickness": None}
        refusal.offer = [{"words": "a board 455 mm long", "board": "455 x 180 x 16 mm", **notes}]  # type: ignore[attr-defined]
        raise refusal
    folder = Path(wishes["folder"])
    folder.mkdir()
    (folder / "drum.toml").write_text(WREN, "utf-8")
    return {"drum": folder.name, "remarks": ["Begun."]}


def wait(wishes: dict[str, Any], progress: Progress) -> str:
    for step in range(int(wishes.get("steps", 2000))):
        progress("Waiting.", step / 2000)
        time.sleep(0.005)
    return "waited"


def hang(wishes: dict[str, Any], progress: Progress) -> None:
    time.sleep(60)


def die(wishes: dict[str, Any], progress: Progress) -> None:
    os._exit(9)


def fault(wishes: dict[str, Any], progress: Progress) -> None:
    raise ZeroDivisionError("a fault of ours")


def strikes(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: each tongue a tone of its own pitch, dying in a second."""
    import numpy as np

    drum = _drum(wishes)
    time_s = np.arange(RATE) / RATE
    places, pieces, at = [], [], 0
    for number, hz in enumerate(drum.targets_hz):
        whole = 0.5 * np.sin(2 * np.pi * hz * time_s) * np.exp(-5.0 * time_s)
        pieces.append(np.round(32767 * whole).astype("<i2").tobytes())
        sounds = [[at, RATE], [at, RATE]]
        places.append({"x_mm": 100.0, "y_mm": 50.0, "tongue": number, "along": 1.0, "sounds": sounds})
        at += RATE
    struck = {"mallet": wishes["mallet"], "on": wishes["on"]}
    head = {"rate_hz": RATE, "speeds_m_s": [0.5, 1.6], "places": places} | struck
    return {"head": head, "samples": b"".join(pieces)}


def board(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: a board is as its species' mean, each constant known to a tenth over the root of its taps."""
    from kerftone.drum.board_file import NAMES, add_taps, read_board, save_found
    from kerftone.wood.board import Found, Tap

    path = Path(wishes["file"])
    if "recording" in wishes:
        hz = 300.0 + Path(wishes["recording"]).stat().st_size / 1e6
        add_taps(path, [Tap(hz=hz, motion=wishes["motion"])], how="invented")
    found = read_board(path)
    share = 0.01 / len(found.taps)
    count = len(NAMES)
    covariance = tuple(tuple(share * (row == column) for column in range(count)) for row in range(count))
    told = Found(elastic=found.expected(), covariance=covariance, by_thickness=(0.0,) * count)
    save_found(path, told, ["invented"] * count)
    return {}


def motions(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: a slab of two triangles above and two below, that tilts about its middle in every note."""
    import numpy as np

    drum = _drum(wishes)
    long, wide, thick = drum.top.length_mm, drum.top.width_mm, drum.top.thickness_mm
    corners = [
        (x, y, z) for z in (thick, 0.0) for x, y in ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    ]
    trios = [(0, 1, 2), (0, 2, 3), (4, 6, 5), (4, 7, 6)]
    tilt = [(0, 0, 32767 if x else -32767) for x, _, _ in corners]
    still = [[[long / 2, 0.0], [long / 2, wide]]]
    notes = [
        {
            "note": t.note,
            "hz": hz,
            "clarity": 0.97,
            "still": still,
            "with": [{"tongue": 0, "share": 0.4, "together": False}] * (n > 0),
        }
        for n, (t, hz) in enumerate(zip(drum.tongues, drum.targets_hz, strict=True))
    ]
    parts = [{"part": "top", "first": 0, "count": 2}, {"part": "walls", "first": 2, "count": 2}]
    head = {"points": 8, "triangles": 4, "parts": parts, "notes": notes}
    data = np.array(corners, "<f4").tobytes() + np.array(trios, "<u4").tobytes()
    return {"head": head, "surface": data + np.array(tilt, "<i2").tobytes() * len(notes)}


def phrase(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    return {"wav": b"RIFF" + repr(wishes["played"]).encode()}


def recordings(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: two sounds that tell what was asked for."""
    return {name: TONE + name.encode() + repr(wishes["played"]).encode() for name in ("room", "pickup")}


def wood(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: the same in every wood."""
    drum = _drum(wishes)
    tongues = [
        {
            "note": t.note,
            "length_mm": 150.0,
            "hz": 200.0,
            "cents_from_aim": -12.0,
            "plus_minus_cents": 99,
            "t60_s": 0.8,
        }
        for t in drum.tongues
    ]
    told = {"wood": wishes["wood"], "weight_g": 2500.0, "pascal_at_1_m": 0.5, "tongues": tongues}
    return {"told": told, "wav": b"RIFF invented"}


def woods(wishes: dict[str, Any], progress: Progress) -> list[dict[str, Any]]:
    """INVENTED: three woods; the drum's own costs what its boards do."""
    count = len(_drum(wishes).tongues)
    return [
        {
            "name": name,
            "moves_cents": [moved] * count,
            "rings_s": 1.5,
            "rings_pct": 30,
            "weight_g": 2400,
            "plus_minus_cents": 200.0,
            "drift_cents": [40.0, -30.0],
            "price": price,
        }
        for name, moved, price in (
            ("ash, white", -80.0, None),
            ("cherry, black", 0.0, 30.0),
            ("teak", -200.0, 90.0),
        )
    ]


def other(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    """INVENTED: as in `wood`, a louder one where it is thinner; the sound says what was asked for."""
    drum = _drum(wishes)
    thick = wishes["thickness_mm"] or drum.top.thickness_mm
    told = wood({**wishes, "wood": wishes["wood"] or drum.top.wood}, progress)["told"]
    for number, one in enumerate(told["tongues"]):
        one |= {"clarity": 0.97, "length_mm": (drum.tongues[number].length_mm or 0.0)}
    told |= {"thickness_mm": thick, "pascal_at_1_m": 6.0 / thick}
    return {"told": told, "wav": TONE + repr(wishes["played"]).encode()}


def papers(wishes: dict[str, Any], progress: Progress) -> dict[str, Any]:
    return {"files": {"build.pdf": b"%PDF-1.7 invented"}, "pages": [PIXEL]}


def sound(wishes: dict[str, Any]) -> dict[str, Any]:
    return _sound(wishes["drum"], "tables")


DONE = {
    one.__name__: one
    for one in (
        look,
        lengths,
        begin,
        wait,
        hang,
        die,
        fault,
        strikes,
        phrase,
        recordings,
        papers,
        wood,
        woods,
        other,
        motions,
        board,
    )
}
ASKED = {"sound": sound}
