import base64
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from kerftone.draw.cautions import CAUTIONS
from kerftone.draw.layout import layout_sheet
from kerftone.draw.mode_picture import mode_picture
from kerftone.draw.portrait import portrait
from kerftone.draw.report import Report, ReportRow, ReportSound, clarity_words, report_html
from kerftone.shop.box import box_of

NASTY = '<script>alert("x")</script>&\'"\x00'
VOID = {"meta", "br", "hr", "img", "input", "link"}


class _Page(HTMLParser):
    """Checks that what is opened is closed, and keeps every element and its words."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.elements, self.words = [], [], []

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, f"</{tag}> closes {self.open[-1:]}"
        self.open.pop()

    def handle_data(self, data):
        self.words.append((self.open[-1] if self.open else "", data))

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]


def _row(**changes):
    row = ReportRow(
        place="L1",
        note="D3",
        target_hz=146.832,
        predicted_hz=144.31,
        cents_from_target=-30.02,
        plus_minus_cents=187.6,
        length="150 mm",
        clarity=0.93,
    )
    return replace(row, **changes)


@pytest.fixture(scope="module")
def report(brook, brook_outline, top_mesh, invented_lift):
    points, triangles = top_mesh
    picture = mode_picture(
        points_mm=points, triangles=triangles, lift=invented_lift, drawn=brook_outline, title=NASTY, tongue=0
    )
    rows = (
        _row(picture=picture),
        _row(place="R1", note=NASTY, cents_from_target=-12.0, clarity=0.5, shared_with=("L2", NASTY)),
        _row(place="L2", note="G3", cents_from_target=0.0, clarity=0.7, picture=picture),
    )
    return Report(
        name=NASTY,
        facts=(("Top", NASTY), ("Box", "ash, white")),
        rows=rows,
        layout=layout_sheet(brook, brook_outline, full_size=False),
        aim_cents=-30.0,
        tolerance_cents=5.0,
        made_by="Kerftone 0.1.0",
        sounds=(ReportSound(name="in front of it", data=b"not really a sound", words=NASTY),),
        trust=(NASTY,),
        portrait=portrait(brook, brook_outline, box_of(brook)),
    )


@pytest.fixture(scope="module")
def html(report):
    return report_html(report)


@pytest.fixture(scope="module")
def page(html):
    parser = _Page()
    parser.feed(html)
    parser.close()
    assert parser.open == []
    return parser


def test_every_element_that_is_opened_is_closed(page):
    assert ("html", {"lang": "en"}) in page.elements
    assert {"charset": "utf-8"} in page.all("meta")


def test_nothing_is_loaded_from_anywhere(html, page):
    assert "http" not in html.lower()
    assert "@import" not in html and "url(" not in html
    for _, attrs in page.elements:
        for key in ("src", "href", "srcset", "xlink:href", "data", "action"):
            assert (attrs.get(key) or "data:").startswith("data:")


def test_what_the_maker_wrote_is_only_words(html, page):
    assert page.all("script") == []
    assert "<script" not in html
    assert not any(key.startswith("on") for _, attrs in page.elements for key in attrs)
    said = [words for tag, words in page.words if "alert" in words]
    assert len(said) >= 7
    assert all('<script>alert("x")</script>&\'"�' in words for words in said)


def test_the_sound_is_in_the_page_byte_for_byte(page):
    (audio,) = page.all("audio")
    kind, data = audio["src"].split(";base64,")
    assert kind == "data:audio/flac"
    assert base64.b64decode(data) == b"not really a sound"
    assert "controls" in audio and audio["aria-label"]


def test_the_table_says_it_all_row_by_row(page):
    heads = page.all("th")
    assert [h["scope"] for h in heads] == ["col"] * 9 + ["row"] * 3
    cells = [words.strip() for tag, words in page.words if tag == "td"]
    assert cells[:8] == [
        "D3", "146.83", "144.31", "\N{MINUS SIGN}30.0", "188", "150 mm", "clear 0.93", "no other",
    ]  # fmt: skip
    assert "mixed 0.50" in cells and "mostly clear 0.70" in cells and "0.0" in cells


def test_only_tongues_off_their_aim_are_marked_so(page):
    # The aim is 30 cents flat within 5: the first row keeps it, 12 flat and dead on do not.
    off = [words for tag, words in page.words if tag == "span" and words == "off its aim"]
    assert len(off) == 2


def test_every_picture_has_words_for_those_who_cannot_see_it(html, page):
    pictures = page.all("svg")
    ids = re.findall(r'\bid="([^"]*)"', html)
    assert len(pictures) == 4
    assert len(ids) == len(set(ids))
    for picture in pictures:
        assert picture["role"] == "img"
        assert all(name in ids for name in picture["aria-labelledby"].split())
    for section in page.all("section"):
        assert section["aria-labelledby"] in ids


def test_it_prints_on_a4_and_letter_without_cutting_rows(html):
    assert "@page" in html and "@media print" in html
    # No paper size is forced: the printer's own, A4 or Letter, is used.
    assert not re.search(r"@page[^}]*size", html)
    assert re.search(r"tr, figure[^{]*\{ break-inside: avoid; \}", html)


def test_the_cautions_are_there_and_defer_to_manuals_and_local_rules(page):
    said = " ".join(words for _, words in page.words)
    for _, caution in CAUTIONS:
        assert caution in said
    for word in (
        "manual",
        "where you live",
        "by themselves",
        "dust",
        "Hearing",
        "small child",
        "bit",
        "blade",
    ):
        assert word in said


def test_what_the_plus_minus_means_is_said_with_the_largest_of_them(page):
    said = " ".join(words for _, words in page.words)
    assert "up to 188 cents here" in said
    assert "two boards in three" in said
    assert "30 cents flat" in said


def test_a_drum_without_sound_or_pictures_still_makes_a_page(report):
    bare = replace(
        report, sounds=(), portrait=None, rows=tuple(replace(r, picture=None) for r in report.rows)
    )
    parser = _Page()
    parser.feed(report_html(bare))
    assert parser.all("audio") == []
    assert len(parser.all("svg")) == 1


@pytest.mark.parametrize(
    ("clarity", "word"), [(1.0, "clear"), (0.85, "clear"), (0.84, "mostly clear"), (0.6, "mixed")]
)
def test_clarity_has_a_word_for_every_share(clarity, word):
    assert clarity_words(clarity) == word
