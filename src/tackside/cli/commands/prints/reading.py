"""``tackside reading``: take a reading out of every answer, or put it back."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import App, Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.messages.wording import documents
from tackside.records import Verdict

if TYPE_CHECKING:
    from tackside.workflow.standing.withdraw import Settled

app = App(name="reading", help="Readings: withdraw one, put it back.", result_action="return_value")
ReadingId = Annotated[str, Parameter(help="Id of the reading, as tackside trial show lists it.")]


@app.command
def withdraw(
    reading: ReadingId, *, why: Annotated[str | None, Parameter(help="The reason, for the history.")] = None
) -> Outcome:
    """Take a reading out of every answer. It stays in the history; the trial falls back to the one before it."""
    from tackside.workflow.standing.withdraw import withdraw_reading  # slow to import: for this command alone

    return settled(withdraw_reading(Bench.open(bench_folder(), create=False), reading, why=why))


@app.command
def put_back(reading: ReadingId) -> Outcome:
    """Put back a reading that was withdrawn."""
    from tackside.workflow.standing.withdraw import withdraw_reading  # slow to import: for this command alone

    return settled(withdraw_reading(Bench.open(bench_folder(), create=False), reading, back=True))


def settled(found: Settled) -> Outcome:
    """What came of withdrawing a reading or a trial, or of putting it back."""
    document = {
        "trial": found.trial,
        "reading": found.reading,
        "withdrawn": found.withdrawn,
        "why": found.why,
        "new": found.is_new,
        "stands": None if found.stands is None else _told(found.stands),
        "judged": [_told(each) for each in found.judged],
        "scanners": list(found.scanners),
        "said": documents(found.told),
    }
    return Outcome(document, "\n".join(map(str, found.told)))


def _told(verdict: Verdict) -> dict[str, Any]:
    return {
        "trial": verdict.trial, "verdict": verdict.id, "reading": verdict.reading, "grade": verdict.grade,
        "cause": verdict.cause,
    }  # fmt: skip
