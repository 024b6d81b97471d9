"""The cover of drawings that take several pages: which page goes where, and all their words, whole.

For each drawing a small picture of what the pages show, with the frame and name of each page and the names of
tongues; what the drawing says and what its lines mean. Several drawings share a cover. Not to size, as it says. In
mm of the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from kerftone.draw import legend, style
from kerftone.draw.fonts import set_in, width_mm
from kerftone.draw.ink import draw_layers
from kerftone.draw.sheet import Bounds, Layer, Pen, Region, Shape, Sheet, Tag, Text
from kerftone.draw.tiling import BORDER_MM, STRIP_MM, CoverPage, Laid, Tiling, window_mm
from kerftone.draw.word_places import Cell, seated, words_box

WORDS_MM = 2.6
"""Ten points, as a book is set; own judgement."""
TITLE_MM = 4.2
"""Of the heading of a drawing; own judgement."""
TAG_MM = 2.4
"""Of names on a small picture; own judgement."""
LINE = 1.65
"""From line to line, in heights of capitals."""
LEAST_PICTURE_MM, MOST_PICTURE_MM = 26.0, 85.0
"""How low and how high a picture may come out; own judgement."""
SHARES = (1.0, 0.85, 0.7, 0.55, 0.45, 0.35, 0.3)
"""By how much pictures are made smaller where that saves a page."""
GAP_MM = 7.0
"""Between two drawings of a cover; own judgement."""
BAND_MM = 5.0
"""Room over and under a picture for names that do not fit in it."""
NOT_SHOWN = ("strike points", "measures", "measure heads", "leaders")
"""What would only be a blot in a small picture."""
FRAME = Pen(stroke=style.RUST, width_mm=0.4)
"""Of a page on the picture; own judgement."""
TAG = Pen(stroke=style.RUST, width_mm=0.3, fill=style.PAPER)
"""Behind a page's name; own judgement."""
NAMES = Pen(fill=style.INK, halo=style.PAPER)


@dataclass(frozen=True, kw_only=True)
class _Block:
    """One drawing's part of a cover: words from 0 downwards, and where the picture lies among them."""

    laid: Laid
    texts: tuple[Text, ...]
    key: legend.Block
    scale: float
    picture_top: float
    high: float


def cover_pages(laid: Sequence[Laid], page_mm: tuple[float, float]) -> list[tuple[tuple[Laid, ...], float]]:
    """Which drawings share a cover, and at what share of their height their pictures are shown; fewest pages."""
    tries = [(_packed(laid, page_mm, share), share) for share in SHARES]
    fewest = min(len(packed) for packed, _ in tries)
    packed, share = next(one for one in tries if len(one[0]) == fewest)
    return [(tuple(page), share) for page in packed]


def _packed(laid: Sequence[Laid], page_mm: tuple[float, float], share: float) -> list[list[Laid]]:
    wide, tall = window_mm(page_mm)
    pages: list[list[Laid]] = []
    left = 0.0
    for one in laid:
        high = _block(one, wide, share).high + GAP_MM
        if not pages or high > left:
            pages.append([])
            left = tall + GAP_MM - (_head(wide)[1] if len(pages) == 1 else 0.0)
        pages[-1].append(one)
        left -= high
    return pages


def draw_cover(canvas: Any, page: CoverPage) -> None:
    """Put a cover on an upright page. Held by tests/draw/test_cover.py."""
    wide, tall = window_mm(page.page_mm)
    y = BORDER_MM + STRIP_MM + tall
    canvas.saveState()
    canvas.translate(BORDER_MM, y)
    if page.first:
        texts, used = _head(wide)
        draw_layers(canvas, (Layer(name="head", pen=style.WORDS, shapes=texts),))
        canvas.translate(0.0, -used)
    share = page.share
    if len(page.laid) == 1:  # alone, its words may want more room than any picture leaves
        room = tall - (_head(wide)[1] if page.first else 0.0)
        share = next((s for s in SHARES if _block(page.laid[0], wide, s).high <= room), 0.0)
    for one in page.laid:
        block = _block(one, wide, share)
        _draw(canvas, block, wide)
        canvas.translate(0.0, -block.high - GAP_MM)
    canvas.restoreState()


def _head(wide: float) -> tuple[tuple[Text, ...], float]:
    """How to put the pages together, from 0 downwards, and how much height it takes."""
    words = (
        "These pictures are not to size; the pages after them are, and each has its name. Trim a page along its thin "
        "frame where it lies on top of another, lay that edge on the dashed line of its neighbour so that the "
        "checkered squares meet, and tape. Then lay a rule across the joins: the whole must measure what its figures "
        "say."
    )
    texts, low = _lines(words, 0.0, 0.96 * wide)
    return tuple(texts), 5.0 - low


