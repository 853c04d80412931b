"""The finished card as it is held: front, inside and back, each a part of a face, upright."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.card.layout.layout import CardFace
from tackside.card.layout.zones import around, frame_of
from tackside.fit.model import Panel
from tackside.units import Box
from tackside.web.i18n.preferences import Person
from tackside.web.views.cards.card_frames import back_matrix, panel_name


@dataclass(frozen=True)
class Held:
    """A way of holding the finished card: a part of a face, upright. ``matrix`` takes the sheet to it."""

    key: str
    label: str
    face: str
    size: tuple[float, float]
    matrix: str
    folds: tuple[tuple[float, float, float, float], ...]
    described: str


def _hold(key: str, label: str, zone: Panel, face: CardFace, described: str) -> Held:
    frame = frame_of(zone)
    folds = []
    for crease in face.fit.creases:
        across = crease.direction == "horizontal"
        line = (
            Box(zone.trim.x, crease.at_mm, zone.trim.w, 0)
            if across
            else Box(crease.at_mm, zone.trim.y, 0, zone.trim.h)
        )
        inside = (
            zone.trim.y < crease.at_mm < zone.trim.bottom
            if across
            else zone.trim.x < crease.at_mm < zone.trim.right
        )
        if inside:
            x, y, w, h = frame.box_on_panel(line)
            folds.append((x, y, x + w, y + h))
    return Held(key, label, face.name, frame.size, back_matrix(frame), tuple(folds), described)


def held_of(faces: tuple[CardFace, CardFace], person: Person) -> list[Held]:
    """Front (wing by wing of a gate fold), inside and back, as far as the card has them."""
    say, found = person.say, []
    for face, panel in _named(faces, "front"):
        label = say("Front") if panel.name == "front" else panel_name(panel.name, person)
        found.append(_hold("front", label, panel, face, say("The front of the folded card")))
    inside = _named(faces, "inside")
    if inside:  # the insides of a quarter fold lie on the outside of the sheet
        boxes = [panel.trim for _face, panel in inside]
        spread = inside[0][1].model_copy(update={"trim": around(boxes)})
        found.append(_hold("inside", say("Inside"), spread, inside[0][0], say("The opened card, its inside")))
    for face, panel in _named(faces, "back"):
        found.append(_hold("back", say("Back"), panel, face, say("The back of the folded card")))
    return found


def _named(faces: tuple[CardFace, CardFace], name: str) -> list[tuple[CardFace, Panel]]:
    """The panels that are called so or begin so, each with its face."""
    named = [(face, each) for face in faces for each in face.panels]
    return [(face, each) for face, each in named if each.name == name or each.name.startswith(f"{name}-")]


def leaves_of(faces: tuple[CardFace, CardFace], person: Person) -> tuple[dict[str, Held], str]:
    """The four sides of a card of one crease, and where its fold is: ``left`` or ``top``; nothing for other folds."""
    outside, inside = faces
    by_name = {each.name: each for each in (*outside.panels, *inside.panels)}
    if set(by_name) != {"front", "back", "inside-left", "inside-right"}:
        return {}, ""
    found = {
        name: _hold(
            name,
            panel_name(name, person),
            by_name[name],
            outside if name in ("front", "back") else inside,
            "",
        )
        for name in ("front", "inside-left", "inside-right", "back")
    }
    # Where the two inside pages lie beside each other as one reads them, the fold is at the left.
    spread = next(each for each in held_of(faces, person) if each.key == "inside")
    _x1, y1, _x2, y2 = spread.folds[0]
    return found, "top" if abs(y1 - y2) < 1e-6 else "left"
