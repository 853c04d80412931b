"""``tackside trial``: list and show test prints, note the settings they were printed with, withdraw one."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from cyclopts import App, Parameter
from rich.console import RenderableType

from tackside.bench.repositories.trials import KnownSettings
from tackside.bench.store import Bench
from tackside.cautions import PRINTING, as_text
from tackside.cli.commands.prints.reading import settled
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.standing.withdrawal import Withdrawal
from tackside.workflow.standing.history import KeptReading, KeptVerdict, TrialHistory, history_of

app = App(
    name="trial",
    help="Keep test prints: list, show, note the settings used, withdraw.",
    result_action="return_value",
)
app.command(
    "tackside.cli.commands.prints.trial_send:send",
    name="send",
    help="Send a trial's test sheet to a printer that speaks IPP, and note how it was printed.",
    help_epilogue=as_text(PRINTING),
)
TrialId = Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")]

LABELS = {
    "media_setting": "Media setting",
    "quality": "Quality",
    "colour_managed_by": "Colour managed by",
    "profile": "Profile",
    "intent": "Rendering intent",
    "black_point_compensation": "Black point comp.",
    "source_space": "Source space",
    "lamp": "Lamp",
    "drying_hours": "Drying, hours",
    "notes": "Notes",
}


@app.command(name="list")
def list_(
    *,
    withdrawn: Annotated[bool, Parameter(negative=(), help="Those that were withdrawn instead.")] = False,
    practice: Annotated[bool, Parameter(negative=(), help="Those of the practice press instead.")] = False,
) -> Outcome:
    """List all trials, with the grade of the verdict that stands where one was given."""
    bench = Bench.open(bench_folder(), create=False)
    standing = bench.trials.list(practice=practice)
    known = {trial.id for trial in standing}
    trials = (
        tuple(trial for trial in bench.trials.list(withdrawn=True) if trial.id not in known)
        if withdrawn and not practice
        else standing
    )
    grades = bench.catalogue.grades()
    rows = [
        (
            trial.id,
            trial.stock,
            trial.printer,
            trial.side,
            trial.settings.media_setting or "–",
            facts.day(trial.made_at),
            grades.get(trial.id, "–"),
        )
        for trial in trials
    ]
    text = (
        facts.listing(("trial", "stock", "printer", "side", "media setting", "made", "grade"), rows)
        if rows
        else "No practice yet. Begin: tackside practice print TRIAL --out scan.tif"
        if practice
        else "No trial was withdrawn."
        if withdrawn
        else "No trial yet. Make one: tackside sheet STOCK PRINTER --out FILE.tif"
    )
    listed = [{**summary(trial), "grade": grades.get(trial.id)} for trial in trials]
    marked = (Message("practice.marked"),) if practice and rows else ()
    return Outcome({"trials": listed}, text, marked)


@app.command
def show(trial: TrialId) -> Outcome:
    """Show a trial: its sheet, the settings it was printed with, and what came of it, withdrawn or not."""
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    history, told = bench.trials.settings_history(found.id), history_of(bench, found.id)
    document = {
        **summary(found),
        "settings_history": [
            {
                "revision": known.revision,
                "kept_at": known.kept_at.isoformat(),
                **known.settings.model_dump(mode="json"),
            }
            for known in history
        ],
        "readings": [each.reading.id for each in told.readings if each.withdrawal is None],
        "verdicts": [
            {
                "verdict": each.verdict.id,
                "reading": each.verdict.reading,
                "grade": each.verdict.grade,
                "cause": each.verdict.cause,
                "stands": each.stands,
                "withdrawn": each.is_withdrawn,
            }
            for each in told.verdicts
        ],
        "withdrawn": told.withdrawal is not None,
        "withdrawn_readings": [
            {
                "reading": each.reading.id,
                "why": each.withdrawal.why,
                "withdrawn_at": each.withdrawal.noted_at.isoformat(),
            }
            for each in told.readings
            if each.withdrawal is not None
        ],
    }
    return Outcome(document, _text(found, history, told))


@app.command
def withdraw(
    trial: TrialId, *, why: Annotated[str | None, Parameter(help="The reason, for the history.")] = None
) -> Outcome:
    """Take a trial out of every answer, with its readings and verdicts. It stays in the history."""
    from tackside.workflow.standing.withdraw import withdraw_trial  # slow to import: for this command alone

    return settled(withdraw_trial(Bench.open(bench_folder(), create=False), trial, why=why))


@app.command
def put_back(trial: TrialId) -> Outcome:
    """Put back a trial that was withdrawn."""
    from tackside.workflow.standing.withdraw import withdraw_trial  # slow to import: for this command alone

    return settled(withdraw_trial(Bench.open(bench_folder(), create=False), trial, back=True))


@app.command(name="set")
def set_(
    trial: TrialId,
    *,
    media: Annotated[str | None, Parameter(help="Media setting, by the name your driver shows.")] = None,
    quality: Annotated[str | None, Parameter(help="Quality setting, by the name your driver shows.")] = None,
    managed_by: Annotated[
        Literal["application", "driver", "nobody"] | None, Parameter(help="Who managed the colour.")
    ] = None,
    profile: Annotated[str | None, Parameter(help="Output profile that was used.")] = None,
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"] | None,
        Parameter(help="Rendering intent that was used."),
    ] = None,
    bpc: Annotated[bool | None, Parameter(help="Black point compensation on, or off.")] = None,
    source_space: Annotated[
        Literal["srgb", "adobe-rgb"] | None, Parameter(help="Space that the file was assumed to be in.")
    ] = None,
    lamp: Annotated[str | None, Parameter(help="Light it was looked at under.")] = None,
    drying_hours: Annotated[float | None, Parameter(help="Hours between printing and reading.")] = None,
    notes: Annotated[str | None, Parameter(help="Anything else.")] = None,
) -> Outcome:
    """Note how a trial was printed. What you do not name stays; earlier settings are kept as history."""
    from tackside.workflow.trials import note_settings  # slow to import: for this command alone

    given = {
        "media_setting": media,
        "quality": quality,
        "colour_managed_by": managed_by,
        "profile": profile,
        "intent": intent,
        "black_point_compensation": bpc,
        "source_space": source_space,
        "lamp": lamp,
        "drying_hours": drying_hours,
        "notes": notes,
    }
    changes = {field: value for field, value in given.items() if value is not None}
    if not changes:
        raise BadRequest("trial set was given nothing to note", 'name a setting, as --media "Photo satin"')
    bench = Bench.open(bench_folder(), create=False)
    noted = note_settings(bench, trial, changes)
    document = {
        "trial": noted.trial.id,
        "revision": noted.revision,
        "new": noted.is_new,
        "settings": noted.settings.model_dump(mode="json"),
    }
    rows = facts.facts((LABELS[field], _shown(value)) for field, value in changes.items())
    return Outcome(document, facts.page(f"Noted for trial {noted.trial.id}", rows))


def summary(trial: Trial) -> dict[str, Any]:
    """A trial as plain data, its sheet reduced to what tells it apart."""
    sheet = trial.sheet
    return {
        "trial": trial.id,
        "practice": trial.practice,
        "stock": trial.stock,
        "stock_revision": trial.stock_revision,
        "printer": trial.printer,
        "printer_revision": trial.printer_revision,
        "feed": trial.feed,
        "side": trial.side,
        "made_at": trial.made_at.isoformat(),
        "settings": trial.settings.model_dump(mode="json"),
        "sheet": {
            "purpose": sheet.purpose,
            "space": sheet.space,
            "size_mm": list(sheet.size_mm),
            "ppi": sheet.ppi,
            "patches": len(sheet.patches),
        },
    }


def _text(trial: Trial, history: tuple[KnownSettings, ...], told: TrialHistory) -> RenderableType:
    sheet = trial.sheet
    space = sheet.space or "no profile"
    known = trial.settings.model_dump()
    noted = f"noted {len(history) - 1} times" if len(history) > 2 else ""
    rows = facts.facts(
        [
            ("Stock", f"{trial.stock}, revision {trial.stock_revision}, {trial.side} side"),
            ("Printer", f"{trial.printer}, revision {trial.printer_revision}, feed {trial.feed}"),
            ("Sheet", f"{facts.size(sheet.size_mm)}, {sheet.ppi:g} ppi, {len(sheet.patches)} patches"),
            ("Purpose", f"{sheet.purpose}, {space}"),
            ("Made", facts.day(trial.made_at)),
            *((label, _shown(known[field])) for field, label in LABELS.items() if field != "notes"),
            *([("Notes", trial.settings.notes)] if trial.settings.notes else []),
            *([("Settings", noted)] if noted else []),
            ("Readings", ", ".join(map(_reading, told.readings)) or "none yet"),
            ("Verdicts", ", ".join(map(_verdict, told.verdicts)) or "none yet"),
        ]
    )
    away = told.withdrawal
    title = f"Trial {trial.id}" if away is None else f"Trial {trial.id} ({_withdrawn(away)})"
    return facts.page(title, rows)


def _reading(each: KeptReading) -> str:
    return f"{each.reading.id}" + (f" ({_withdrawn(each.withdrawal)})" if each.withdrawal else "")


def _verdict(each: KeptVerdict) -> str:
    how = "withdrawn" if each.is_withdrawn else "stands" if each.stands else ""
    found = each.verdict
    return f"{found.id}: {found.grade} ({found.cause}){', ' if how else ''}{how}"


def _withdrawn(word: Withdrawal) -> str:
    return f"withdrawn {facts.day(word.noted_at)}{f': {word.why}' if word.why else ''}"


def _shown(value: Any) -> str | None:
    if isinstance(value, bool):
        return facts.yes_or_no(value)
    if isinstance(value, float):
        return f"{value:g}"
    return None if value in (None, "") else f"{value}"
