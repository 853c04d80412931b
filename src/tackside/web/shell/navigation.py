"""Where one can go: the menu's groups and the doors on the first page. A subject adds its own line."""

from __future__ import annotations

from dataclasses import dataclass


def _(text: str) -> str:
    """Marks a text for translation; it is translated where it is shown."""
    return text


@dataclass(frozen=True)
class Destination:
    """One entry of the menu. ``under`` are further paths that belong to it."""

    label: str
    href: str
    icon: str
    under: tuple[str, ...] = ()

    def is_here(self, path: str) -> bool:
        return path == self.href or any(
            path.startswith(each) for each in (f"{self.href}/", *self.under) if each != "//"
        )


@dataclass(frozen=True)
class Door:
    """What a person may want to do, in their words. ``drawing`` names a macro in ``_drawings.html``."""

    title: str
    hint: str
    href: str
    drawing: str


@dataclass(frozen=True)
class Group:
    """Destinations that belong together. One that has a single destination is that destination itself."""

    key: str
    label: str
    icon: str
    places: tuple[Destination, ...]

    def here(self, path: str) -> Destination | None:
        """The destination of the group that the page at ``path`` belongs to."""
        return next((place for place in self.places if place.is_here(path)), None)


def _alone(place: Destination) -> Group:
    return Group(place.icon, place.label, place.icon, (place,))


GROUPS: tuple[Group, ...] = (
    _alone(Destination(_("Bench"), "/", "bench")),
    Group(
        "test",
        _("Test"),
        "trial",
        (
            Destination(_("Trials"), "/trials", "trial", ("/test", "/wrong", "/practice")),
            Destination(_("Compare"), "/compare", "compare", ("/report", "/reports")),
        ),
    ),
    Group(
        "make",
        _("Make"),
        "card",
        (
            Destination(_("Choose"), "/choose", "choose", ("/choices",)),
            Destination(_("Cards"), "/cards", "card", ("/make/card",)),
            Destination(_("Runs"), "/runs", "run", ("/plan/run",)),
            Destination(_("Pictures"), "/pictures", "picture"),
        ),
    ),
    Group(
        "studio",
        _("Studio"),
        "printer",
        (
            Destination(_("Stocks"), "/stocks", "stock", ("/describe/stock", "/take-in")),
            Destination(_("Printers"), "/printers", "printer", ("/describe/printer",)),
            Destination(_("Profiles"), "/profiles", "profile", ("/gamut",)),
        ),
    ),
    _alone(Destination(_("Work"), "/jobs", "work")),
)

DOORS: tuple[Door, ...] = (
    Door(
        _("Test a card"),
        _("Will this card hold a print? Print one sheet, scan it, get a verdict."),
        "/test",
        "test",
    ),
    Door(
        _("Find out what went wrong"),
        _("A print came out poor. Is it the card, the side, the settings or the printer?"),
        "/wrong",
        "wrong",
    ),
    Door(
        _("Choose a card for a picture"),
        _("Which of the cards you have read suits it, and what each would make of it."),
        "/choose",
        "choose",
    ),
    Door(
        _("Make a card"),
        _("A picture and words laid out round the crease, and the file for your printer."),
        "/make/card",
        "make",
    ),
    Door(
        _("Plan a run"),
        _("Many cards: what to buy, what they cost, and counting at the printer."),
        "/plan/run",
        "run",
    ),
    Door(
        _("Publish a comparison"),
        _("One page that anyone can open, with figures and settings."),
        "/report",
        "publish",
    ),
)
