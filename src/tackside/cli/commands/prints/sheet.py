"""``tackside sheet``: a new trial and the file of its test sheet."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE, SMUDGE
from tackside.cli.session import Outcome, bench_folder
from tackside.files.atomic import atomic_path
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.records import Settings, SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.records.trial import ColourManagedBy, Intent
from tackside.sheet.ground import feed_called
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.sheet.write import check_suffix, write_sheet

CAUTIONS = (HEAD_STRIKE, DAMP_FINGERS, SMUDGE)


def sheet(
    stock: Annotated[str, Parameter(help="The stock's name on the bench.")],
    printer: Annotated[str, Parameter(help="The printer's name on the bench.")],
    /,
    *,
    out: Annotated[
        list[Path], Parameter(negative=(), help="File to write, .tif or .pdf; may be given more than once.")
    ],
    space: Annotated[Space, Parameter(help="Colour space of a sheet for the whole path.")] = "srgb",
    purpose: Annotated[
        Purpose,
        Parameter(help="path judges the way from file to paper; device has bare numbers and no profile."),
    ] = "path",
    side: Annotated[Side, Parameter(help="Which side of the card is printed.")] = "front",
    feed: Annotated[
        str | None, Parameter(help="The printer's feed; by default the best that takes it.")
    ] = None,
    ppi: Annotated[float | None, Parameter(help="Resolution; by default the printer's own grid.")] = None,
    media: Annotated[str | None, Parameter(help="Media setting in the driver, by its name there.")] = None,
    quality: Annotated[str | None, Parameter(help="Quality setting in the driver.")] = None,
    managed_by: Annotated[ColourManagedBy | None, Parameter(help="Who manages colour.")] = None,
    profile: Annotated[str | None, Parameter(help="Printer profile used, by name.")] = None,
    intent: Annotated[Intent | None, Parameter(help="Rendering intent.")] = None,
    bpc: Annotated[bool | None, Parameter(help="Black point compensation.")] = None,
    notes: Annotated[str, Parameter(help="Anything else worth remembering.")] = "",
) -> Outcome:
    """Make the test sheet for a stock and a printer: the full open sheet at true size, and its trial.

    Settings that you know already can be given now; tackside trial notes them later.
    """
    files = list(dict.fromkeys(out))
    for file in files:
        check_suffix(file)
    bench = Bench.open(bench_folder(), create=False)
    card, machine = bench.stocks.get(stock), bench.printers.get(printer)
    fit = fit_stock(card, machine, feed, side)
    name = fit.feed or ""
    trial_id = bench.trials.next_id(
        card, machine, purpose=purpose, space=space if purpose == "path" else None, side=side, feed=name
    )
    plan = plan_sheet(
        card, machine, trial_id=trial_id, purpose=purpose, space=space, side=side,
        feed=feed_called(machine, name), ppi=ppi,
    )  # fmt: skip
    _write_all(plan, files)
    settings = Settings(
        media_setting=media, quality=quality, colour_managed_by=managed_by, profile=profile, intent=intent,
        black_point_compensation=bpc, source_space=plan.space, notes=notes,
    )  # fmt: skip
    trial = bench.trials.add(
        Trial(
            id=trial_id,
            stock=card.name,
            stock_revision=bench.stocks.revision(card.name),
            printer=machine.name,
            printer_revision=bench.printers.revision(machine.name),
            feed=name,
            side=side,
            settings=settings,
            sheet=plan,
            made_at=datetime.now(UTC),
        )
    )
    return Outcome(
        _document(trial, files),
        _text(trial, fit, files),
        (*fit.warnings, *_sentences(plan.notices)),
        CAUTIONS,
    )


def _write_all(plan: SheetPlan, files: Sequence[Path]) -> None:
    """All of the files, or none of them."""
    image = render(plan)
    with ExitStack() as stack:
        for file in files:
            write_sheet(plan, image, stack.enter_context(atomic_path(file)))


def _document(trial: Trial, files: Sequence[Path]) -> dict[str, Any]:
    plan = trial.sheet
    return {
        "trial": trial.id,
        "files": [str(file) for file in files],
        "ppi": plan.ppi,
        "size_mm": list(plan.size_mm),
        "size_px": list(plan.size_px),
        "space": plan.space,
        "purpose": plan.purpose,
        "side": plan.side,
        "feed": trial.feed,
        "borderless": plan.borderless,
        "panels": [
            {"name": panel.name, "trim": list(panel.trim), "printable": list(panel.printable)}
            for panel in plan.panels
        ],
        "patches": [
            {"name": patch.name, "rgb": list(patch.rgb), "box_mm": list(patch.box_mm)}
            for patch in plan.patches
        ],
        "notices": list(plan.notices),
    }


def _text(trial: Trial, fit: Fit, files: Sequence[Path]) -> str:
    """What was made, and how to print it so that it can be read back."""
    plan = trial.sheet
    width, height = plan.size_mm
    lines = [
        f"Trial {trial.id}: {trial.stock}, {trial.side} side, on {trial.printer}",
        *(f"  {file}" for file in files),
        f"  {width:g} × {height:g} mm at {plan.ppi:g} ppi, {plan.size_px[0]} × {plan.size_px[1]} pixels, "
        f"{len(plan.patches)} patches",
        "",
        "To print it:",
        *(f"  {number}. {step}" for number, step in enumerate(_steps(plan, fit), 1)),
    ]
    return "\n".join(lines)


def _steps(plan: SheetPlan, fit: Fit) -> list[str]:
    width, height = plan.size_mm
    return [
        f"Feed: {fit.feed}. Load the open sheet flat, its {plan.side} side to be printed, "
        "guides touching, not squeezing.",
        f"Page size: {fit.custom_size or fit.size_name or f'{width:g} × {height:g} mm'}.",
        "Print at 100 %: no scaling, no fitting to the page, centred.",
        "Borderless: on, with the least enlargement the driver offers."
        if plan.borderless
        else "Borderless: off.",
        _colour_step(plan),
        "Let it dry for 24 hours before it is scanned or measured; only the smudge block is wiped earlier, "
        "after a few minutes.",
        "Note the settings that you used with the trial: they are half of the evidence.",
    ]


def _colour_step(plan: SheetPlan) -> str:
    if plan.space is None:
        return "Colour: no colour management anywhere. The file holds bare device numbers and has no profile."
    space = "sRGB" if plan.space == "srgb" else "a space compatible with Adobe RGB (1998)"
    return f"Colour: the file is in {space} and says so; print it as you print your pictures."


def _sentences(notices: Sequence[str]) -> tuple[str, ...]:
    return tuple(f"left out: {notice}" for notice in notices)
