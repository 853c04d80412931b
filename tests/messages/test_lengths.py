"""Lengths come with the reader's unit, so no text names one after them."""

import re

from tackside.messages.catalogue import Plural, all_entries, strings_in

LENGTH_AND_UNIT = re.compile(r"\{\w+_mm(?::[^}]*)?\} ?(?:mm|in|cm)\b")


def test_no_text_names_a_unit_after_a_length() -> None:
    assert LENGTH_AND_UNIT.search("{off_mm:.1f} mm off")
    told = [
        (code, one)
        for code, entry in all_entries()
        for text in strings_in(entry)
        for one in ((text.one, text.many) if isinstance(text, Plural) else (text,))
    ]
    assert [each for each in told if LENGTH_AND_UNIT.search(each[1])] == []