def _lines(words: str, top: float, wide: float, *, height: float = WORDS_MM) -> tuple[list[Text], float]:
    texts = []
    for line in set_in(words, width=wide, height_mm=height, bold=height > WORDS_MM):
        top -= LINE * height
        texts.append(Text(at=(0.0, top), words=line, height_mm=height, bold=height > WORDS_MM))
    return texts, top


def _block(laid: Laid, wide: float, share: float) -> _Block:
    """The words of one drawing in tiles, set round its picture, and the height that it takes."""
    west, south, east, north = laid.tiled.bounds
    high = max(LEAST_PICTURE_MM, share * MOST_PICTURE_MM)
    scale = max(high / (north - south), min(_least_scale(laid.sheet), MOST_PICTURE_MM / (north - south)))
    scale = min((wide - 2.0) / (east - west), scale)
    tiles = laid.tiled.tiles
    how = f"Pages {tiles[0].name} to {tiles[-1].name}, {len(tiles)} in all."
    return _set(laid, wide, scale, BAND_MM, (how, *laid.sheet.notes))


def _least_scale(sheet: Sheet) -> float:
    """How large a picture must be for its names to stand in it, all of them by height and most of them by width."""
    if not sheet.tags:
        return 0.0
    low = max((TAG_MM + 1.0) / tag.room_mm[1] for tag in sheet.tags)
    wide = sorted((width_mm(tag.words, TAG_MM, bold=True) + 1.0) / tag.room_mm[0] for tag in sheet.tags)
    return max(low, wide[(3 * len(wide)) // 4])


def whole_block(laid: Laid, wide: float) -> _Block:
    """A drawing that fits a page at true size, with its words under it."""
    return _set(laid, wide, 1.0, 0.0, laid.sheet.notes)


def _set(laid: Laid, wide: float, scale: float, band: float, notes: Sequence[str]) -> _Block:
    sheet, (_, south, _, north) = laid.sheet, laid.tiled.bounds
    texts, y = _lines(sheet.title, 0.35 * TITLE_MM, wide, height=TITLE_MM) if sheet.notes else ([], 0.0)
    top = y - 2.0 - band
    y = top - scale * (north - south) - band
    for note in notes:
        more, y = _lines(note, y - 0.35 * WORDS_MM, 0.96 * wide)
        texts += more
    key, y = _key(sheet, y - 1.6 * WORDS_MM, wide)
    return _Block(
        laid=laid, texts=tuple(texts), key=key, scale=scale, picture_top=top, high=0.3 * WORDS_MM - y
    )


def draw_whole(canvas: Any, block: _Block, wide: float) -> None:
    """A drawing at true size with its words, its upper left corner at 0, in the middle of the width.

    Parameters
    ----------
    canvas : Any
        Of reportlab.
    block : _Block
        The drawing with its words.
    wide : float
        Of the page's column, in mm.
    """
    west, south, east, north = block.laid.tiled.bounds
    canvas.saveState()
    canvas.translate(0.5 * (wide - (east - west)) - west, block.picture_top - north)
    shown = canvas.beginPath()
    shown.rect(west, south, east - west, north - south)
    canvas.clipPath(shown, stroke=0, fill=0)
    layers = [inside(layer, block.laid.tiled.bounds) for layer in block.laid.sheet.layers]
    draw_layers(canvas, seated(layers, (Cell(bounds=block.laid.tiled.bounds),))[0])
    canvas.restoreState()
    _draw_words(canvas, block)


def inside(layer: Layer, bounds: Bounds) -> Layer:
    """The layer without words that begin outside: hidden, they would still be found and read aloud."""
    west, south, east, north = bounds
    kept = tuple(
        shape
        for shape in layer.shapes
        if not isinstance(shape, Text) or (west <= shape.at[0] <= east and south <= shape.at[1] <= north)
    )
    return replace(layer, shapes=kept)


def _key(sheet: Sheet, top: float, wide: float) -> tuple[legend.Block, float]:
    """What the lines mean, in two columns."""
    block, half = legend.Block(), -(-len(sheet.marks) // 2)
    lowest = top
    for column, entries in enumerate((sheet.marks[:half], sheet.marks[half:])):
        y, x = top, 0.5 * wide * column
        for entry in entries:
            first = y - WORDS_MM
            at = (x, first + 0.5 * WORDS_MM)
            block.samples.append((entry, legend.sample_shapes(entry.sample, at, WORDS_MM)))
            indent = legend.SAMPLE_MM + WORDS_MM
            lines = set_in(entry.words, width=0.5 * wide - indent - 4.0, height_mm=WORDS_MM)
            for number, line in enumerate(lines):
                y = first - LINE * WORDS_MM * number
                block.words.append(Text(at=(x + indent, y), words=line, height_mm=WORDS_MM))
            y -= 0.9 * WORDS_MM
        lowest = min(lowest, y)
    return block, lowest


def _draw(canvas: Any, block: _Block, wide: float) -> None:
    """The block on the canvas, its top at 0."""
    tiled = block.laid.tiled
    west, south, east, north = tiled.bounds
    canvas.saveState()
    canvas.translate(1.0, block.picture_top)
    canvas.saveState()
    canvas.scale(block.scale, block.scale)
    canvas.translate(-west, -north)
    shown = canvas.beginPath()
    shown.rect(west, south, east - west, north - south)
    canvas.clipPath(shown, stroke=0, fill=0)
    for layer in block.laid.sheet.layers:
        if layer.name in NOT_SHOWN:
            continue
        shapes = tuple(shape for shape in layer.shapes if not isinstance(shape, Text))
        draw_layers(canvas, (replace(layer, shapes=shapes),))
    canvas.restoreState()
    frames = _frames(tiled, block.scale) if len(tiled.tiles) > 1 else []
    named = (words_box(s) for layer in frames for s in layer.shapes if isinstance(s, Text))
    taken = tuple((a - 1.2, b - 1.2, c + 1.2, d + 1.2) for a, b, c, d in named)
    draw_layers(canvas, frames)
    area = (-1.0, -block.scale * (north - south) - BAND_MM, wide - 1.0, BAND_MM)
    draw_layers(canvas, _tags(block, area, taken))
    canvas.restoreState()
    _draw_words(canvas, block)


def _draw_words(canvas: Any, block: _Block) -> None:
    layers = [Layer(name=entry.name, pen=entry.pen, shapes=shapes) for entry, shapes in block.key.samples]
    layers.append(Layer(name="words", pen=style.WORDS, shapes=(*block.texts, *block.key.words)))
    draw_layers(canvas, layers)


def _frames(tiled: Tiling, scale: float) -> list[Layer]:
    """The frame and the name of each page on the picture, whose upper left corner is 0."""
    west, south, east, north = tiled.bounds
    wide, tall = tiled.window_mm
    layers = []
    for tile in tiled.tiles:
        x0, y0 = max(tile.left_mm, west), max(tile.bottom_mm, south)
        x1, y1 = min(tile.left_mm + wide, east), min(tile.bottom_mm + tall, north)
        a, b, c, d = scale * (x0 - west), scale * (y0 - north), scale * (x1 - west), scale * (y1 - north)
        frame = Region(outer=((a, b), (c, b), (c, d), (a, d)))
        x, y = a + 0.6 * TAG_MM, d - TAG_MM - 0.9 if tile.row else 1.0  # over the picture, or on it
        corners = _grown((x, y, x + width_mm(tile.name, TAG_MM, bold=True), y + TAG_MM), 0.6)
        name = Text(at=(x, y), words=tile.name, height_mm=TAG_MM, bold=True)
        layers += [
            Layer(name="frame", pen=FRAME, shapes=(frame,)),
            Layer(name="tag", pen=TAG, shapes=(Region(outer=corners),)),
            Layer(name="name", pen=Pen(fill=style.RUST), shapes=(name,)),
        ]
    return layers


def _grown(box: Bounds, by: float) -> tuple[tuple[float, float], ...]:
    a, b, c, d = box[0] - by, box[1] - by, box[2] + by, box[3] + by
    return (a, b), (c, b), (c, d), (a, d)


def _tags(block: _Block, area: Bounds, taken: tuple[Bounds, ...]) -> tuple[Layer, ...]:
    """The names of what the picture shows: on it where they fit, else beside it with a line."""
    west, _, _, north = block.laid.tiled.bounds
    texts: list[Shape] = [_tag(tag, block.scale, (west, north), area) for tag in block.laid.sheet.tags]
    if not texts:
        return ()
    cell = Cell(bounds=area, taken=taken)
    return seated((Layer(name="tags", pen=NAMES, shapes=tuple(texts)),), (cell,))[0]


def _tag(tag: Tag, scale: float, origin: tuple[float, float], area: Bounds) -> Text:
    x, y = scale * (tag.at[0] - origin[0]), scale * (tag.at[1] - origin[1])
    wide = width_mm(tag.words, TAG_MM, bold=True)
    text = Text(at=(x, y - 0.5 * TAG_MM), words=tag.words, height_mm=TAG_MM, anchor="middle", bold=True)
    if wide + 1.0 <= scale * tag.room_mm[0] and scale * tag.room_mm[1] >= TAG_MM + 1.0:
        return text
    bands = (area[3] - TAG_MM - 1.0, area[1] + 1.2)
    spots = [(x + 2.0 * n, band) for n in range(-12, 13) for band in bands]
    near = min(spots, key=lambda spot: abs(spot[1] - y) + abs(spot[0] - x))
    return replace(text, at=near, spots=tuple(spots), leader=(x, y))
