"""Words on pages: whole, clear of each other and of lines; with a line to what they name where they are moved."""

from kerftone.draw.sheet import Circle, Layer, Line, Pen, Text
from kerftone.draw.word_places import LEADERS, Cell, leader_lines, seated, words_box

INK = Pen(fill="#000000")


def _texts(layers):
    return [shape for layer in layers for shape in layer.shapes if isinstance(shape, Text)]


def _word(x, y=10.0, **more):
    return Text(at=(x, y), words="2 1/2", height_mm=3.2, anchor="middle", **more)


def test_words_with_other_places_are_said_on_every_page_that_shows_one_of_them_whole():
    spots = tuple((x, 10.0) for x in range(20, 181, 10))
    layer = Layer(name="figures", pen=INK, shapes=(_word(100.0, spots=spots),))
    left, right = seated(
        (layer,), (Cell(bounds=(0.0, 0.0, 100.0, 50.0)), Cell(bounds=(100.0, 0.0, 200.0, 50.0)))
    )
    assert [text.at[0] for text in _texts(left)] == [90.0] and [text.at[0] for text in _texts(right)] == [
        110.0
    ]


def test_words_that_a_seam_cuts_everywhere_are_moved_and_a_line_leads_to_what_they_name():
    layer = Layer(name="names", pen=INK, shapes=(_word(101.0),))
    cells = (Cell(bounds=(0.0, 0.0, 95.0, 50.0)), Cell(bounds=(140.0, 0.0, 300.0, 50.0)))
    pages = seated((layer,), cells)
    found = [(cell, text, page) for cell, page in zip(cells, pages, strict=True) for text in _texts(page)]
    ((cell, text, page),) = found
    west, _, east, _ = words_box(text)
    assert cell.bounds[0] <= west and east <= cell.bounds[2]
    assert any(layer.name == LEADERS for layer in page)


def test_the_place_with_the_fewest_lines_under_it_is_taken():
    bar = Layer(name="edge", pen=Pen(stroke="#000000"), shapes=(Line(points=((0.0, 11.5), (60.0, 11.5))),))
    layer = Layer(name="figures", pen=INK, shapes=(_word(30.0, spots=((30.0, 20.0), (30.0, 30.0))),))
    (page,) = seated((bar, layer), (Cell(bounds=(0.0, 0.0, 100.0, 50.0)),))
    assert [text.at for text in _texts(page)] == [(30.0, 20.0)]


def test_words_do_not_lie_on_each_other_nor_on_what_is_taken():
    shapes = tuple(_word(30.0, spots=((30.0, 20.0), (30.0, 30.0), (30.0, 40.0))) for _ in range(3))
    cell = Cell(bounds=(0.0, 0.0, 100.0, 50.0), taken=((20.0, 19.0, 40.0, 24.0),))
    (page,) = seated((Layer(name="figures", pen=INK, shapes=shapes),), (cell,))
    assert sorted(text.at[1] for text in _texts(page)) == [10.0, 30.0, 40.0]


def test_lines_of_one_group_move_together():
    head = Text(at=(95.0, 20.0), words="D4", height_mm=6.0, group="D4", spots=((60.0, 20.0),))
    foot = Text(at=(95.0, 10.0), words="140 mm", height_mm=3.2, group="D4")
    (page,) = seated(
        (Layer(name="w", pen=INK, shapes=(head, foot)),), (Cell(bounds=(0.0, 0.0, 100.0, 50.0)),)
    )
    assert {text.words: text.at for text in _texts(page)} == {"D4": (60.0, 20.0), "140 mm": (60.0, 10.0)}


def test_a_leader_ends_with_a_dot_on_what_it_names_and_is_left_out_on_it():
    beside = Text(at=(10.0, 10.0), words="R3", height_mm=3.2, leader=(50.0, 12.0))
    line, dot = leader_lines([beside])
    assert isinstance(line, Line) and line.points[1] == (50.0, 12.0) and isinstance(dot, Circle)
    assert leader_lines([Text(at=(10.0, 10.0), words="R3", height_mm=3.2, leader=(11.0, 11.0))]) == ()
