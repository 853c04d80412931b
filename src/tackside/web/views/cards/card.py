"""A card being made, as its page draws it: each face of the open sheet, every part on it, and the folded card."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tackside.card.checks.live_check import LiveCheck
from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedPicture
from tackside.card.layout.texts import PlacedText
from tackside.card.layout.zones import SAFE_ZONE_MM, Frame, frame_of, with_bleed
from tackside.fit.model import Panel
from tackside.messages.message import Message
from tackside.records import Crease
from tackside.records.card import CardImage
from tackside.units import Box
from tackside.web.forms.card_form import Design
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.web.views.cards.card_frames import matrix_of, panel_name
from tackside.web.views.cards.card_held import Held, held_of, leaves_of
from tackside.web.views.cards.card_type import GlyphPath, code_paper, code_path, glyphs_of, hexadecimal

ROOM = 13.0  # mm round the sheet, for its names and measures
FACES = {"outside": _("Outside"), "inside": _("Inside"), "front": _("Front"), "back": _("Back")}


@dataclass(frozen=True)
class Part:
    """A picture or a text on a face. Boxes are mm on its upright panel, which ``matrix`` lays on the sheet.

    ``key`` begins its fields in the form; ``model`` is what the script needs to move it, as JSON. ``whole`` is where
    all of a picture lies, of which ``box`` shows.
    """

    key: str
    kind: str
    label: str
    panel: str
    matrix: str
    box: Box
    model: str
    has_remarks: bool
    whole: Box | None = None
    href: str = ""
    ink: str = ""
    glyphs: tuple[GlyphPath, ...] = ()


@dataclass(frozen=True)
class Zone:
    """A panel on the sheet; ``safe`` and ``hatch`` (what the printer does not reach) are on the sheet as well."""

    name: str
    label: str
    trim: Box
    safe: Box
    hatch: str
    matrix: str
    size: tuple[float, float]
    name_at: tuple[float, float, float]


@dataclass(frozen=True)
class Fold:
    """A crease on a face: from (x1, y1) to (x2, y2); ``away`` folds the parts from the reader."""

    x1: float
    y1: float
    x2: float
    y2: float
    away: bool
    label: str


@dataclass(frozen=True)
class FaceView:
    name: str
    label: str
    view_box: str
    size: tuple[float, float]
    trim: Box
    is_cut: bool
    bleed: Box
    fills: tuple[tuple[Box, str], ...]
    pictures: tuple[Part, ...]
    texts: tuple[Part, ...]
    codes: tuple[tuple[str, str, str | None], ...]
    zones: tuple[Zone, ...]
    folds: tuple[Fold, ...]
    described: str


@dataclass(frozen=True)
class CardView:
    """``held`` are front, inside and back; ``leaves`` the four sides of a card of one crease, for one that opens.

    ``remarks`` and ``faults`` stand by the beginning of a part's fields; ``card`` and ``credit`` are their own.
    """

    faces: tuple[FaceView, ...]
    held: tuple[Held, ...]
    leaves: Mapping[str, Held]
    opens: str
    panels: tuple[tuple[str, str], ...]
    zones: tuple[tuple[str, str], ...]
    remarks: Mapping[str, tuple[Message, ...]]
    faults: Mapping[str, Message]
    is_bare: bool


def card_view(
    checked: LiveCheck, design: Design, images: Sequence[CardImage], base: str, person: Person
) -> CardView:
    """Everything that is drawn. ``base`` is the card's address, under which its pictures are served."""
    remarks = {design.prefix(part): messages for part, messages in checked.remarks.items()}
    faults = {design.prefix(part): error.message for part, error in checked.faults.items()}
    draw = _Drawer(design, images, base, person, frozenset(remarks))
    faces = tuple(draw.face(face) for face in checked.faces)
    held = tuple(held_of(checked.faces, person))
    leaves, opens = leaves_of(checked.faces, person)
    panels = [each.name for face in checked.faces for each in face.panels]
    whole = [name for face in checked.faces for name in face.zones]
    return CardView(
        faces=faces,
        held=held,
        leaves=leaves,
        opens=opens,
        panels=_to_choose(panels, person),
        zones=_to_choose([*panels, *whole], person),
        remarks=remarks,
        faults=faults,
        is_bare=all(each.is_empty for each in checked.faces),
    )


def _to_choose(names: Sequence[str], person: Person) -> tuple[tuple[str, str], ...]:
    """Panels with what they are called, but those that no fold lets one see."""
    return tuple(
        (name, panel_name(name, person)) for name in dict.fromkeys(names) if not name.startswith("hidden")
    )


TURNED = {90: _("turned right"), 180: _("upside down"), 270: _("turned left")}


