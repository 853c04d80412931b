"""The first page: what is unfinished, each with its one next step."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tackside.bench.repositories.catalogue import ListAsked, TrialLine
from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.web.shell.keys import key_of
from tackside.web.shell.navigation import _

MOST_WAITING = 5


@dataclass(frozen=True)
class Waiting:
    """Something unfinished. ``step`` is what to do next, ``href`` where."""

    title: str
    told: str
    step: str
    href: str
    since: datetime | None = None


@dataclass(frozen=True)
class HomeView:
    waiting: tuple[Waiting, ...]
    recent: tuple[TrialLine, ...]
    jobs: tuple[Job, ...]
    is_new: bool


def home_view(bench: Bench) -> HomeView:
    """Everything the first page shows."""
    catalogue = bench.catalogue
    unjudged, _total = catalogue.trials(ListAsked(stage="open", count=2 * MOST_WAITING, total=False))
    untried = catalogue.untried(MOST_WAITING)
    recent, _total = catalogue.trials(ListAsked(stage="judged", count=6, total=False))
    waiting = [
        *(_of_trial(line) for line in sorted(unjudged, key=lambda line: line.stage == "to-print")),
        *(_of_stock(name) for name in untried),
    ]
    return HomeView(
        waiting=tuple(waiting[:MOST_WAITING]),
        recent=recent,
        jobs=bench.jobs.list(is_open=True, count=5),
        is_new=not waiting and not recent,
    )


def _of_trial(line: TrialLine) -> Waiting:
    if line.stage == "to-judge":
        return Waiting(
            line.stock,
            _("was read and has no verdict yet"),
            _("Judge it"),
            f"/trials/{line.id}",
            line.made_at,
        )
    told = _("has its test sheet, and waits for its print to come back")
    return Waiting(line.stock, told, _("Print and read it"), f"/trials/{line.id}/print", line.made_at)


def _of_stock(name: str) -> Waiting:
    return Waiting(
        name, _("was described and never tried"), _("Choose a printer"), f"/test/printer?stock={key_of(name)}"
    )
