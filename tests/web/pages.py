"""Every page of the workbench by its name; a subject adds its own lines. ``{waiting}`` and the like are filled in."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.web.shell.keys import key_of

PAGES: dict[str, str] = {
    "home": "/",
    "wrong": "/wrong",
    "preferences": "/preferences",
    "stocks": "/stocks",
    "stock": "/stocks/Harbour%20Satin%20300",
    "stock-form": "/describe/stock?then=test",
    "stock-edit": "/stocks/Harbour%20Satin%20300/edit",
    "printers": "/printers",
    "printer": "/printers/Tern%208",
    "printer-form": "/describe/printer",
    "printer-ask": "/describe/printer/ask",
    "trials": "/trials",
    "trial": "/trials/{judged}",
    "trial-patches": "/trials/{judged}/patches",
    "trial-settings": "/trials/{judged}/settings",
    "test-card": "/test",
    "test-printer": "/test/printer?stock=Harbour%20Satin%20300",
    "test-fit": "/test/fit?stock=Harbour%20Satin%20300&printer=Tern%208",
    "print": "/trials/{waiting}/print",
    "read": "/trials/{waiting}/read",
    "phone": "/trials/{waiting}/phone",
    "read-many": "/read",
    "scan": "/scan",
    "scan-trial": "/scan?trial={waiting}",
    "eye": "/trials/{waiting}/eye",
    "practice": "/practice",
    "practice-print": "/practice/{practice}",
    "take-in": "/take-in",
    "compare-pick": "/compare",
    "compare": "/compare?trial={judged}&trial={other}",
    "report-pick": "/report",
    "report": "/report?trial={judged}&trial={other}",
    "choose": "/choose",
    "choice": "/choices/{choice}",
    "live-proof": "/choices/{choice}/proof/0?card={card_of_choice}",
    "pictures": "/pictures",
    "picture": "/pictures/{picture}",
    "profiles": "/profiles",
    "profile": "/profiles/{profile}",
    "gamut": "/gamut?of=trial-{card_of_choice}&against=srgb&picture={picture}",
    "cards": "/cards",
    "card-begin": "/make/card",
    "card": "/cards/{card}",
    "card-print": "/cards/{card}/print",
    "card-send": "/cards/{card}/send",
    "runs": "/runs",
    "run-plan": "/plan/run",
    "run": "/runs/{run}",
    "run-print": "/runs/{run}/print/1",
    "jobs": "/jobs",
    "job": "/jobs/{job}",
    "withdrawn": "/trials/{withdrawn}",
    "together": "/compare/together?trial={judged}&trial={other}",
    "not-found": "/nowhere",
}


def paths(bench: Bench, art: Mapping[str, str] | None = None) -> dict[str, str]:
    """The pages with this bench's own trials in their addresses, and with ``art`` (``at_work.add_art``); those of what
    it does not have are left out."""
    lines, _ = bench.catalogue.trials(ListAsked(sort="oldest", count=3))
    judged, other, waiting = (line.id for line in lines)
    known = {"judged": judged, "other": other, "waiting": waiting, **(art or {})}
    if jobs := bench.jobs.list(count=1):
        known["job"] = jobs[0].id
    if runs := bench.runs.list():
        known["run"] = runs[0].id or ""
    if cards := bench.cards.list():
        known["card"] = key_of(cards[0].name)
    asked = {name: set(re.findall(r"{(\w+)}", path)) for name, path in PAGES.items()}
    return {name: path.format(**known) for name, path in PAGES.items() if asked[name] <= set(known)}
