"""The pictures of docs/why-it-sounds.md: what air, bottom, height, place of the blow and mallet do to one drum.

`python benchmarks/why.py DRUM --docs` solves the drum as its file has it (its lengths found: `kerftone fit`), its
bottom glued, off and off on a table; roughly with other heights of its box; and draws docs/why-*.svg. Without
`--docs` it prints the numbers.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from kerftone.drum.design import Drum
from kerftone.drum.file import read_drum
from kerftone.jobs.air_asked import AirAsked
from kerftone.jobs.loudness import strike_from_tip_mm
from kerftone.jobs.other_box import tried_box
from kerftone.jobs.prediction import Prediction, predict
from kerftone.modal.crew import study
from kerftone.modal.shelf import shelf_beside
from kerftone.pitch import cents
from kerftone.shop.checks import pulse_db
from kerftone.sound.mallet import MALLETS, rigid_contact_ms

HEIGHTS_MM = (60.0, 80.0, 100.0, 120.0, 140.0)
SOFTER_DB = (0.0, 3.0, 6.0, 9.0, 12.0)
HZ = np.linspace(50.0, 1500.0, 60)
COLOURS = ("#7a4a1e", "#1f5f6b", "#a3352f", "#5c7a2a", "#6b4a8a", "#c28a1e", "#444444", "#2a7ab0")
WIDTH, HEIGHT, LEFT, TOP = 560.0, 220.0, 60.0, 34.0
"""Of the drawing inside its axes, in the units of the picture."""


@dataclass(frozen=True)
class Line:
    """One line of a picture, or a row of bars."""

    called: str
    x: Sequence[float]
    y: Sequence[float]


def main() -> None:
    """Work all of it out and draw or print it."""
    parser = argparse.ArgumentParser(description="The pictures of docs/why-it-sounds.md.")
    parser.add_argument("drum", type=Path)
    parser.add_argument("--docs", action="store_true", help="draw them")
    given = parser.parse_args()
    drum = read_drum(given.drum)
    glued, off, table = (
        predict(drum, shelf=shelf_beside(given.drum), air=AirAsked(bottom=state))
        for state in ("glued", "off", "table")
    )
    pictures = {
        "air": bars(
            "How far air moves each note, cents; and gluing the bottom on",
            air_lines(glued, off, table),
            glued,
        ),
        "height": lines("Loudness of each note over the height of the walls", heights(drum), "mm", "dB"),
        "strike": lines(
            "How much softer a note is, struck further from its tip", places(glued), "mm from the tip", "dB"
        ),
        "mallet": lines("How strong a blow is at each pitch", mallets(drum), "Hz", "dB"),
    }
    for name, picture in pictures.items():
        if given.docs:
            Path("docs", f"why-{name}.svg").write_text(picture, encoding="utf-8")


def told(found: list[Line]) -> list[Line]:
    """Print these numbers on the way."""
    for line in found:
        print(f"{line.called:24s}", *(f"{x:g}: {y:.1f}" for x, y in zip(line.x, line.y, strict=True)))
    return found


def air_lines(glued: Prediction, off: Prediction, table: Prediction) -> list[Line]:
    """By note: what air does to it with the bottom on; what gluing the bottom on does, tuned off or on a table."""
    order = range(len(glued.tongues))

    def row(called: str, before: Sequence[float], after: Sequence[float]) -> Line:
        return Line(called, list(order), [cents(b, a) for a, b in zip(before, after, strict=True)])

    now = [one.heard.hz for one in glued.tongues]
    return told(
        [
            row("air, bottom glued on", [one.in_vacuo_hz for one in glued.tongues], now),
            row("gluing it on, tuned open", [one.heard.hz for one in off.tongues], now),
            row("gluing it on, tuned on a table", [one.heard.hz for one in table.tongues], now),
        ]
    )


def heights(drum: Drum) -> list[Line]:
    """The power of each note in boxes of other heights."""
    cases = [("", replace(drum, box=replace(drum.box, height_mm=mm))) for mm in HEIGHTS_MM]
    found = [one for one in study(tried_box, cases) if one is not None]
    print(
        "breathing", *(f"{mm:g}: {one.breathing_hz:.0f}" for mm, one in zip(HEIGHTS_MM, found, strict=True))
    )
    return told(
        [
            Line(tongue.note, HEIGHTS_MM, [one.power_db[number] for one in found])
            for number, tongue in enumerate(drum.tongues)
        ]
    )


def places(prediction: Prediction) -> list[Line]:
    """How much softer each note is, over how far from its tip it is struck."""
    found = []
    for one in prediction.tongues:
        away = [(strike_from_tip_mm(prediction, one, db), -db) for db in SOFTER_DB]
        known = [(mm, db) for mm, db in away if mm is not None]
        found.append(Line(one.tongue.note, [mm for mm, _ in known], [db for _, db in known]))
    return told(found)


def mallets(drum: Drum) -> list[Line]:
    """How strong each mallet's push is over pitch, against a slow push."""
    return told(
        [
            Line(
                name,
                HZ,
                [pulse_db(hz=hz, contact_ms=rigid_contact_ms(mallet, drum.top, speed_m_s=1.0)) for hz in HZ],
            )
            for name, mallet in MALLETS.items()
        ]
    )


