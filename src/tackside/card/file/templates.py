"""Cards to begin with: card files of the project's own, to be filled with one's pictures and words."""

from __future__ import annotations

import json
from importlib import resources

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


def _quoted(word: str) -> str:
    """A TOML string; its escapes are those of JSON, as the names of a bench hold no others."""
    return json.dumps(word, ensure_ascii=False)
