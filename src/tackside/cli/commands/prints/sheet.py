"""``tackside sheet``: a new trial and the file of its test sheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERS, HEAD_STRIKE, SMUDGE
from tackside.cli.session import Outcome, bench_folder, on_stderr
from tackside.fit.model import Fit
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.records import Settings, SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.records.trial import ColourManagedBy, Intent
from tackside.workflow.trials import make_trial

CAUTIONS = (HEAD_STRIKE, DAMP_FINGERS, SMUDGE)


def sheet(
    stock: Annotated[str, Parameter(help="The stock's name on the bench.")],
    printer: Annotated[str, Parameter(help="The printer's name on the bench.")],
    /,
    *,
    out: Annotated[
        list[Path], Parameter(negative=(), help="File to write, .tif or .pdf; may be given more than once.")
    ],
    space: Annotated[Space, Parameter(help="Colour space of a sheet that tests the whole path.")] = "srgb",
    purpose: Annotated[
        Purpose,
        Parameter(
            help="path tests the way from file to paper; device has bare device values and no profile."
        ),
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

    Settings that you already know can be given now; tackside trial set notes them later.
    """
    files = list(dict.fromkeys(out))
    settings = Settings(
        media_setting=media, quality=quality, colour_managed_by=managed_by, profile=profile, intent=intent,
        black_point_compensation=bpc, notes=notes,
    )  # fmt: skip
    made = make_trial(
        Bench.open(bench_folder(), create=False), stock, printer, files=files, purpose=purpose, space=space,
        side=side, feed=feed, ppi=ppi, settings=settings, progress=on_stderr(),
    )  # fmt: skip
    left_out = (Message("sheet.left-out", notice=each) for each in made.trial.sheet.notices)
    return Outcome(
        _document(made.trial, files),
        _text(made.trial, made.fit, files),
        tuple(map(str, (*made.fit.warnings, *left_out))),
        CAUTIONS,
    )


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
        "notices": documents(plan.notices),
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
