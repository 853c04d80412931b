"""Which kinds of job there are. A subject adds its own line; the function is imported in the worker alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

GIGABYTE = 1024**3
Lane = Literal["work", "printer", "scanner"]


def _(text: str) -> str:
    """Marks a text for translation; it is translated where it is shown."""
    return text


@dataclass(frozen=True)
class Kind:
    """``run`` is ``module:function``; the function takes a ``Task`` and returns the result as plain JSON data.

    A job must be safe to run again: it writes to the bench once, at its end. ``seconds`` and ``memory_bytes`` bound it.
    ``title`` is what the list of work says, in the person's language. What waits for a printer or a scanner
    has a ``lane`` of its own, so that nothing else waits for it; it is asked to stop (``Task.stopping``).
    """

    run: str
    title: str
    seconds: float = 600.0
    memory_bytes: int = 4 * GIGABYTE
    lane: Lane = "work"


KINDS: dict[str, Kind] = {
    "sheet": Kind("tackside.web.jobs.sheet_files:make", _("Drawing the test sheet"), 300.0),
    "practice": Kind(
        "tackside.web.jobs.practice:print_and_scan",
        _("Printing and scanning on the practice press"),
        600.0,
        6 * GIGABYTE,
    ),
    "read": Kind("tackside.web.jobs.read_print:read", _("Reading what was printed"), 900.0, 6 * GIGABYTE),
    "photo": Kind("tackside.web.phone.job:read", _("Reading a photograph"), 600.0, 6 * GIGABYTE),
    "view": Kind(
        "tackside.web.jobs.scan_view:prepare", _("Preparing a scan to be looked at"), 600.0, 6 * GIGABYTE
    ),
    "arrived": Kind("tackside.web.jobs.arrived:read", _("Reading scans by their tags"), 900.0, 6 * GIGABYTE),
    "scan": Kind(
        "tackside.web.jobs.prints.scan:scan", _("Scanning a sheet"), 1800.0, 6 * GIGABYTE, lane="scanner"
    ),
    "choose": Kind("tackside.web.jobs.choose:run", _("Comparing the cards"), 900.0),
    "prepare-card": Kind("tackside.web.jobs.choose:prepare_card", _("Preparing a card for choosing"), 300.0),
    "proof": Kind("tackside.web.jobs.proof:prepare", _("Preparing a live proof"), 900.0, 6 * GIGABYTE),
    "gamut": Kind("tackside.web.jobs.gamut:prepare", _("Working out what colours it holds"), 300.0),
    "card-picture": Kind(
        "tackside.web.jobs.cards.card_picture:look", _("Looking at a picture for a card"), 600.0, 6 * GIGABYTE
    ),
    "card-font": Kind("tackside.web.jobs.cards.card_font:look", _("Looking at a font for a card"), 120.0),
    "card-files": Kind(
        "tackside.web.jobs.cards.card_files:make", _("Making a card's files"), 900.0, 6 * GIGABYTE
    ),
    "card-list": Kind(
        "tackside.web.jobs.cards.card_list:make", _("Making the cards of a list"), 1800.0, 6 * GIGABYTE
    ),
    "run-plan": Kind("tackside.web.jobs.cards.run_plan:plan", _("Planning a run"), 900.0),
    "run-papers": Kind("tackside.web.jobs.cards.run_plan:write_papers", _("Writing a run's papers"), 900.0),
    "send": Kind("tackside.web.jobs.cards.send_sheets:send", _("Printing"), 8 * 3600.0, lane="printer"),
    "own-profile": Kind("tackside.web.jobs.own_profile:build", _("Building a card's own profile")),
    "refine-profile": Kind("tackside.web.jobs.own_profile:refine", _("Refining a card's own profile")),
    "profile": Kind("tackside.web.jobs.profile:look", _("Looking into a profile"), 600.0),
    "picture": Kind("tackside.web.jobs.picture:look", _("Looking at a picture"), 600.0, 6 * GIGABYTE),
    "report": Kind("tackside.web.jobs.report:make", _("Making a report"), 900.0),
    "hand-on": Kind("tackside.web.jobs.exchange:hand_on", _("Packing a stock's whole record")),
    "take-in": Kind("tackside.web.jobs.exchange:take_in", _("Taking in a stock's record")),
}
