"""One page that tells the maker everything about one drum: `report.html`.

Takes plain values and drawings and writes a page that stands alone: styles, pictures and the sound are in
it, nothing is fetched from anywhere, and there is no script. Whatever the maker wrote (names, notes, wood)
is escaped. It prints on A4 and on Letter, and reads on a phone, where the table becomes a list of cards.

No physics here: the numbers come ready, and the words only say what they mean.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from kerftone.draw.cautions import CAUTIONS
from kerftone.draw.page import PAGE_STYLE
from kerftone.draw.sheet import Sheet
from kerftone.draw.svg import plain, svg_inline

# From what share of the weight a note counts as clear, and as mostly clear. Own choice of words.
CLEAR = 0.85
MOSTLY_CLEAR = 0.65
"""From here on a note is called mostly clear; own judgement."""


@dataclass(frozen=True, kw_only=True)
class ReportRow:
    """One tongue: what it should sound and what the model says.

    cents_from_target is positive when sharp; plus_minus_cents is one standard deviation of what is not known
    about the wood. clarity from 0 to 1. shared_with: places of tongues, such as "R2". picture: its mode.
    """

    place: str
    note: str
    target_hz: float
    predicted_hz: float
    cents_from_target: float
    plus_minus_cents: float
    length: str
    clarity: float
    shared_with: tuple[str, ...] = ()
    picture: Sheet | None = None


@dataclass(frozen=True, kw_only=True)
class ReportSound:
    """One sound: how it is heard, the bytes of its file and their media type, and what it was played with."""

    name: str
    data: bytes
    words: str = ""
    media_type: str = "audio/flac"


@dataclass(frozen=True, kw_only=True)
class Report:
    """Everything the page shows.

    facts: short pairs of name and value about the drum. aim_cents: by how much the tongues are cut flat on
    purpose. sounds: what is to be heard.
    warnings: what must be read before anything else. trust: sentences of the caller's own on how sure the numbers
    are. made_by: program and version. portrait: a picture of the finished drum.
    """

    name: str
    facts: tuple[tuple[str, str], ...]
    rows: tuple[ReportRow, ...]
    layout: Sheet
    aim_cents: float
    tolerance_cents: float
    made_by: str
    sounds: tuple[ReportSound, ...] = ()
    trust: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    next_steps: tuple[str, ...] = field(default=())
    portrait: Sheet | None = None


def report_html(report: Report) -> str:
    """The whole page as text, ready to be written to one file.

    Held by tests/draw/test_report.py: well formed, nothing loaded from outside, everything escaped.
    """
    name = _safe(report.name)
    parts = [
        _head(report, name),
        _tongues(report),
        _layout(report),
        _sound(report),
        _pictures(report),
        _trust(report),
        _next(report),
        _cautions(),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{name}: a tongue drum</title>\n<style>\n{PAGE_STYLE}</style>\n</head>\n<body>\n<main>\n"
        + "\n".join(part for part in parts if part)
        + f"\n</main>\n<footer><p>Made by {_safe(report.made_by)}.</p></footer>\n</body>\n</html>\n"
    )


def clarity_words(clarity: float) -> str:
    """How clear a note is, in a word or two, for a clarity from 0 to 1.

    >>> clarity_words(0.95), clarity_words(0.7), clarity_words(0.5)
    ('clear', 'mostly clear', 'mixed')
    """
    if clarity >= CLEAR:
        return "clear"
    return "mostly clear" if clarity >= MOSTLY_CLEAR else "mixed"


def _safe(words: object) -> str:
    return escape(plain(str(words)), quote=True)


def _signed(cents: float) -> str:
    """Cents with their sign, a real minus and none on nought."""
    text = f"{cents:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text.replace("-", "\N{MINUS SIGN}")


def _head(report: Report, name: str) -> str:
    facts = "".join(f"<div><dt>{_safe(k)}</dt><dd>{_safe(v)}</dd></div>" for k, v in report.facts)
    count = len(report.rows)
    return (
        f'<header>\n<p class="over">Tongue drum, {count} '
        f"{'notes' if count != 1 else 'note'}</p>\n<h1>{name}</h1>\n"
        "<p>What the saw should cut, and what the drum should then sound, worked out from its drawing and "
        "its wood before anything is cut.</p>\n"
        f"{_portrait(report)}<dl>{facts}</dl>\n</header>{_warnings(report)}"
    )


def _warnings(report: Report) -> str:
    if not report.warnings:
        return ""
    items = "".join(f"<p>{_safe(words)}</p>" for words in report.warnings)
    return f'\n<section class="cautions" aria-labelledby="first"><h2 id="first">First</h2>{items}</section>'


def _portrait(report: Report) -> str:
    if report.portrait is None:
        return ""
    picture = svg_inline(report.portrait, key="portrait", decimals=1)
    return f'<figure class="portrait">\n{picture}</figure>\n'


_COLUMNS = (
    "Place",
    "Note",
    "Target, Hz",
    "Model, Hz",
    "Cents from target",
    "± cents",
    "Length",
    "Clarity",
    "Shared with",
)


def _tongues(report: Report) -> str:
    head = "".join(f'<th scope="col" role="columnheader">{c}</th>' for c in _COLUMNS)
    body = "\n".join(_row(row, report) for row in report.rows)
    aim = ""
    if report.aim_cents:
        way = "flat" if report.aim_cents < 0.0 else "sharp"
        aim = (
            f" The tongues are meant to come out {abs(report.aim_cents):g} cents {way} of their notes, "
            "for the "
            "pitch is brought in at the bench."
        )
    return (
        '<section aria-labelledby="tongues">\n<h2 id="tongues">Tongues</h2>\n'
        "<p>Places: L and R for the side of the root, then the row from the front edge. Cents are "
        "hundredths of "
        f"a semitone, positive when sharp.{aim}</p>\n"
        '<table role="table"><caption class="hidden">Each tongue, its note and what the model '
        "says</caption>\n"
        f'<thead role="rowgroup"><tr role="row">{head}</tr></thead>\n<tbody role="rowgroup">\n{body}\n'
        "</tbody></table>\n</section>"
    )


def _row(row: ReportRow, report: Report) -> str:
    near = abs(row.cents_from_target - report.aim_cents) <= report.tolerance_cents
    cells = (
        _safe(row.note),
        f"{row.target_hz:.2f}",
        f"{row.predicted_hz:.2f}",
        _signed(row.cents_from_target) + ("" if near else ' <span class="off">off its aim</span>'),
        f"{row.plus_minus_cents:.0f}",
        _safe(row.length),
        f"{clarity_words(row.clarity)} {row.clarity:.2f}",
        _safe(", ".join(row.shared_with)) or "no other",
    )
    labelled = "".join(
        f'<td role="cell" data-label="{label}">{cell}</td>'
        for label, cell in zip(_COLUMNS[1:], cells, strict=True)
    )
    return f'<tr role="row"><th scope="row" role="rowheader">{_safe(row.place)}</th>{labelled}</tr>'


def _layout(report: Report) -> str:
    return (
        '<section aria-labelledby="layout">\n<h2 id="layout">Layout</h2>\n<figure class="wide" tabindex="0" '
        f'aria-label="Layout of the top">\n{svg_inline(report.layout, key="layout")}'
        "<figcaption>Reduced to fit this page. Mark out from the full-size drawing.</figcaption></figure>\n"
        "</section>"
    )


def _sound(report: Report) -> str:
    if not report.sounds:
        return ""
    players = "\n".join(
        f'<figure><figcaption>{_safe(one.name)}</figcaption><audio controls preload="metadata" '
        f'aria-label="Preview of the drum, {_safe(one.name)}" '
        f'src="data:{_safe(one.media_type)};base64,{base64.b64encode(one.data).decode("ascii")}"></audio>\n'
        f"<p>{_safe(one.words)}</p></figure>"
        for one in report.sounds
    )
    return (
        f'<section aria-labelledby="sound" class="screen">\n<h2 id="sound">Sound</h2>\n{players}\n'
        "<p>Each tongue in turn from the lowest note, then a short phrase. Worked out from the same model as the "
        "table: no recording, no room. The drum will die away somewhat sooner than this.</p>\n</section>"
    )


def _pictures(report: Report) -> str:
    shown = [(i, row) for i, row in enumerate(report.rows) if row.picture is not None]
    if not shown:
        return ""
    figures = "\n".join(
        f"<figure>\n{svg_inline(row.picture, key=f'mode{i}', decimals=1)}"
        f"<figcaption><b>{_safe(row.place)}</b> {_safe(row.note)}, {row.predicted_hz:.1f} Hz, "
        f"{clarity_words(row.clarity)}</figcaption></figure>"
        for i, row in shown
        if row.picture is not None
    )
    return (
        '<section aria-labelledby="motion">\n<h2 id="motion">How the top moves</h2>\n'
        "<p>The motion that sounds each note, seen from above; the tongue in question has the heavy edge. "
        f'<span class="key up">+</span> where the wood goes up, <span class="key down">\N{MINUS SIGN}</span> '
        "where it goes down at that moment, deeper colour for more, dashed lines on the way down; "
        "a black line between them is where the wood rests. Where a second tongue is coloured as deeply, "
        "the two "
        f'share their notes.</p>\n<div class="pictures">\n{figures}\n</div>\n</section>'
    )


def _trust(report: Report) -> str:
    widest = max((row.plus_minus_cents for row in report.rows), default=0.0)
    own = "".join(f"<li>{_safe(line)}</li>" for line in report.trust)
    return (
        '<section aria-labelledby="trust">\n<h2 id="trust">How far to trust it</h2>\n<ul>\n'
        f"<li>The ± column (up to {widest:.0f} cents here) is what is not known about your board: for "
        "two boards "
        "in three the real pitch lies within it, for one in three outside. It moves all notes up or down "
        "together far more than it moves them apart.</li>\n"
        "<li>Clarity is the share of the note in all that a blow on its tongue sounds below its first overtone: from "
        f"{CLEAR:g} a clear "
        "note, 0.5 as much of other tones as of the note. A tongue that shares its motion with another "
        "sounds "
        f"with it.</li>\n{own}</ul>\n</section>"
    )


STEPS: tuple[str, ...] = (
    "Print the full-size layout at 100 % and check its bar with a rule, or mark out from the measures.",
    "Prove the setting of the saw on an offcut of the same board: the kerf is part of the drawing.",
    "Saw the slots to the root lines, never past them. A tongue left long can still be shortened.",
    "Glue up the box and the top, and let the glue harden before you tap: an unglued top sounds other notes.",
    "Tap each tongue where the cross is, the drum standing as it will be played, and write down what you "
    "hear.",
    "Raise a flat tongue by taking wood from the underside near its tip, little by little, tapping in "
    "between. "
    "Wood taken near the root lowers it.",
)


def _next(report: Report) -> str:
    steps: Sequence[str] = report.next_steps or STEPS
    items = "\n".join(f"<li>{_safe(step)}</li>" for step in steps)
    return (
        f'<section aria-labelledby="next">\n<h2 id="next">Next steps</h2>\n<ol>\n{items}\n</ol>\n</section>'
    )


def _cautions() -> str:
    items = "\n".join(f"<div><dt>{_safe(k)}</dt><dd>{_safe(v)}</dd></div>" for k, v in CAUTIONS)
    return (
        '<section aria-labelledby="cautions" class="cautions">\n<h2 id="cautions">Cautions</h2>\n'
        f"<dl>\n{items}\n</dl>\n</section>"
    )
