"""Panels of a card as one calls them, and the ways between a sheet and its upright panels as SVG transforms."""

from __future__ import annotations

from tackside.card.layout.frame import Frame
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _

PANELS = {
    "outside": _("outside, front and back"), "inside": _("inside, both pages"), "inside-middle": _("inside middle"),
    "front-left": _("front left"), "front-right": _("front right"), "front-upper": _("front upper"),
    "front-lower": _("front lower"), "outside-left": _("outside left"), "outside-middle": _("outside middle"),
    "inside-upper": _("inside upper"), "inside-lower": _("inside lower"),
}  # fmt: skip


def panel_name(name: str, person: Person) -> str:
    """A panel as one calls it."""
    return person.say({**words.PANELS, **PANELS}.get(name, name.replace("-", " ")))


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
