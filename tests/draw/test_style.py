import pytest

from kerftone.draw import style


def _contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours: WCAG 2.1, relative luminance (from memory)."""

    def luminance(colour: str) -> float:
        parts = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ink", [style.INK, style.RUST, style.SEA, style.SLATE, style.PLUM])
@pytest.mark.parametrize("ground", [style.PAPER, style.WOOD, style.TONGUE])
def test_every_ink_reads_on_every_ground(ink, ground):
    # 4.5 to 1 is the usual least for small words (WCAG 2.1, AA; from memory).
    assert _contrast(ink, ground) >= 4.5


def test_words_are_at_least_three_point_two_millimetres_on_any_board():
    assert min(style.look_for(length).body_mm for length in (100.0, 300.0, 420.0, 1500.0)) >= 3.2
