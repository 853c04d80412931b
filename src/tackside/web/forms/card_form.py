"""The form of a card: from what was typed to a design, and from a design back to what stands in the fields.

Pictures are the fields ``p0_…``, ``p1_…``, texts ``t0_…``: numbers may be left out, and what is left empty is no part.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import ValidationError

from tackside.card.file.design import CardCredit, CardParts, CardPicture, CardText
from tackside.files.record_faults import field_faults
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.messages.wording import Units
from tackside.records import Record
from tackside.records.card import CardImage, CardTypeface
from tackside.web.forms.numbers import length_mm, number, whole
from tackside.web.forms.received import Form
from tackside.web.forms.stock_form import Filled
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.workflow.cards.fonts import fonts_named

Made = TypeVar("Made", bound=Record)
MOST_PARTS = 40
INKS = {
    "#000000": _("Black"), "#ffffff": _("White"), "#3b3733": _("Soft black"), "#27384a": _("Dark blue"),
    "#5a1f1b": _("Dark red"), "#23402c": _("Dark green"),
}  # fmt: skip
FACES = {
    "sans": _("Plain"), "sans-bold": _("Bold"), "sans-italic": _("Slanted"), "serif": _("With serifs"),
    "serif-italic": _("With serifs, slanted"),
}  # fmt: skip
LAYS = {"fill": _("Fills the panel"), "fit": _("All of it shows"), "placed": _("Placed by hand")}
ALIGNS = {
    "start": _("At the start"), "centre": _("Centred"), "end": _("At the end"), "justified": _("Both edges"),
}  # fmt: skip
HEIGHTS = {"head": _("At the top"), "middle": _("In the middle"), "foot": _("At the foot")}
SIDES = {
    "": _("The coated side, or else the front"), "front": _("The front of the card stock"),
    "back": _("The back of the card stock"),
}  # fmt: skip
FOLDS = {"": _("As the crease lies"), "left": _("At the left"), "top": _("At the top")}
TURNS = {"0": _("Upright"), "90": _("Turned right"), "180": _("Upside down"), "270": _("Turned left")}
PICTURE_FIELDS = ("image", "panel", "lay", "border", "x", "y", "w", "turn", "was")
TEXT_FIELDS = (
    "text", "panel", "face", "size", "least", "lines", "align", "place", "colour", "x", "y", "w", "h", "turn", "was",
)  # fmt: skip
# For each kind of part: the form's field for a field of its record, and the one for all others.
_FIELDS_OF: dict[str, tuple[dict[str, str | tuple[str, ...]], str]] = {
    "pictures": (
        {"placed_mm": ("x", "y", "w"), "border_mm": "border", "panel": "panel", "fit": "lay", "turn": "turn"},
        "image",
    ),
    "texts": (
        {
            "box_mm": ("x", "y", "w", "h"), "size_pt": "size", "face": "face", "align": "align", "panel": "panel",
            "place": "place", "colour": "colour", "turn": "turn", "smallest_pt": "least", "most_lines": "lines",
        },
        "text",
    ),
    "credit": ({"qr": "qr", "qr_mm": "qr"}, "text"),
}  # fmt: skip
FIELDS = (
    "stock",
    "printer",
    "fold",
    "outside_on",
    "background",
    "credit_text",
    "credit_qr",
    "units",
    "after",
)


@dataclass(frozen=True)
class Design:
    """What was typed. ``pictures`` and ``texts`` are the numbers in the form of the parts, in their order."""

    parts: CardParts
    pictures: tuple[int, ...]
    texts: tuple[int, ...]

    def prefix(self, part: Place) -> str:
        """The fields of a part of the card begin so: ``p0``, ``t1``, ``credit``; ``card`` where it is no single one."""
        kind, *number = part.path[:2] or ("card",)
        if kind == "pictures" and number:
            return f"p{self.pictures[int(number[0])]}"
        if kind == "texts" and number:
            return f"t{self.texts[int(number[0])]}"
        return "credit" if kind == "credit" else "card"

    def field(self, part: Place, at: Place | None) -> str:
        """The field that a fault of a part stands beside, ``at`` being its place where it names one."""
        kind, prefix = (part.path or ("card",))[0], self.prefix(part)
        own, otherwise = _FIELDS_OF.get(str(kind), ({}, ""))
        inner = () if at is None or at.path[: len(part.path)] != part.path else at.path[len(part.path) :]
        return f"{prefix}_{_field(inner, own, otherwise)}"


def design_of(parts: CardParts) -> Design:
    """A kept design with its parts numbered from 0."""
    return Design(parts, tuple(range(len(parts.pictures))), tuple(range(len(parts.texts))))


def design_from(
    form: Form,
    kept: CardParts,
    images: Sequence[CardImage],
    person: Person,
    fonts: Sequence[CardTypeface] = (),
) -> Design | Filled:
    """The design that was typed, or the form with each fault beside its field. ``fonts`` are those at hand beside the
    shipped ones.

    What the form does not show of ``kept`` stays as it is.
    """
    units: Units = "in" if form.get("units", person.units) == "in" else "mm"
    faults: dict[str, Message] = {}
    pictures = [
        (n, _picture(form, n, kept, images, units, faults))
        for n in _numbers(form, "p", "image")
        if form.get(f"p{n}_image")
    ]
    texts = [
        (n, _text(form, n, kept, units, faults))
        for n in _numbers(form, "t", "text")
        if form.get(f"t{n}_text")
    ]
    data: dict[str, Any] = {
        "stock": form.get("stock"),
        "printer": form.get("printer"),
        "fold": form.get("fold") or None,
        "outside_on": form.get("outside_on") or None,
        "background": form.get("background") or None,
        "pictures": tuple(part for _n, part in pictures if part is not None),
        "texts": tuple(part for _n, part in texts if part is not None),
        "credit": _credit(form, kept, faults),
    }
    set_in = [each.face for each in (*data["texts"], data["credit"]) if each is not None]
    before = {each.face for each in kept.texts}
    spare = [each.name for each in kept.fonts if each.name not in before]  # for letters that others lack
    data["fonts"] = fonts_named([*set_in, *spare], fonts)
    try:
        parts = CardParts.model_validate({**dict(kept), **data})
    except ValidationError as error:
        for fault in field_faults(error, CardParts):
            path = fault.place.path
            name = str(path[0]) if path and path[0] in FIELDS else ""
            if path[:1] == ("pictures",) and pictures:
                name = f"p{pictures[-1][0]}_panel"
            faults.setdefault(name, fault.message)
        return Filled(form.typed(), faults)
    if faults:
        return Filled(form.typed(), faults)
    return Design(parts, tuple(n for n, _part in pictures), tuple(n for n, _part in texts))


def design_values(design: Design, images: Sequence[CardImage], person: Person) -> dict[str, str]:
    """What stands in the fields for a design."""
    parts = design.parts
    by_name = {each.name: each.sha256 for each in images}
    values = {
        "stock": parts.stock, "printer": parts.printer, "fold": parts.fold or "",
        "outside_on": parts.outside_on or "",
        "background": parts.background or "", "credit_text": parts.credit.text if parts.credit else "",
        "credit_qr": parts.credit.qr if parts.credit else "", "units": person.units,
    }  # fmt: skip
    for n, picture in zip(design.pictures, parts.pictures, strict=True):
        placed = [person.typed(each) for each in picture.placed_mm or ()] or ["", "", ""]
        mine = (
            by_name.get(picture.file, ""), picture.panel, "placed" if picture.placed_mm else picture.fit,
            person.typed(picture.border_mm), *placed, str(picture.turn), str(n),
        )  # fmt: skip
        values |= {f"p{n}_{name}": value for name, value in zip(PICTURE_FIELDS, mine, strict=True)}
    for n, text in zip(design.texts, parts.texts, strict=True):
        box = [person.typed(each) for each in text.box_mm or ()] or ["", "", "", ""]
        mine_ = (
            text.text, text.panel, text.face, f"{text.size_pt:g}",
            "" if text.smallest_pt is None else f"{text.smallest_pt:g}", str(text.most_lines or ""),
            text.align, text.place, text.colour.lower(), *box, str(text.turn), str(n),
        )  # fmt: skip
        values |= {f"t{n}_{name}": value for name, value in zip(TEXT_FIELDS, mine_, strict=True)}
    return values


def part_numbers(values: dict[str, str], kind: str) -> list[int]:
    """The numbers of the pictures (``p``) or texts (``t``) that stand in the fields."""
    found = (re.fullmatch(rf"{kind}(\d{{1,3}})_panel", name) for name in values)
    return sorted({int(each[1]) for each in found if each})


def _numbers(form: Form, kind: str, field: str) -> list[int]:
    found = (re.fullmatch(rf"{kind}(\d{{1,3}})_{field}", name) for name, _value in form.fields)
    return sorted({int(each[1]) for each in found if each})[:MOST_PARTS]


def _picture(
    form: Form, n: int, kept: CardParts, images: Sequence[CardImage], units: Units, faults: dict[str, Message]
) -> CardPicture | None:
    image = next((each for each in images if each.sha256 == form.get(f"p{n}_image")), None)
    if image is None:
        faults[f"p{n}_image"] = Message("form.no-such-picture")
        return None
    lay = form.get(f"p{n}_lay", "fill") or "fill"
    data: dict[str, Any] = {
        "panel": form.get(f"p{n}_panel"), "file": image.name,
        "border_mm": length_mm(form.get(f"p{n}_border"), units) or 0.0, "turn": _turn(form.get(f"p{n}_turn")),
        "fit": "fill" if lay == "placed" else lay,
    }  # fmt: skip
    if lay == "placed":
        data["placed_mm"] = [length_mm(form.get(f"p{n}_{each}"), units) for each in ("x", "y", "w")]
        if data["placed_mm"] == [None, None, None]:  # nothing typed yet: it fills the panel
            del data["placed_mm"]
    before = _before(form, f"p{n}_was", kept.pictures)
    if before is not None and before.file == image.name:
        data["focus"] = before.focus
    return _checked(CardPicture, data, f"p{n}", "pictures", faults)


def _text(form: Form, n: int, kept: CardParts, units: Units, faults: dict[str, Message]) -> CardText | None:
    before = _before(form, f"t{n}_was", kept.texts)
    data: dict[str, Any] = {} if before is None else before.model_dump()
    size = number(form.get(f"t{n}_size"))
    data |= {
        "panel": form.get(f"t{n}_panel"),
        "text": form.get(f"t{n}_text").replace("\r\n", "\n"),
        "turn": _turn(form.get(f"t{n}_turn")),
        **({} if size is None else {"size_pt": size}),
    }
    least = number(form.get(f"t{n}_least"))
    if before is not None and least == before.smallest_pt and _exceeds(least, size):
        least = size  # nobody typed it: a smaller size takes it along
    data |= {"smallest_pt": least, "most_lines": whole(form.get(f"t{n}_lines"))}
    for name in ("face", "align", "place", "colour"):
        if form.get(f"t{n}_{name}"):
            data[name] = form.get(f"t{n}_{name}")
    box = [length_mm(form.get(f"t{n}_{each}"), units) for each in ("x", "y", "w", "h")]
    data["box_mm"] = None if box == [None] * 4 else box
    return _checked(CardText, data, f"t{n}", "texts", faults)


def _credit(form: Form, kept: CardParts, faults: dict[str, Message]) -> CardCredit | None:
    text, qr = form.get("credit_text"), form.get("credit_qr")
    if not text and not qr:
        return None
    before = kept.credit.model_dump() if kept.credit else {}
    return _checked(CardCredit, {**before, "text": text, "qr": qr}, "credit", "credit", faults)


def _checked(
    kind: type[Made], data: dict[str, Any], prefix: str, part: str, faults: dict[str, Message]
) -> Made | None:
    """The part, or None with each fault beside its field."""
    try:
        return kind.model_validate(data)
    except ValidationError as error:
        for fault in field_faults(error, kind):
            faults.setdefault(f"{prefix}_{_field(fault.place.path, *_FIELDS_OF[part])}", fault.message)
        return None


def _field(path: Sequence[str | int], own: Mapping[str, str | tuple[str, ...]], otherwise: str) -> str:
    """The form's field of a part's field, which may be one of several that it is typed in."""
    field = own.get(str(path[0]), otherwise) if path else otherwise
    if isinstance(field, tuple):
        field = field[path[1]] if len(path) > 1 and isinstance(path[1], int) else field[0]
    return field


def _before(form: Form, field: str, parts: Sequence[Any]) -> Any:
    """The kept part that a part of the form was made from, None where it is new."""
    was = form.get(field)
    return parts[int(was)] if re.fullmatch(r"\d{1,3}", was, re.ASCII) and int(was) < len(parts) else None


def _exceeds(least: float | str | None, size: float | str | None) -> bool:
    return isinstance(least, float) and isinstance(size, float) and least > size


def _turn(text: str) -> Any:
    return int(text) if text in TURNS else (text or 0)
