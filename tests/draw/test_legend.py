import pytest

from kerftone.draw.legend import Block, Entry, set_bars, set_entry, wrapped
from kerftone.draw.sheet import Pen, text_width_mm


def _ends(regions):
    xs = [x for region in regions for x, _ in region.outer]
    return min(xs), max(xs)


def test_the_bar_of_a_millimetre_drum_is_a_hundred_millimetres_in_tens():
    block = Block()
    set_bars(block, at=(7.0, 3.0), units="mm", height_mm=4.0, full_size=True)
    low, high = _ends(block.black + block.white)
    assert high - low == pytest.approx(100.0, abs=1e-9)
    assert len(block.black) == len(block.white) == 5
    assert "100 mm" in block.words[0].words and "100 %" in block.words[0].words
    # each number begins over its own mark, and none lies on a bar
    assert [(t.at[0] - 7.0, t.words) for t in block.words[1:]] == [
        (0.0, "0"), (20.0, "20"), (40.0, "40"), (60.0, "60"), (80.0, "80"), (100.0, "100 mm")
    ]  # fmt: skip
    assert all(t.at[1] > max(y for region in block.black for _, y in region.outer) for t in block.words)


def test_an_inch_drum_has_a_bar_of_four_inches_as_well():
    block = Block()
    set_bars(block, at=(0.0, 0.0), units="in", height_mm=4.0, full_size=True)
    heights = sorted({region.outer[0][1] for region in block.black})
    spans = [_ends([r for r in block.black + block.white if r.outer[0][1] == y]) for y in heights]
    assert [high - low for low, high in spans] == pytest.approx([100.0, 101.6], abs=1e-9)
    assert "4 inches" in block.words[0].words


def test_a_reduced_picture_says_not_to_measure_it():
    block = Block()
    set_bars(block, at=(0.0, 0.0), units="mm", height_mm=4.0, full_size=False)
    assert "not from here" in block.words[0].words


def test_long_words_are_broken_to_fit_and_take_room():
    words = "Bored from underneath, 16, 20, 22, 25 and 30 mm across; the figure is the depth. Not through."
    assert all(
        text_width_mm(line, 4.0) < 1.1 * 120.0 for line in wrapped(words, width_mm=120.0, height_mm=4.0)
    )
    short, long = Block(), Block()
    entry = Entry(name="bore", pen=Pen(), words="Short.", sample="circle")
    one = set_entry(short, entry, at=(0.0, 0.0), width_mm=140.0, height_mm=4.0)
    more = set_entry(
        long, Entry(name="bore", pen=Pen(), words=words), at=(0.0, 0.0), width_mm=140.0, height_mm=4.0
    )
    assert more > one
    assert all(text.at[1] >= -more for text in long.words)
