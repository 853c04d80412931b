"""The records as JSON, for programs: the same reading and writing that the pages do.

The guard has asked for the token of whoever changes something before anything here is called.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Header, Query, Request
from pydantic import BaseModel

from tackside.bench.repositories.catalogue import ListAsked, Sort, Stage
from tackside.bench.repositories.jobs import Job, State
from tackside.fit.model import FullFit
from tackside.records import Grade, Printer, Reading, Settings, Stock, Trial, Verdict
from tackside.web.shell.fault_document import fault_document
from tackside.web.shell.keys import name_of
from tackside.web.workbench import workbench_of
from tackside.workflow.stocks.fit import fit as fit_by_name
from tackside.workflow.trials import note_settings


class PlaceAtFault(BaseModel):
    """The kind of record, and its fields and rows (from 0) from the outside in."""

    record: str
    path: list[str | int]


class Trouble(BaseModel):
    """Why something was refused, and the fix: in English, and as data. ``place`` is the field at fault."""

    code: str
    values: dict[str, Any]
    what: str
    mend: str
    place: PlaceAtFault | None


router = APIRouter(
    prefix="/api",
    tags=["api"],
    responses={code: {"model": Trouble} for code in (401, 403, 404, 409, 421, 422, 503)},
)
Start = Annotated[int, Query(ge=0, le=1_000_000)]
Count = Annotated[int, Query(ge=1, le=200)]
Words = Annotated[str, Query(max_length=120)]
Token = Annotated[str, Header(alias="X-CSRF-Token", description="From /api/session.")]


class Session(BaseModel):
    csrf: str


class TrialDocument(BaseModel):
    trial: str
    stock: str
    printer: str
    side: str
    stage: Stage
    grade: str | None
    cause: str | None


class TrialList(BaseModel):
    total: int
    trials: list[TrialDocument]


class KeptDocument(BaseModel):
    """What keeping a record came to. ``new`` is false where nothing had changed."""

    name: str
    revision: int
    new: bool


class StockRevision(BaseModel):
    revision: int
    stock: Stock


class PrinterRevision(BaseModel):
    revision: int
    printer: Printer


class JobState(BaseModel):
    job: str
    kind: str
    state: State
    share: float
    said: str
    what: str | None
    mend: str | None
    code: str | None
    values: dict[str, Any] | None
    place: PlaceAtFault | None


@router.get("/session")
def session(request: Request) -> Session:
    """The token that requests which change something need, for the cookie that comes with it."""
    return Session(csrf=request.state.csrf)


@router.get("/stocks")
def stocks(request: Request, words: Words = "", start: Start = 0, count: Count = 40) -> list[Stock]:
    """The newest revision of each stock, by name."""
    lines, _ = workbench_of(request).bench.catalogue.stocks(
        ListAsked(words, sort="name", start=start, count=count)
    )
    return [line.stock for line in lines]


@router.get("/stocks/{key}")
def stock(request: Request, key: str) -> StockRevision:
    found = workbench_of(request).bench.stocks.kept(name_of(key))
    return StockRevision(revision=found.number, stock=found.record)


@router.put("/stocks")
def keep_stock(request: Request, record: Stock, token: Token = "", after: int | None = None) -> KeptDocument:
    """Keep a stock. ``after`` is the revision that was edited (0: a new one); 409 where another came first."""
    added = workbench_of(request).bench.stocks.add(record, after=after)
    return KeptDocument(name=record.name, revision=added.revision, new=added.is_new)


@router.get("/printers")
def printers(request: Request, words: Words = "", start: Start = 0, count: Count = 40) -> list[Printer]:
    """The newest revision of each printer, by name."""
    lines, _ = workbench_of(request).bench.catalogue.printers(
        ListAsked(words, sort="name", start=start, count=count)
    )
    return [line.printer for line in lines]


@router.get("/printers/{key}")
def printer(request: Request, key: str) -> PrinterRevision:
    found = workbench_of(request).bench.printers.kept(name_of(key))
    return PrinterRevision(revision=found.number, printer=found.record)


@router.put("/printers")
def keep_printer(
    request: Request, record: Printer, token: Token = "", after: int | None = None
) -> KeptDocument:
    """Keep a printer, as a stock is kept."""
    added = workbench_of(request).bench.printers.add(record, after=after)
    return KeptDocument(name=record.name, revision=added.revision, new=added.is_new)


@router.get("/fit")
def fit(request: Request, stock: Words, printer: Words) -> FullFit:
    """What a printer can do with a stock."""
    bench = workbench_of(request).bench
    return fit_by_name(bench, stock, printer)


@router.get("/trials")
def trials(
    request: Request, words: Words = "", grade: Grade | None = None, stage: Stage | None = None, sort: Sort = "newest",
    start: Start = 0, count: Count = 40,
) -> TrialList:  # fmt: skip
    """A page of trials."""
    asked = ListAsked(
        words, sort=sort, grades=() if grade is None else (grade,), stage=stage, start=start, count=count
    )
    lines, total = workbench_of(request).bench.catalogue.trials(asked)
    return TrialList(
        total=total,
        trials=[
            TrialDocument(
                trial=line.id, stock=line.stock, printer=line.printer, side=line.side, stage=line.stage,
                grade=line.grade, cause=line.cause,
            )
            for line in lines
        ],
    )  # fmt: skip


@router.get("/trials/{trial_id}")
def trial(request: Request, trial_id: str) -> Trial:
    return workbench_of(request).bench.trials.get(trial_id)


@router.put("/trials/{trial_id}/settings")
def keep_settings(
    request: Request, trial_id: str, settings: Settings, token: Token = "", after: int | None = None
) -> KeptDocument:
    """Note how a sheet was printed."""
    noted = note_settings(workbench_of(request).bench, trial_id, settings, after=after)
    return KeptDocument(name=trial_id, revision=noted.revision, new=noted.is_new)


@router.get("/trials/{trial_id}/reading")
def reading(request: Request, trial_id: str) -> Reading:
    """The reading that stands: by an instrument before a scan before answers by eye; of one kind the last."""
    bench = workbench_of(request).bench
    return bench.readings.standing(bench.trials.get(trial_id).id)


@router.get("/trials/{trial_id}/verdict")
def verdict(request: Request, trial_id: str) -> Verdict:
    """The verdict that stands."""
    bench = workbench_of(request).bench
    return bench.verdicts.standing(bench.trials.get(trial_id).id)


@router.get("/jobs/{job_id}")
def job(request: Request, job_id: str) -> JobState:
    found: Job = workbench_of(request).bench.jobs.get(job_id)
    none = dict.fromkeys(("what", "mend", "code", "values", "place"))
    told = none if found.fault is None else fault_document(found.fault, found.place)
    return JobState(
        job=found.id, kind=found.kind, state=found.state, share=found.share, said=str(found.doing or ""),
        **told,
    )  # fmt: skip
