"""Panels of a card as one calls them, and the ways between a sheet and its upright panels as SVG transforms."""

from __future__ import annotations

from tackside.card.layout.zones import Frame
from tackside.fit.model import called
from tackside.messages.message import Message
from tackside.web.i18n.preferences import Person

# Whole faces, which a card file names as it does a panel.
_FACES = {"outside": Message("panel.whole-outside"), "inside": Message("panel.whole-inside")}


def panel_name(name: str, person: Person) -> str:
    """A panel, or a whole face, as one calls it."""
    return person.tell(_FACES.get(name) or called(name))


def matrix_of(frame: Frame) -> str:
    """The upright panel laid on the sheet, as an SVG transform."""
    zero, right, down = (frame.point_on_sheet(*at) for at in ((0, 0), (1, 0), (0, 1)))
    a, b = round(right[0] - zero[0]), round(right[1] - zero[1])
    c, d = round(down[0] - zero[0]), round(down[1] - zero[1])
    return f"matrix({a} {b} {c} {d} {zero[0]:g} {zero[1]:g})"


def back_matrix(frame: Frame) -> str:
    """The sheet as the upright panel sees it."""
    zero, right, down = (frame.point_on_sheet(*at) for at in ((0, 0), (1, 0), (0, 1)))
    a, b = round(right[0] - zero[0]), round(right[1] - zero[1])
    c, d = round(down[0] - zero[0]), round(down[1] - zero[1])
    e, f = -(a * zero[0] + b * zero[1]), -(c * zero[0] + d * zero[1])
    return f"matrix({a} {c} {b} {d} {e:g} {f:g})"
