from __future__ import annotations

from kerftone.draw.free_room import FreeRoom, text_box
from kerftone.draw.sheet import Text


def word(x: float, y: float = 0.0) -> Text:
    return Text(at=(x, y), words="+12", height_mm=3.2, anchor="middle")


def test_the_first_free_place_is_taken_and_kept() -> None:
    room = FreeRoom()
    assert room.put([word(0.0), word(50.0)]) == word(0.0)
    assert room.put([word(1.0), word(50.0)]) == word(50.0)
    assert room.put([word(0.5), word(50.5)]) is None
    assert room.put([word(0.5), word(50.5)], must=True) == word(0.5)


def test_words_of_one_place_do_not_meet_a_line_higher() -> None:
    room = FreeRoom()
    room.take(text_box(word(0.0)))
    assert room.put([word(0.0, 5.0)]) is not None and room.put([word(0.0, 1.0)]) is None
