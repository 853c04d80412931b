"""Messages are data: equal by content, plain in JSON, and back; worded for whoever reads them."""

from __future__ import annotations

import pickle
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from tackside.errors import BadRequest, BadScan
from tackside.messages.catalogue import Fault, Plural, Where, texts_of
from tackside.messages.message import WITH_WORDS, Message
from tackside.messages.place import Place
from tackside.messages.wording import TERMINAL, Wording, document, documents, key_of

SIMPLE = st.one_of(st.text(), st.integers(), st.floats(allow_nan=False), st.booleans(), st.none())
PLACES = st.builds(Place, st.text(), st.lists(st.text() | st.integers(0, 9)).map(tuple))
NAMES = st.from_regex(r"[a-z]{1,8}", fullmatch=True)
VALUES = st.recursive(
    SIMPLE | PLACES,
    lambda inner: (
        st.lists(inner, max_size=3).map(tuple)
        | st.builds(lambda values: Message("test.one", **values), st.dictionaries(NAMES, inner, max_size=3))
    ),
    max_leaves=8,
)


@pytest.fixture
def texts(monkeypatch: pytest.MonkeyPatch) -> dict[str, object]:
    """Texts of a subject that only these tests know."""
    held: dict[str, object] = {}
    monkeypatch.setattr(
        "tackside.messages.catalogue.texts_of",
        lambda subject: held if subject == "test" else texts_of(subject),
    )
    return held


@given(st.dictionaries(NAMES, VALUES, max_size=4))
def test_what_was_kept_comes_back(values: dict[str, object]) -> None:
    message = Message("test.any", **values)
    assert Message.of_data(message.as_data()) == message
    assert hash(Message.of_data(message.as_data())) == hash(message)


def test_equal_by_content_in_any_order() -> None:
    assert Message("test.a", x=1, y="b") == Message("test.a", y="b", x=1)
    assert Message("test.a", x=1) != Message("test.a", x=2)
    assert Message("test.a", x=1) != Message("test.b", x=1)
    assert Message("test.a", sizes=[1.0, 2.0]) == Message("test.a", sizes=np.array([1.0, 2.0]))
    assert Message("test.a", x=1).with_values(x=2) == Message("test.a", x=2)


def test_a_record_keeps_its_messages_and_adds_their_words_where_asked() -> None:
    class Told(BaseModel):
        said: tuple[Message, ...]

    told = Told(said=(Message("said.fault", what="no ink", fix="fill it"),))
    assert Told.model_validate(told.model_dump(mode="json")) == told
    assert told.model_dump(mode="json", context=WITH_WORDS)["said"] == list(documents(told.said))
    assert Told.model_validate(told.model_dump(mode="json", context=WITH_WORDS)) == told


def test_a_sentence_that_an_earlier_version_kept_is_still_said() -> None:
    assert TERMINAL.text(Message.of_data("Black is weak: 100 % {sure}.")) == "Black is weak: 100 % {sure}."


@pytest.mark.parametrize("code", ["", "one", "Two.words", "a..b", "a.b_c", "a b.c"])
def test_a_code_has_its_form(code: str) -> None:
    with pytest.raises(ValueError):
        Message(code)


def test_other_kinds_of_values_are_refused() -> None:
    with pytest.raises(TypeError):
        Message("test.a", value=object())


def test_a_code_of_a_later_version_is_told_by_its_values() -> None:
    assert TERMINAL.text(Message("later.news", depth=2.5, name="{x}")) == "later.news (depth 2.5, name {x})"