@dataclass(frozen=True)
class _Drawer:
    design: Design
    images: Sequence[CardImage]
    base: str
    person: Person
    remarked: frozenset[str]

    def face(self, face: CardFace) -> FaceView:
        say, (width, height) = self.person.say, face.fit.size_mm
        name = "front" if face.side == "front" and len(face.panels) == 1 else face.name
        label = say(FACES[name])
        return FaceView(
            name=face.name,
            label=label,
            view_box=f"{-ROOM:g} {-ROOM:g} {width + 2 * ROOM:g} {height + 2 * ROOM:g}",
            size=(width, height),
            trim=face.trim,
            is_cut=face.trim != Box(0, 0, width, height),
            bleed=face.bleed,
            fills=tuple((fill.box_mm, hexadecimal(fill.rgb)) for fill in face.fills),
            pictures=tuple(self._picture(placed, face) for placed in face.pictures),
            texts=tuple(self._text(text, face) for text in face.texts),
            codes=tuple((code_path(code), hexadecimal(code.rgb), code_paper(code)) for code in face.codes),
            zones=tuple(self._zone(panel, face) for panel in face.panels),
            folds=tuple(self._fold(crease, face) for crease in face.fit.creases),
            described=say(
                "%(face)s of the open sheet, %(size)s", face=label, size=self.person.size((width, height))
            ),
        )

    def _picture(self, placed: PlacedPicture, face: CardFace) -> Part:
        key = self.design.prefix(placed.part)
        image = next(each for each in self.images if each.name == placed.asked.file)
        zone = face.zones[placed.asked.panel]
        frame = frame_of(zone, placed.asked.turn)  # without the bleed that it may be laid on
        shown = frame.box_on_panel(placed.box_mm)
        whole = whole_of(placed, shown)
        label = self.person.say(
            "Picture %(file)s on the %(panel)s", file=image.name, panel=panel_name(zone.name, self.person)
        )
        room = Box(0, 0, *frame.size).shrunk(placed.asked.border_mm)
        if placed.asked.border_mm == 0:
            room = frame.box_on_panel(with_bleed(zone.trim, face.trim, face.fit))
        model = _model(zone, frame, face) | {
            "key": key, "kind": "picture", "whole": _plain(whole), "room": _plain(room),
            "aspect": image.size_px[0] / image.size_px[1],
        }  # fmt: skip
        return Part(
            key, "picture", label, zone.name, matrix_of(frame), shown, json.dumps(model), key in self.remarked,
            whole, f"{self.base}/shown/{image.shown_sha256}.jpg",
        )  # fmt: skip

    def _text(self, text: PlacedText, face: CardFace) -> Part:
        key = self.design.prefix(text.part)
        zone = face.zones[text.asked.panel]
        box = text.frame.box_on_panel(text.box_mm)
        said = " ".join(text.asked.text.split())
        label = self.person.say(
            "Words “%(words)s” on the %(panel)s", words=said if len(said) <= 40 else f"{said[:39]}…",
            panel=panel_name(zone.name, self.person),
        )  # fmt: skip
        model = _model(zone, text.frame, face) | {
            "key": key, "kind": "text", "whole": _plain(box), "align": text.asked.align,
            "size_pt": text.asked.size_pt,
        }  # fmt: skip
        return Part(
            key, "text", label, zone.name, matrix_of(text.frame), box, json.dumps(model), key in self.remarked,
            ink=text.asked.colour, glyphs=glyphs_of(text),
        )  # fmt: skip

    def _zone(self, panel: Panel, face: CardFace) -> Zone:
        frame = frame_of(panel)
        label = panel_name(panel.name, self.person)
        if panel.turn_deg:
            label = f"{label}, {self.person.say(TURNED[panel.turn_deg])}"
        return Zone(
            panel.name, label, panel.trim, panel.trim.shrunk(SAFE_ZONE_MM), _hatch(panel), matrix_of(frame), frame.size,
            _name_at(panel, face),
        )  # fmt: skip

    def _fold(self, crease: Crease, face: CardFace) -> Fold:
        """Seen on the outside, a card that folds in is folded away from the reader."""
        (width, height), at = face.fit.size_mm, crease.at_mm
        away = (crease.folds == "in") == (face.side == "front")
        label = (
            self.person.say("crease, fold away from you")
            if away
            else self.person.say("crease, fold towards you")
        )
        if crease.direction == "horizontal":
            return Fold(-5, at, width + 5, at, away, label)
        return Fold(at, -5, at, height + 5, away, label)


def whole_of(placed: PlacedPicture, shown: Box) -> Box:
    """Where all of a picture lies on the upright panel, of which ``shown`` is what shows."""
    mm = shown.w / placed.part_px.w
    width, height = placed.picture.size_px
    return Box(shown.x - placed.part_px.x * mm, shown.y - placed.part_px.y * mm, width * mm, height * mm)


def _name_at(panel: Panel, face: CardFace) -> tuple[float, float, float]:
    """Where a panel's name stands, beside the sheet and never on it: x, y and turn."""
    columns = {each.trim.x for each in face.panels}
    rows = {each.trim.y for each in face.panels}
    x, y = panel.trim.centre
    if len(rows) == 1:
        return x, face.fit.size_mm[1] + 8.5, 0.0
    return (-4.5 if len(columns) == 1 or panel.trim.x == min(columns) else face.fit.size_mm[0] + 8, y, -90.0)


def _model(zone: Panel, frame: Frame, face: CardFace) -> dict[str, object]:
    """What a part may snap to, on its upright panel: the panel itself, its safe zone, what the printer reaches."""
    reach = frame.box_on_panel(zone.printable) if zone.is_reached else Box(0, 0, *frame.size)
    return {
        "panel": zone.name, "size": list(frame.size), "safe": SAFE_ZONE_MM, "reach": _plain(reach),
        "bleed": _plain(frame.box_on_panel(with_bleed(zone.trim, face.trim, face.fit))),
    }  # fmt: skip


def _plain(box: Box) -> list[float]:
    return [round(each, 4) for each in box]


def _hatch(panel: Panel) -> str:
    if panel.printable == panel.trim:
        return ""
    inner = panel.printable if panel.is_reached else Box(panel.trim.x, panel.trim.y, 0, 0)
    return "".join(f"M{b.x:g} {b.y:g}h{b.w:g}v{b.h:g}h{-b.w:g}z" for b in (panel.trim, inner))
