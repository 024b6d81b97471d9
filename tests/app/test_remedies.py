"""Every remedy has words on the page, none of them a terminal's."""

from __future__ import annotations

import pytest

from kerftone.app.remedies import REMEDIES, refusal_of
from kerftone.errors import KerftoneError, Remedy


@pytest.mark.parametrize("remedy", list(Remedy))
def test_a_remedy_has_words_of_its_own(remedy: Remedy) -> None:
    offer = REMEDIES[remedy]
    assert offer.words[0].isupper()
    assert "--" not in offer.words and "`" not in offer.words and "kerftone" not in offer.words


def test_a_refusal_carries_its_numbers_and_its_remedies_as_buttons() -> None:
    told = refusal_of(KerftoneError("So.", given=3, nearest=2, remedy=Remedy.FIND_LENGTHS))
    assert told["given"] == 3 and told["nearest"] == 2
    assert told["remedies"] == [{"words": "Find the lengths", "do": "lengths"}]