def test_numbers_and_lengths_are_the_readers(texts: dict[str, object]) -> None:
    texts["test.size"] = "{size_mm} at {at_mm:.1f}, {share:%} or {share:.1%}, {value:.2f}, {raw}"
    message = Message(
        "test.size", size_mm=(210, 297), at_mm=148.52, share=0.125, value=-1234.5, raw=Decimal("1.50")
    )
    assert TERMINAL.text(message) == "210 × 297 mm at 148.5 mm, 12 % or 12.5 %, −1234.50, 1.50"
    inches = Wording(units="in")
    # 1 inch is 25.4 mm by definition (1959 agreement).
    assert inches.text(message).startswith("8.268 × 11.693 in at 5.847 in")
    german = Wording(language="de")
    assert german.text(message) == "210 × 297 mm at 148,5 mm, 12 % or 12,5 %, −1234,50, 1,50"
    french = Wording(language="fr")
    assert french.text(message) == "210 × 297 mm at 148,5 mm, 12 % or 12,5 %, −1234,50, 1,50"
    assert [each.number(1234567, ",d") for each in (TERMINAL, german, french)] == [
        "1,234,567", "1.234.567", "1\u202f234\u202f567",
    ]  # fmt: skip
    assert TERMINAL.number(-0.001, ".1f") == "0.0"


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("en", ["12.40 EUR", "1234.5 GBP", "−3 JPY", "12.400 KWD"]),
        # Unicode CLDR: the currency's sign behind, after a no-break space, and the language's own signs in the number.
        ("de", ["12,40\u00a0€", "1.234,5\u00a0£", "−3\u00a0¥", "12,400\u00a0KWD"]),
        ("fr", ["12,40\u00a0€", "1\u202f234,5\u00a0£GB", "−3\u00a0JPY", "12,400\u00a0KWD"]),
    ],
)
def test_money_is_said_as_the_language_has_it(language: str, told: list[str]) -> None:
    """With the decimals that the amount has: its smallest unit is ISO 4217's."""
    amounts = (("12.40", "EUR"), ("1234.5", "GBP"), ("-3", "JPY"), ("12.400", "KWD"))
    wording = Wording(language=language)
    assert [
        wording.text(Message("money.amount", amount=Decimal(each), currency=code)) for each, code in amounts
    ] == told


def test_parts_are_joined_as_the_language_joins_them() -> None:
    joined = {code: Wording(language=code).several(["a", "b", "c"], "and") for code in ("en", "de", "fr")}
    assert joined == {"en": "a, b and c", "de": "a, b und c", "fr": "a, b et c"}
    assert Wording(language="fr").several(["a", "b"], "lines") == "a\u202f; b"


def test_counts_choose_the_plural(texts: dict[str, object]) -> None:
    texts["test.count"] = Plural("{count} patch", "{count} patches")
    assert [TERMINAL.text(Message("test.count", count=n)) for n in (0, 1, 2)] == [
        "0 patches",
        "1 patch",
        "2 patches",
    ]


def test_faults_are_told_where_they_are_mended(texts: dict[str, object]) -> None:
    texts["test.missing"] = Fault(
        Where("{field} is missing", "{field} is empty"), Where("add {field} to the file", "fill it in")
    )
    error = BadRequest(
        "test.missing", place=Place("stock", ("feeds", 1, "name")), field=Place("stock", ("feeds", 1))
    )
    assert str(error) == "feeds no. 2 is missing; add feeds no. 2 to the file"
    page = Wording(where="page", name_of=lambda place: "The second feed")
    assert (page.what(error.message), page.fix(error.message)) == ("The second feed is empty", "fill it in")
    assert document(error.message)["code"] == "test.missing"


def test_errors_travel_between_processes() -> None:
    error = BadScan("said.fault", place=Place("trial", ("id",)), what="no marks", fix="scan the whole sheet")
    back = pickle.loads(pickle.dumps(error))
    assert (back.message, back.place, str(back)) == (error.message, error.place, str(error))


def test_places_read_as_in_a_file() -> None:
    assert key_of(Place("printer", ("feeds", 1, "margins_mm", "top"))) == "feeds no. 2: margins_mm.top"
    assert key_of(Place("stock", ("open_size_mm", 0))) == "open_size_mm (width)"
    assert key_of(Place("stock", ())) == "the file"


def test_a_fault_within_a_fault_keeps_its_fix(texts: dict[str, object]) -> None:
    texts["test.torn"] = Fault("it is torn", "take another")
    texts["test.row"] = Fault("row {row}: {fault}", "{fault:fix}")
    assert str(BadScan("test.row", row=3, fault=Message("test.torn"))) == "row 3: it is torn; take another"
