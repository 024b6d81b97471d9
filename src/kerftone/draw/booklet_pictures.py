"""The booklet's pictures: a wall with its cuts, parts on a board, the pickup's places, its wiring.

Reduced to the width of the page; proportions along a board are true, a wall's thickness is drawn thicker than it
is so that its steps can be seen. Points of the page inside.
"""

from __future__ import annotations

from reportlab.graphics.shapes import Circle, Drawing, Group, Line, Polygon, PolyLine, Rect, String
from reportlab.lib import colors
from reportlab.pdfbase.pdfmetrics import stringWidth

from kerftone.draw.fonts import BOLD_FONT, WORDS_FONT, printable
from kerftone.draw.style import INK, RUST, SEA, SLATE, TONGUE, WOOD
from kerftone.drum.corners import end_of
from kerftone.drum.joinery import Wall
from kerftone.drum.outline import outline
from kerftone.shop.cutlist import Board
from kerftone.shop.measure import Measure
from kerftone.shop.shop_plan import ShopPlan

_INK, _RUST, _SEA, _SLATE = (colors.HexColor(one) for one in (INK, RUST, SEA, SLATE))
_WOOD, _TONGUE = colors.HexColor(WOOD), colors.HexColor(TONGUE)
TYPE = 8.5
"""Size of the words in pictures, in points; own judgement."""


def _words(
    x: float, y: float, text: str, *, anchor: str = "middle", size: float = TYPE, bold: bool = False
) -> String:
    font = BOLD_FONT if bold else WORDS_FONT
    return String(x, y, printable(text), fontName=font, fontSize=size, textAnchor=anchor, fillColor=_INK)


def _measure(x0: float, x1: float, y: float, text: str) -> Group:
    """A measure along x with its arrows and words above."""
    line = {"strokeColor": _SEA, "strokeWidth": 0.8}
    marks = [
        Line(x0, y, x1, y, **line),
        Line(x0, y - 4, x0, y + 4, **line),
        Line(x1, y - 4, x1, y + 4, **line),
    ]
    label = _words(0.5 * (x0 + x1), y + 3, text)
    label.fillColor = _SEA
    return Group(*marks, label)


def wall_picture(wall: Wall, words: Measure, *, width: float) -> Drawing:
    """One wall: its inner face with steps and relief, and from above with its ends.

    Parameters
    ----------
    wall : Wall
        The wall, in mm.
    words : Measure
        How the maker reads lengths.
    width : float
        Of the column on the page, in points.
    """
    scale = (width - 70.0) / wall.length_mm
    face, thick = min(wall.height_mm * scale, 110.0), 34.0
    tall = face / wall.height_mm
    left, low = 10.0, thick + 52.0
    right = left + wall.length_mm * scale
    drawing = Drawing(width, low + face + 24.0, initialFontName=WORDS_FONT)
    face_points = [c for u, s in wall.face().chords(most_deg=1.0) for c in (left + u * scale, low + s * tall)]
    drawing.add(Polygon(face_points, fillColor=_WOOD, strokeColor=_INK, strokeWidth=1.2))
    for rabbet in wall.rabbets:
        height = rabbet.depth_mm * tall
        y = low + face - height if rabbet.edge == "upper" else low
        bare = end_of(wall).bare_mm(wall) if rabbet.through else 0.0
        start = left + (rabbet.from_mm + bare) * scale
        run = (rabbet.to_mm - rabbet.from_mm - 2.0 * bare) * scale
        drawing.add(Rect(start, y, run, height, fillColor=_TONGUE, strokeColor=_SLATE, strokeWidth=0.7))
        label = f"rabbet {words(rabbet.depth_mm)} down, {words(rabbet.width_mm)} in" + (
            "" if rabbet.through else ", stopped"
        )
        where = y + height + 3 if rabbet.edge == "lower" else y - TYPE - 1
        drawing.add(_words(0.5 * (left + right), where, label))
    relief = wall.relief_path()
    if relief is not None:  # over the rabbet that is drawn across it
        cut = [c for u, s in relief.chords(most_deg=1.0) for c in (left + u * scale, low + s * tall)]
        drawing.add(Polygon(cut, fillColor=colors.white, strokeColor=None))
        drawing.add(PolyLine(cut, strokeColor=_INK, strokeWidth=1.2))
    if wall.root_bar is not None:
        _bar_on_wall(drawing, wall, words, (left, low, scale, tall))
    for s in wall.key_heights_mm:
        for end in (left, right):
            drawing.add(
                Line(end - 3, low + s * tall, end + 3, low + s * tall, strokeColor=_RUST, strokeWidth=2)
            )
    drawing.add(_measure(left, right, low + face + 8.0, words(wall.length_mm)))
    drawing.add(_words(right + 6, low + 0.5 * face, words(wall.height_mm), anchor="start"))
    drawing.add(_words(right + 6, low + 0.5 * face - 11, "high", anchor="start"))
    _from_above(drawing, wall, words, (left, 22.0, scale, thick))
    return drawing


