"""The fit drawn to scale: the open sheet as fed, what the printer reaches, the fold, the card and its envelope."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.fit.model import FullFit, called
from tackside.records import Printer
from tackside.units import Box
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _

ROOM = 16.0  # mm around the sheet, for its measures


@dataclass(frozen=True)
class DrawnPanel:
    """A rectangle with a name."""

    box: Box
    name: str
    turned: str


@dataclass(frozen=True)
class FitView:
    """Everything in mm of the drawing, its origin at the sheet's top left corner."""

    view_box: str
    sheet: Box
    panels: tuple[DrawnPanel, ...]
    folds: tuple[tuple[float, float, float, float], ...]
    width: str
    height: str
    facts: tuple[tuple[str, str], ...]
    described: str
    warnings: tuple[str, ...]
    feeds: list[tuple[str, str]]


_TURNED = {0: "", 90: _("turned right"), 180: _("upside down"), 270: _("turned left")}


def fit_view(fit: FullFit, printer: Printer, person: Person) -> FitView:
    width, height = fit.size_mm
    panels = tuple(
        DrawnPanel(
            panel.printable,
            person.tell(called(panel.name)),
            person.say(_TURNED[panel.turn_deg]) if panel.turn_deg else "",
        )
        for panel in fit.panels
    )
    return FitView(
        view_box=f"{-ROOM - 4} {-ROOM} {width + 2 * ROOM + 4:g} {height + 2 * ROOM:g}",
        sheet=Box(0, 0, width, height),
        panels=panels,
        folds=tuple(
            (0.0, crease.at_mm, width, crease.at_mm)
            if crease.direction == "horizontal"
            else (crease.at_mm, 0.0, crease.at_mm, height)
            for crease in fit.creases
        ),
        width=person.length(width),
        height=person.length(height),
        facts=_facts(fit, person),
        described=person.say(
            "The open sheet, %(size)s, with the part that the printer reaches on each panel",
            size=person.size(fit.size_mm),
        ),
        warnings=tuple(person.tell(each) for each in fit.warnings),
        feeds=[(feed.name, feed.name) for feed in printer.feeds],
    )


def _facts(fit: FullFit, person: Person) -> tuple[tuple[str, str], ...]:
    say, none = person.say, person.say("none of the common ones")
    rows = [
        (say("Feed"), fit.feed or say("none takes it")),
        (say("Open sheet"), _named(person.size(fit.size_mm), person.format(fit.size_name))),
        (
            say("Page size in the driver"),
            fit.custom_size or person.format(fit.size_name) or person.size(fit.size_mm),
        ),
        (say("Print reaches"), _reach(fit, person)),
        (
            say("Folded card"),
            _named(person.size(fit.folded_size_mm), person.format(fit.folded_size_name)),
        ),
        (
            say("Thickness, folded"),
            say("not known") if fit.thickness_mm is None else person.length(fit.thickness_mm),
        ),
        (
            say("Envelope"),
            person.lines([_named(person.size(each.size_mm), each.name) for each in fit.envelopes]) or none,
        ),
    ]
    return tuple(rows)


def _named(size: str, name: str) -> str:
    return f"{name}, {size}" if name else size


def _reach(fit: FullFit, person: Person) -> str:
    if fit.borderless:
        if fit.enlargement_mm is None:
            return person.say("every edge, borderless; by how much the image grows is not known")
        return person.say(
            "every edge, borderless; the image grows by %(mm)s an edge", mm=person.length(fit.enlargement_mm)
        )
    margins = fit.margins_mm
    told = person.say(
        "all but %(top)s at the top, %(bottom)s at the bottom, %(left)s left, %(right)s right",
        top=person.length(margins.top), bottom=person.length(margins.bottom), left=person.length(margins.left),
        right=person.length(margins.right),
    )  # fmt: skip
    guess = person.say("(a safe guess)")
    return f"{told} {guess}" if fit.margins_assumed else told
