"""A card as its file (TOML) tells it: what stands on which panel, and the ``{names}`` in its words; every fault by
file, field and fix.

Templates are card files of the project's own to begin with, to be filled with one's pictures and words.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, StringConstraints, field_validator, model_validator

from tackside.errors import BadRecord, TacksideError
from tackside.files.record_faults import Inconsistent
from tackside.files.suggest import not_found
from tackside.files.toml_records import load_record
from tackside.fit.model import Fold, TurnDeg
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Record
from tackside.records.sheet_plan import Side, Space
from tackside.records.stock import LengthMm, Name, SizeMm

# front, back, inside-left, inside-right; stocks with more creases have more (see the fit of the stock).
# A picture or a ground may also name a whole face: outside, inside.
PanelName = Name
Share = Annotated[float, Field(ge=0, le=1)]
FileName = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=500)]
Wording = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
SizePt = Annotated[float, Field(ge=3, le=200)]
# Red, green and blue of sRGB (IEC 61966-2-1) in hexadecimal.
Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9A-Fa-f]{6}$")]
PlaceMm = Annotated[float, Field(ge=0, le=2000)]
BoxMm = tuple[PlaceMm, PlaceMm, LengthMm, LengthMm]
# A picture may begin left of its panel or above it: what lies outside is cut off.
OffsetMm = Annotated[float, Field(ge=-2000, le=2000)]

BLACK = "#000000"
# ``{name}``. A doubled brace prints one; a lone one stands for itself.
_PARTS = re.compile(r"\{\{|\}\}|\{([^{}\n]{1,60})\}")

# The parts of a card, as messages and errors name them: by their place in the card file.
WHOLE, CREDIT = Place("card", ()), Place("card", ("credit",))


def picture_part(number: int) -> Place:
    """A picture by its number in the card file, counted from 0."""
    return Place("card", ("pictures", number))


def text_part(number: int) -> Place:
    """A text by its number in the card file, counted from 0."""
    return Place("card", ("texts", number))


def own_field(name: str) -> Place:
    """A field of a part that does not know its own number; ``within`` says which part it is of."""
    return Place("part", (name,))


def all_parts(card: CardParts) -> tuple[Place, ...]:
    """All parts of a card that stand on its panels: pictures, texts, the credit."""
    return (
        *(picture_part(number) for number in range(len(card.pictures))),
        *(text_part(number) for number in range(len(card.texts))),
        *((CREDIT,) if card.credit else ()),
    )


@contextlib.contextmanager
def within(part: Place) -> Iterator[None]:
    """Errors say which part of the card they come from, and which of its fields where they name one."""
    try:
        yield
    except TacksideError as error:
        if error.place is None or error.place.kind == "part":
            error.place = Place(part.kind, (*part.path, *(error.place.path if error.place else ())))
        raise


class CardPicture(Record):
    """A picture on a panel, or on a whole face. ``fit = "fill"`` crops, ``"fit"`` keeps all of it.

    ``border_mm`` is measured from each of the panel's four edges, the crease being one of them; a picture on
    ``outside`` runs on over the crease, from the front to the back. ``focus`` is the point [x, y], as shares of the
    upright picture's width and height, that a crop keeps nearest the middle. ``turn`` turns the picture clockwise.
    ``placed_mm``, [left, top, width], lays the whole picture at a place of its own on the upright panel, its height
    following from its width; what lies outside the border is cut off, and ``fit`` and ``focus`` do not count.
    """

    KIND: ClassVar[str] = "card-picture"

    panel: PanelName
    file: FileName
    fit: Literal["fill", "fit"] = "fill"
    border_mm: Annotated[float, Field(ge=0, le=200)] = 0.0
    focus: tuple[Share, Share] = (0.5, 0.5)
    turn: TurnDeg = 0
    placed_mm: tuple[OffsetMm, OffsetMm, LengthMm] | None = None


class CardGround(Record):
    """A flat colour over a panel, or over a whole face (``outside``, ``inside``)."""

    panel: PanelName
    colour: Colour


class CardFont(Record):
    """A font file beside the card file, and the name that texts call it by; ``number`` is which font of a collection
    (.ttc, .otc) it is, counted from 1."""

    name: Name
    file: FileName
    number: Annotated[int, Field(ge=1, le=64)] = 1


class CardText(Record):
    """A few lines of text on a panel. Line breaks in ``text`` are kept; longer lines are broken where they may be.

    The text stands in ``box_mm``, [x, y, width, height] from the upright panel's top left corner, or else in the whole
    panel clear of its edges; ``place`` says where along the height, ``align`` where along the width. ``start`` is the
    left of a text that runs from the left, the right of one that runs from the right. ``leading`` is the distance of
    baselines in sizes. What has no room at ``size_pt``, or would take more than ``most_lines`` lines, is set smaller,
    as far as ``smallest_pt``. ``{name}`` is filled from the rows of a run; ``{{`` and ``}}`` print a brace.
    """

    KIND: ClassVar[str] = "card-text"

    panel: PanelName
    text: Wording
    size_pt: SizePt = 10.0
    smallest_pt: SizePt | None = None
    most_lines: Annotated[int, Field(ge=1, le=100)] | None = None
    face: Name = "sans"
    place: Literal["head", "middle", "foot"] = "middle"
    align: Literal["start", "centre", "end", "justified"] = "centre"
    leading: Annotated[float, Field(ge=0.8, le=4)] = 1.35  # docs/sources.md, S24
    colour: Colour = BLACK
    box_mm: BoxMm | None = None
    turn: TurnDeg = 0
    direction: Literal["auto", "ltr", "rtl"] = "auto"
    # BCP 47; some fonts shape letters by language.
    language: Annotated[str, StringConstraints(pattern=r"^([A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*)?$")] = ""

    @model_validator(mode="after")
    def _shrinks(self) -> Self:
        if self.smallest_pt is not None and self.smallest_pt > self.size_pt:
            raise Inconsistent(
                "card-file.smallest-is-larger",
                at=("smallest_pt",),
                smallest=self.smallest_pt,
                size=self.size_pt,
            )
        return self


class CardCredit(Record):
    """Who made the card, at the foot of a panel: a text, a QR code over it, or both."""

    KIND: ClassVar[str] = "card-credit"

    text: Annotated[str, StringConstraints(strip_whitespace=True, max_length=500)] = ""
    qr: Annotated[str, StringConstraints(strip_whitespace=True, max_length=500)] = ""
    panel: PanelName = "back"
    size_pt: SizePt = 7.0
    face: Name = "sans"
    colour: Colour = BLACK
    qr_mm: Annotated[float, Field(ge=8, le=60)] = 14.0

    @model_validator(mode="after")
    def _something_said(self) -> Self:
        if not self.text and not self.qr:
            raise Inconsistent("card-file.credit-says-nothing", at=("text",))
        return self


class CardParts(Record):
    """All that a card file may hold, and it may hold nothing yet.

    ``fold`` says how the finished card stands: with its fold at the left or at the top. None: as the crease
    lies (vertical: left; horizontal: top). ``outside_on`` is the face of the stock that the card's outside lies on;
    None: the coated one, and the front where both or neither are. ``space`` is the working space that the output is
    written in.
    ``background`` is a colour over the whole outside. ``cut_to_mm``, [width, height], is the open card when it is
    cut out of the middle of the sheet; ``ticks`` then draws hairlines outside it where to cut and to crease.
    """

    KIND: ClassVar[str] = "card-parts"

    stock: Name
    printer: Name
    fold: Fold | None = None
    outside_on: Side | None = None
    space: Space = "srgb"
    cut_to_mm: SizeMm | None = None
    ticks: bool = False
    background: Colour | None = None
    backgrounds: tuple[CardGround, ...] = ()
    fonts: tuple[CardFont, ...] = ()
    pictures: tuple[CardPicture, ...] = ()
    texts: tuple[CardText, ...] = ()
    credit: CardCredit | None = None

    @property
    def holds_something(self) -> bool:
        return any((self.pictures, self.texts, self.background, self.backgrounds, self.credit))

    @field_validator("pictures")
    @classmethod
    def _one_picture_a_panel(cls, pictures: tuple[CardPicture, ...]) -> tuple[CardPicture, ...]:
        number = _second([picture.panel for picture in pictures])
        if number is not None:
            panel = pictures[number].panel
            raise Inconsistent("card-file.two-pictures-on-a-panel", at=(number, "panel"), panel=panel)
        return pictures

    @field_validator("fonts")
    @classmethod
    def _one_file_a_font(cls, fonts: tuple[CardFont, ...]) -> tuple[CardFont, ...]:
        number = _second([font.name for font in fonts])
        if number is not None:
            raise Inconsistent("card-file.fonts-alike", at=(number, "name"), name=fonts[number].name)
        return fonts

    @model_validator(mode="after")
    def _ticks_have_room(self) -> Self:
        if self.ticks and self.cut_to_mm is None:
            raise Inconsistent("card-file.ticks-without-cut", at=("ticks",))
        return self


class CardFile(CardParts):
    """A card file: at least one thing to print."""

    KIND: ClassVar[str] = "card-file"

    @model_validator(mode="after")
    def _something_to_print(self) -> Self:
        if not self.holds_something:
            raise Inconsistent("card-file.holds-nothing")
        return self


class Card(CardFile):
    """One card design. ``folder`` is where its file lies; pictures and fonts are looked for there and below."""

    KIND: ClassVar[str] = "card"

    folder: Path = Path()


def variables_in(text: str) -> tuple[str, ...]:
    """The names in braces, each once, in order."""
    names = (found[1].strip() for found in _PARTS.finditer(text) if found[1])
    return tuple(dict.fromkeys(filter(None, names)))


def filled(text: str, values: Mapping[str, str]) -> str:
    """The text with its variables filled; braces in the values are doubled, so that they print as they are."""

    def value(found: re.Match[str]) -> str:
        name = (found[1] or "").strip()
        if name not in values:
            return found[0]
        return values[name].replace("{", "{{").replace("}", "}}")

    return _PARTS.sub(value, text)


def plain(text: str) -> str:
    """The text as it is printed: doubled braces single, unfilled variables as they stand."""
    return _PARTS.sub(lambda found: found[0][0] if found[0] in ("{{", "}}") else found[0], text)


def _second(names: list[str]) -> int | None:
    """The place of the first name that stood there before."""
    return next((number for number, name in enumerate(names) if name in names[:number]), None)


def load_card(path: Path | str) -> Card:
    """Read a card file; its pictures and fonts must lie in its folder or below.

    Raises BadRecord, naming the file and the field.
    """
    path = Path(path)
    card = load_record(path, CardFile)
    files = {"pictures": [part.file for part in card.pictures], "fonts": [part.file for part in card.fonts]}
    for kind, named in files.items():
        for number, file in enumerate(named):
            place = Place("card", (kind, number, "file"))
            try:
                refuse_outside(file, path.parent)
            except BadRecord as error:
                inner = Message("card.in-field", field=place, fault=error.message)
                raise BadRecord("record.in-file", place=place, file=str(path), fault=inner) from error
    return Card.model_validate({**dict(card), "folder": path.parent})


def refuse_outside(file: str, folder: Path) -> None:
    """A card file may come from anybody; it must not reach for files elsewhere on the disk, by a link neither.

    Raises BadRecord.
    """
    plain = os.path.normpath(file.replace("\\", "/"))
    outside = "\0" in file or Path(plain).is_absolute() or plain.split("/")[0] == ".." or ":" in plain[:2]
    if not outside:
        try:
            outside = not (folder / file).resolve().is_relative_to(folder.resolve())
        except (OSError, RuntimeError) as error:  # a link that leads to itself
            raise BadRecord("card.file-not-followed", place=own_field("file"), file=file) from error
    if outside:
        raise BadRecord("card.file-outside", place=own_field("file"), file=file)


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