def _bar_on_wall(
    drawing: Drawing, wall: Wall, words: Measure, frame: tuple[float, float, float, float]
) -> None:
    """Where the root bar is glued to the inner face, dashed, with its size."""
    left, low, scale, tall = frame
    bar = wall.root_bar
    assert bar is not None
    long, high, _ = bar.size_mm
    x, y = left + bar.from_mm * scale, low + bar.low_mm * tall
    drawing.add(
        Rect(
            x,
            y,
            long * scale,
            high * tall,
            fillColor=None,
            strokeColor=_SLATE,
            strokeWidth=1.0,
            strokeDashArray=(3, 2),
        )
    )
    label = f"root bar, {words(high)} high, {words(bar.thick_mm)} wide"
    drawing.add(_words(x + 0.5 * long * scale, y + 0.5 * high * tall - 0.35 * TYPE, label))


def _from_above(
    drawing: Drawing, wall: Wall, words: Measure, frame: tuple[float, float, float, float]
) -> None:
    """The wall from above: outer face below, ends as they are cut."""
    left, low, scale, thick = frame
    long, off = wall.length_mm * scale, 0.5 * (wall.length_mm - wall.short_mm) * scale
    inner = low + thick
    through = [cut for cut in end_of(wall).cuts(wall) if cut.heights_mm == ((0.0, wall.height_mm),)]
    profile = through[0].profile_mm if through else ((0.0, 0.0), (0.0, wall.thickness_mm))
    deep = thick / wall.thickness_mm
    one_end = [(left + u * scale, low + v * deep) for u, v in profile]
    other_end = [(left + long - u * scale, low + v * deep) for u, v in reversed(profile)]
    points = [figure for point in (*one_end, *other_end) for figure in point]
    drawing.add(Polygon(points, fillColor=_WOOD, strokeColor=_INK, strokeWidth=1.2))
    drawing.add(
        _words(left + 0.5 * long, low + 0.5 * thick - 3, f"from above, {words(wall.thickness_mm)} thick")
    )
    if wall.short_mm < wall.length_mm:
        drawing.add(_measure(left + off, left + long - off, inner + 5.0, words(wall.short_mm)))
    drawing.add(_words(left + 0.5 * long, low - 13, "outer face", size=8.0))


def board_picture(board: Board, words: Measure, *, width: float, longest_mm: float) -> Drawing:
    """The parts on one board, as they lie; all boards on a scale at which the longest fills the page.

    Parameters
    ----------
    board : Board
        A board with the parts that lie on it, in mm.
    words : Measure
        How the maker reads lengths.
    width : float
        Of the column on the page, in points.
    longest_mm : float
        Length of the longest board of the plan, in mm.
    """
    scale = (width - 10.0) / longest_mm
    high = board.stock.width_mm * scale
    drawing = Drawing(width, high + 8.0, initialFontName=WORDS_FONT)
    frame = {"strokeColor": _INK, "strokeWidth": 1.4}
    drawing.add(Rect(2, 4, board.stock.length_mm * scale, high, fillColor=colors.white, **frame))
    for piece in board.pieces:
        x, y = 2 + piece.x_mm * scale, 4 + piece.y_mm * scale
        run, rise = piece.length_mm * scale, piece.width_mm * scale
        drawing.add(Rect(x, y, run, rise, fillColor=_TONGUE, strokeColor=_INK, strokeWidth=0.9))
        size = words.size(piece.length_mm, piece.width_mm)
        _fill_label(drawing, (x, y, run, rise), (piece.part, size))
    return drawing


def _fill_label(drawing: Drawing, area: tuple[float, float, float, float], lines: tuple[str, ...]) -> None:
    """Words in a piece, in one line or two, as tall as fit; none when they would be too small to read."""
    x, y, run, rise = area
    broken = tuple(lines[0].split())
    for rows in (lines, (", ".join(lines),), lines[:1], (*broken, *lines[1:]), broken):
        longest = max(stringWidth(printable(row), WORDS_FONT, 1.0) for row in rows)
        size = min(TYPE, (run - 6.0) / longest, (rise - 3.0) / (1.25 * len(rows)))
        if size >= 6.0:
            for at, row in enumerate(rows):
                base = y + 0.5 * rise + (0.5 * len(rows) - at - 1) * 1.2 * size + 0.25 * size
                drawing.add(_words(x + 0.5 * run, base, row, size=size))
            return


SHADED_DB = 20.0
"""A spot this much worse than the best is as pale as can be: own judgement."""


