"""Two drawings on one set of pages, only where that saves paper."""

from kerftone.draw.sheet import Circle, Layer, Pen, Sheet, Text
from kerftone.draw.stack import closely
from kerftone.draw.tiling import tiling


def _sheet(name, wide, high):
    layer = Layer(name="all", pen=Pen(stroke="#000000"), shapes=(Circle(centre=(10.0, 10.0), radius_mm=5.0),))
    beside = Layer(
        name="words",
        pen=Pen(fill="#000000"),
        shapes=(Text(at=(wide + 20.0, 5.0), words="aside", height_mm=4.0),),
    )
    return Sheet(
        width_mm=wide + 60.0,
        height_mm=high,
        title=f"Drum: {name}",
        description="",
        to_size=(0.0, 0.0, wide, high),
        notes=(f"The note of {name}.",),
        layers=(layer, beside),
    )


def test_two_long_low_drawings_share_their_pages_and_say_which_is_which():
    sheets = _sheet("one", 330.0, 90.0), _sheet("two", 320.0, 90.0)
    (both,) = closely(sheets, "a4", title="Drum: both")
    assert len(tiling(both, "a4").tiles) == 2
    assert both.notes == ("Above: one. The note of one.", "Below: two. The note of two.")
    rings = [s.centre for layer in both.layers for s in layer.shapes if isinstance(s, Circle)]
    assert rings == [(10.0, 10.0), (10.0, 10.0 - 98.0)]
    assert not [s for layer in both.layers for s in layer.shapes if isinstance(s, Text)]


def test_drawings_stay_apart_where_a_stack_saves_nothing():
    tall = _sheet("one", 330.0, 150.0), _sheet("two", 320.0, 150.0)
    assert closely(tall, "a4", title="") == tall
    small = _sheet("one", 100.0, 60.0), _sheet("two", 100.0, 60.0)
    assert closely(small, "a4", title="") == small
