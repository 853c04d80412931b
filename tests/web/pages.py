"""Every page of the workbench by its name; a subject adds its own lines. ``{waiting}`` and the like are filled in."""

from __future__ import annotations

from tackside.bench.store import Bench

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
    "trials": "/trials",
    "trial": "/trials/{judged}",
    "trial-patches": "/trials/{judged}/patches",
    "trial-settings": "/trials/{judged}/settings",
    "test-card": "/test",
    "test-printer": "/test/printer?stock=Harbour%20Satin%20300",
    "test-fit": "/test/fit?stock=Harbour%20Satin%20300&printer=Tern%208",
    "print": "/trials/{waiting}/print",
    "read": "/trials/{waiting}/read",
    "eye": "/trials/{waiting}/eye",
    "take-in": "/take-in",
    "compare-pick": "/compare",
    "compare": "/compare?trial={judged}&trial={other}",
    "report-pick": "/report",
    "report": "/report?trial={judged}&trial={other}",
    "choose": "/choose",
    "runs": "/runs",
    "run": "/runs/{run}",
    "jobs": "/jobs",
    "not-found": "/nowhere",
}


def paths(bench: Bench) -> dict[str, str]:
    """The pages with this bench's own trials in their addresses."""
    judged, other, waiting = (trial.id for trial in bench.trials.list()[:3])
    run = next((run.id for run in bench.runs.list()), "")
    found = {
        name: path.format(judged=judged, other=other, waiting=waiting, run=run)
        for name, path in PAGES.items()
    }
    return {name: path for name, path in found.items() if name != "run" or run}