def pickup_picture(plan: ShopPlan, *, width: float) -> Drawing:
    """The top, or the bottom in the box, with how well a disc hears the notes at each place, the best and the
    worst."""
    places, drum = plan.places, plan.drum
    assert places is not None
    scale = (width - 10.0) / drum.top.length_mm
    drawing = Drawing(width, drum.top.width_mm * scale + 8.0, initialFontName=WORDS_FONT)

    def at(x: float, y: float) -> tuple[float, float]:
        return 4.0 + x * scale, 4.0 + y * scale

    drawn = outline(drum)
    board = [c for x, y in drawn.board.exterior.coords for c in at(x, y)]
    drawing.add(Polygon(board, fillColor=_WOOD, strokeColor=_INK, strokeWidth=1.2))
    most = float(places.worth_db[places.allowed].max()) if places.allowed.any() else 0.0
    for (x, y), worth, free in zip(places.points_mm, places.worth_db, places.allowed, strict=True):
        if free:
            shade = max(0.0, 1.0 - (most - float(worth)) / SHADED_DB)
            colour = colors.linearlyInterpolatedColor(_TONGUE, _SEA, 0.0, 1.0, shade)
            px, py = at(x, y)
            side = 5.6 * scale
            drawing.add(
                Rect(px - 0.5 * side, py - 0.5 * side, side, side, fillColor=colour, strokeColor=None)
            )
    pieces = getattr(drawn.removed, "geoms", [drawn.removed]) if places.on == "top" else []
    if places.on == "bottom":
        inner = [c for x, y in drawn.wall_inner.exterior.coords for c in at(x, y)]
        drawing.add(Polygon(inner, fillColor=None, strokeColor=_INK, strokeWidth=0.8))
    for piece in pieces:
        points = [c for x, y in piece.exterior.coords for c in at(x, y)]
        drawing.add(Polygon(points, fillColor=_INK, strokeColor=_INK, strokeWidth=0.2))
    for tongue, (x, y) in zip(drum.tongues, drawn.strike_points, strict=True) if places.on == "top" else ():
        drawing.add(_words(*at(x, y), tongue.note, bold=True))
    pickup = drum.making.pickup
    if places.best is not None and places.worst is not None and pickup is not None:
        px, py = at(*places.points_mm[places.best])
        ring = {"fillColor": None, "strokeColor": _RUST, "strokeWidth": 2}
        drawing.add(Circle(px, py, 0.5 * pickup.disc_mm * scale, **ring))
        drawing.add(Circle(px, py, 3, fillColor=_RUST, strokeColor=None))
        if places.given is not None:
            px, py = at(*places.points_mm[places.given])
            own = {"fillColor": None, "strokeColor": _INK, "strokeWidth": 3}
            drawing.add(Circle(px, py, 0.5 * pickup.disc_mm * scale, **own))
        px, py = at(*places.points_mm[places.worst])
        for dx, dy in ((5, 5), (5, -5)):
            drawing.add(Line(px - dx, py - dy, px + dx, py + dy, strokeColor=_RUST, strokeWidth=2))
    return drawing


def wiring_picture(*, width: float) -> Drawing:
    """Disc, volume control and jack, and the wires between."""
    drawing = Drawing(width, 112.0, initialFontName=WORDS_FONT)
    wire = {"strokeColor": _INK, "strokeWidth": 1.4}
    left, middle, base = 190.0, 340.0, 20.0
    sleeve = {"strokeColor": _SEA, "strokeWidth": 2.0}
    for x0, y0, x1, y1 in (
        (50.0, 38.0, 50.0, base),
        (50.0, base, middle + 35.0, base),
        (left + 35.0, 40.0, left + 35.0, base),
        (middle + 35.0, 40.0, middle + 35.0, base),
    ):
        drawing.add(Line(x0, y0, x1, y1, **sleeve))
    drawing.add(Circle(50, 63, 26, fillColor=_TONGUE, **wire))
    drawing.add(Circle(50, 63, 15, fillColor=_WOOD, **wire))
    drawing.add(_words(50, 94, "disc"))
    for x, name in ((left, "volume"), (middle, "jack")):
        drawing.add(Rect(x, 40, 70, 46, fillColor=_WOOD, **wire))
        drawing.add(_words(x + 35, 60, name))
    drawing.add(Line(50, 63, left, 63, **wire))
    drawing.add(_words(133, 67, "middle of the disc", size=8.0))
    drawing.add(Line(left + 70, 63, middle, 63, **wire))
    drawing.add(_words(0.5 * (left + 70 + middle), 67, "wiper to tip", size=8.0))
    drawing.add(
        _words(215, 6, "screen: rim of the disc, far end of the control, sleeve of the jack", size=8.0)
    )
    return drawing