def lines(title: str, drawn: list[Line], along: str, up: str) -> str:
    """A picture of lines."""
    xs, ys = np.concatenate([line.x for line in drawn]), np.concatenate([line.y for line in drawn])
    out = _frame(title, (ys.min(), ys.max()), up)
    low, high = xs.min(), xs.max()
    for mark in _marks(low, high):
        x = LEFT + WIDTH * (mark - low) / (high - low)
        out.append(f'<text x="{x:.1f}" y="{TOP + HEIGHT + 18}" text-anchor="middle">{mark:g}</text>')
    out.append(f'<text x="{LEFT + WIDTH}" y="{TOP + HEIGHT + 34}" text-anchor="end">{along}</text>')
    for colour, line in zip(COLOURS, drawn, strict=False):
        points = " ".join(
            f"{LEFT + WIDTH * (x - low) / (high - low):.1f},{_height(y, ys):.1f}"
            for x, y in zip(line.x, line.y, strict=True)
        )
        out.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2"/>')
    return _whole(out, drawn)


def bars(title: str, drawn: list[Line], prediction: Prediction) -> str:
    """A picture of bars by note."""
    ys = np.concatenate([[0.0], *(line.y for line in drawn)])
    out = _frame(title, (ys.min(), ys.max()), "cents")
    each = WIDTH / len(prediction.tongues)
    for number, one in enumerate(prediction.tongues):
        x = LEFT + each * number
        out.append(
            f'<text x="{x + 0.5 * each:.1f}" y="{TOP + HEIGHT + 18}" text-anchor="middle">{one.tongue.note}</text>'
        )
        for place, (colour, line) in enumerate(zip(COLOURS, drawn, strict=False)):
            low, high = sorted((_height(line.y[number], ys), _height(0.0, ys)))
            left, wide = x + each * (0.15 + 0.24 * place), 0.2 * each
            out.append(
                f'<rect x="{left:.1f}" y="{low:.1f}" width="{wide:.1f}" height="{high - low:.1f}" fill="{colour}"/>'
            )
    return _whole(out, drawn)


def _height(y: float, ys: np.ndarray) -> float:
    return float(TOP + HEIGHT * (ys.max() - y) / max(float(np.ptp(ys)), 1e-9))


def _marks(low: float, high: float) -> list[float]:
    step = next(s for s in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0) if (high - low) / s <= 8.0)
    return [float(step * n) for n in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1)]


def _frame(title: str, ends: tuple[float, float], up: str) -> list[str]:
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {LEFT + WIDTH + 220} {TOP + HEIGHT + 48}" '
        'font-family="sans-serif" font-size="12" fill="#2b2b2b">',
        f'<text x="{LEFT}" y="18">{title}, {up}</text>',
    ]
    ys = np.array(ends)
    for mark in _marks(*ends):
        y = _height(mark, ys)
        out.append(f'<path d="M{LEFT} {y:.1f}h{WIDTH}" stroke="#d9d2c5"/>')
        out.append(f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{mark:g}</text>')
    return out


def _whole(out: list[str], drawn: list[Line]) -> str:
    for number, (colour, line) in enumerate(zip(COLOURS, drawn, strict=False)):
        y = TOP + 18 * number
        out.append(f'<rect x="{LEFT + WIDTH + 14}" y="{y}" width="12" height="12" fill="{colour}"/>')
        out.append(f'<text x="{LEFT + WIDTH + 32}" y="{y + 10}">{line.called}</text>')
    return "\n".join([*out, "</svg>", ""])


if __name__ == "__main__":
    main()
