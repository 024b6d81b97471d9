import pytest

from kerftone.sound.score import in_turn, phrase


def test_every_tongue_is_struck_once_in_the_order_asked():
    hits = in_turn([2, 0, 1], spacing_s=1.5, speed_m_s=0.7)
    assert [h.tongue for h in hits] == [2, 0, 1]
    assert [h.at_s for h in hits] == pytest.approx([0.1, 1.6, 3.1])
    assert {h.speed_m_s for h in hits} == {0.7}


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6, 9, 13, 24])
def test_the_phrase_goes_from_the_lowest_to_the_highest_and_home_again(count):
    hits = phrase(range(count), starts_s=0.0, speed_m_s=1.0)
    places = [h.tongue for h in hits]
    assert places[0] == 0
    assert max(places) == count - 1
    assert {h.tongue for h in hits if h.at_s == hits[-1].at_s} == {0, count - 1}
    assert [h.at_s for h in hits] == sorted(h.at_s for h in hits)
    assert hits[-1].at_s < 12.0


def test_the_phrase_of_a_small_drum_touches_every_note():
    assert {h.tongue for h in phrase(range(8), starts_s=0.0, speed_m_s=1.0)} == set(range(8))
