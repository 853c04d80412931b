"""A line is set with as many whole words as its room takes, against taking one after another off its end."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.sheet.blocks.specimen import SENTENCES, SIZES_PT
from tackside.sheet.page.text import width_mm, words_that_fit


@pytest.mark.parametrize("sentence", [*SENTENCES, ""])
@pytest.mark.parametrize("size_pt", SIZES_PT)
def test_as_many_words_are_set_as_fit(sentence: str, size_pt: float) -> None:
    longest = width_mm(sentence, size_pt)
    # Rooms of all sizes, none at all, and those that take some of the words to a hair.
    prefixes = [" ".join(sentence.split()[:count]) for count in range(1, 8)]
    rooms = [*np.linspace(-1.0, longest + 1.0, 40), *(width_mm(prefix, size_pt) for prefix in prefixes)]
    for room_mm in rooms:
        words = sentence.split()
        while words and width_mm(" ".join(words), size_pt) > room_mm:
            words.pop()
        assert words_that_fit(sentence, room_mm, size_pt) == " ".join(words)
