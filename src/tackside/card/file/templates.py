"""Cards to begin with: card files of the project's own, to be filled with one's pictures and words."""

from __future__ import annotations

import json
import tomllib
from functools import lru_cache
from importlib import resources

from tackside.card.file.design import CardParts, variables_in
from tackside.files.suggest import not_found
from tackside.messages.message import Message

# name → what it is, in the order they are listed.
TEMPLATES = {
    "mount": "a picture in an even border",
    "brimful": "a picture to every edge of the front, the credit with a code",
    "panorama": "one wide picture round front and back",
    "lettered": "large letters on a coloured ground, a text inside",
    "by-name": "one card for each row of a list",
}


def template(name: str, stock: str, printer: str) -> str:
    """A template's card file for a stock and a printer, as text. Raises NotFound."""
    if name not in TEMPLATES:
        known = Message("card.templates", templates=tuple(TEMPLATES))
        raise not_found("card.no-template", name, TEMPLATES, known)
    file = resources.files("tackside.card.file") / "template_files" / f"{name}.toml"
    text = file.read_text(encoding="utf-8")
    return text.replace('"STOCK"', _quoted(stock)).replace('"PRINTER"', _quoted(printer))


def sample_words(card: CardParts) -> tuple[str, ...]:
    """The words on a card that still stand as a template has them, in the card's order."""
    words = [text.text for text in card.texts]
    words += [card.credit.text, card.credit.qr] if card.credit else []
    return tuple(dict.fromkeys(each for each in words if _tidy(each) in _samples()))


@lru_cache
def _samples() -> frozenset[str]:
    """All words of the templates, but for those that a list fills."""
    found: set[str] = set()
    for name in TEMPLATES:
        card = tomllib.loads(template(name, "", ""))
        found |= {text["text"] for text in card.get("texts", ())}
        found |= {card["credit"].get(each, "") for each in ("text", "qr")} if "credit" in card else set()
    return frozenset(_tidy(each) for each in found if each and not variables_in(each))


def _tidy(words: str) -> str:
    return " ".join(words.split())


def _quoted(word: str) -> str:
    """A TOML string; its escapes are those of JSON, as the names of a bench hold no others."""
    return json.dumps(word, ensure_ascii=False)
