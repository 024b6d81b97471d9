import pytest

from kerftone.draw.sheet import Layer, Pen, Sheet, closed, height_that_fits, text_width_mm


def test_a_ring_is_closed_by_leaving_out_its_repeated_first_point():
    assert closed([(0, 0), (1, 0), (1, 1), (0, 0)]) == ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))
    assert closed([(0, 0), (1, 0), (1, 1)]) == ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))


def test_words_shrink_until_they_fit_and_grow_no_further_than_allowed():
    height = height_that_fits("5 29/32 in", width_mm=20.0, most_mm=10.0)
    assert text_width_mm("5 29/32 in", height) == pytest.approx(20.0)
    assert height_that_fits("D3", width_mm=200.0, most_mm=10.0) == 10.0


def test_a_layer_is_found_by_its_name():
    layer = Layer(name="tongues", pen=Pen(), shapes=())
    sheet = Sheet(width_mm=1.0, height_mm=1.0, title="", description="", layers=(layer,))
    assert sheet.layer("tongues") is layer
    with pytest.raises(KeyError):
        sheet.layer("bores")
