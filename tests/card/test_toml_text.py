"""A design written as a card file is read back as the same design, whatever its words hold."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.card.file.design import (
    CardCredit,
    CardFile,
    CardGround,
    CardParts,
    CardPicture,
    CardText,
    load_card,
)
from tackside.card.file.toml_text import card_toml

# All that a text may hold: any character but lone surrogates, which no file in UTF-8 has.
words = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=60).filter(
    lambda each: each.strip()
)


def read_back(card: CardParts) -> CardFile:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "card.toml"
        file.write_bytes(card_toml(card).encode("utf-8"))
        return CardFile.model_validate(load_card(file).model_dump(exclude={"folder"}))


def test_every_field_comes_back() -> None:
    card = CardFile(
        stock='Harbour "Satin" 300', printer="Tern 8\\9", fold="left", space="adobe-rgb", cut_to_mm=(190, 140.5),
        ticks=True, background="#f4efe6", backgrounds=(CardGround(panel="inside", colour="#FFFDF8"),),
        pictures=(
            CardPicture(panel="front", file="boats at noon.jpg", placed_mm=(-3.25, 0.1, 160), border_mm=6, turn=90),
            CardPicture(panel="back", file="b/c.jpg", fit="fit", focus=(0.25, 1)),
        ),
        texts=(CardText(panel="back", text='One\n"""two"""\n\\three', size_pt=8.5, box_mm=(1, 2, 30, 40)),),
        credit=CardCredit(text="Printed by hand", qr="https://example.org"),
    )  # fmt: skip
    assert read_back(card) == card


@settings(max_examples=150, deadline=None)
@given(words, words)
def test_any_words_come_back_as_they_were(text: str, name: str) -> None:
    card = CardFile(stock=name, printer="Tern 8", texts=(CardText(panel="back", text=text),))
    assert read_back(card) == card


def test_what_is_taken_anyway_is_not_written() -> None:
    plain = card_toml(CardParts(stock="A", printer="B", texts=(CardText(panel="back", text="Hi"),)))
    assert plain == 'stock = "A"\nprinter = "B"\n\n[[texts]]\npanel = "back"\ntext = "Hi"\n'
