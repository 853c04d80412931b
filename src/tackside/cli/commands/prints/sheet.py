"""``tackside sheet``: a new trial and the file of its test sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cautions import PRINTING, SMUDGE
from tackside.cli.commands.stocks.describe import name_meant
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.cli.views.onward import commands
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.records import SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.records.trial import ColourManagedBy, Intent
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.profiles.sheet_through import sheet_profile
from tackside.workflow.sent_files import SentFile
from tackside.workflow.trials import MadeTrial, make_trial

CAUTIONS = (*PRINTING, SMUDGE)


def sheet(
    stock: Annotated[
        str | None,
        Parameter(help="The stock's name on the bench; by default the only one there, or it asks."),
    ] = None,
    printer: Annotated[str | None, Parameter(help="The printer's name; by default likewise.")] = None,
    /,
    *,
    out: Annotated[
        list[Path], Parameter(negative=(), help="File to write, .tif or .pdf; may be given more than once.")
    ],
    patches: Annotated[
        int | None,
        Parameter(
            help="With --purpose device, the sheet for a profile: so many patches, 200, 500 or 900, "
            "on as many sheets of the stock as they take."
        ),
    ] = None,
    patch_mm: Annotated[
        float | None,
        Parameter(help="How small its patches may be: 6 by default; a hand-held instrument wants about 8."),
    ] = None,
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
    profile: Annotated[
        str | None,
        Parameter(
            help="FILE.icc sends the sheet's colours through this printer profile, to be checked by the print; any "
            "other word notes the profile that you used, by name."
        ),
    ] = None,
    intent: Annotated[Intent | None, Parameter(help="Rendering intent.")] = None,
    bpc: Annotated[bool | None, Parameter(help="Black point compensation.")] = None,
    notes: Annotated[str, Parameter(help="Anything else worth remembering.")] = "",
    picture: Annotated[
        Path | None,
        Parameter(
            help="A picture of your own, JPEG, PNG, TIFF, WebP, AVIF or HEIC, to stand where the harbour would."
        ),
    ] = None,
    force: Force = False,
) -> Outcome:
    """Make the test sheet for a stock and a printer: the full open sheet at true size, and its trial.

    On an empty bench it first asks about the card and the printer, as tackside stock new and printer new do.

    Settings that you already know can be given now; tackside trial set notes them later. A sheet for a profile that
    takes several sheets of the stock is one PDF, or one TIFF each, sheet-1.tif and on; read all their scans at once.
    """
    files = list(dict.fromkeys(out))
    through = None if profile is None else sheet_profile(profile, intent, bpc)
    settings = {
        "media_setting": media, "quality": quality, "colour_managed_by": managed_by, "profile": profile,
        "intent": intent, "black_point_compensation": bpc, "notes": notes,
    }  # fmt: skip
    stock, printer = name_meant("stock", stock), name_meant("printer", printer)
    made = make_trial(
        Bench.open(bench_folder(), create=False), stock, printer, files=files, purpose=purpose, space=space,
        side=side, feed=feed, ppi=ppi, settings=settings, patches=patches, patch_mm=patch_mm, through=through,
        picture=None if picture is None else SentFile.at(picture), force=force, progress=on_stderr(),
    )  # fmt: skip
    left_out = (Message("sheet.left-out", notice=each) for each in made.trial.sheet.notices)
    return Outcome(
        _document(made),
        _text(made),
        tuple(map(str, (*made.fit.warnings, *left_out))),
        CAUTIONS if _has_smudge(made.trial.sheet) else CAUTIONS[:-1],
        commands(steps_after("sheet", trial=made.trial)),
    )


def _document(made: MadeTrial) -> dict[str, Any]:
    trial, plan = made.trial, made.trial.sheet
    return {
        "trial": trial.id,
        "files": [str(file) for file in made.files],
        "pages": plan.pages,
        "ppi": plan.ppi,
        "size_mm": list(plan.size_mm),
        "size_px": list(plan.size_px),
        "space": plan.space,
        "through": _through(trial),
        "picture": None if trial.own_picture is None else trial.own_picture.model_dump(),
        "purpose": plan.purpose,
        "side": plan.side,
        "feed": trial.feed,
        "borderless": plan.borderless,
        "panels": [
            {"name": panel.name, "trim": list(panel.trim), "printable": list(panel.printable)}
            for panel in plan.panels
        ],
        "patches": [
            {
                "name": patch.name,
                "rgb": list(patch.rgb),
                "box_mm": list(patch.box_mm),
                **({"page": patch.page} if plan.pages > 1 else {}),
            }
            for patch in plan.patches
        ],
        "notices": documents(plan.notices),
        "remarks": documents(made.remarks),
    }


def _through(trial: Trial) -> dict[str, Any] | None:
    """The profile that the sheet goes through; ``sent`` and ``promised`` of each patch, in the order of ``patches``."""
    sent = trial.through
    return None if sent is None else {
        "profile": sent.profile, "intent": sent.intent, "bpc": sent.black_point_compensation,
        "sent": [list(each) for each in sent.numbers], "promised": [list(each) for each in sent.promised],
    }  # fmt: skip


def _text(made: MadeTrial) -> str:
    """What was made, and how to print it so that it can be read back."""
    trial, plan = made.trial, made.trial.sheet
    width, height = plan.size_mm
    lines = [
        f"Trial {trial.id}: {trial.stock}, {trial.side} side, on {trial.printer}",
        *(f"  {file}" for file in made.files),
        f"  {width:g} × {height:g} mm at {plan.ppi:g} ppi, {plan.size_px[0]} × {plan.size_px[1]} pixels, "
        f"{len(plan.patches)} patches",
        *(f"  {remark}" for remark in made.remarks),
        "",
        "To print it:",
        *(f"  {number}. {step}" for number, step in enumerate(_steps(made), 1)),
    ]
    return "\n".join(lines)


def _steps(made: MadeTrial) -> list[str]:
    plan, fit = made.trial.sheet, made.fit
    width, height = plan.size_mm
    return [
        f"Feed: {fit.feed}. Load the open sheet flat, its {plan.side} side to be printed, "
        "guides touching, not squeezing.",
        f"Page size: {fit.custom_size or fit.size_name or f'{width:g} × {height:g} mm'}.",
        "Print at 100 %: no scaling, no fitting to the page, no centring.",
        "Borderless: on, with the least enlargement the driver offers."
        if plan.borderless
        else "Borderless: off.",
        _colour_step(made.trial),
        *_drying_steps(plan),
        "Note the settings that you used with the trial: they are half of the evidence.",
    ]


def _has_smudge(plan: SheetPlan) -> bool:
    return any(target.kind == "smudge" for target in plan.targets)


def _drying_steps(plan: SheetPlan) -> list[str]:
    if _has_smudge(plan):
        return [
            "Let it dry for 24 hours before it is scanned or measured; only the smudge block is wiped earlier, "
            "after a few minutes."
        ]
    if plan.pages == 1:
        return ["Let it dry for 24 hours before it is scanned or measured."]
    return [
        "Print all pages in one go, each on a sheet of its own, with the same settings, and lay them side by side.",
        "Let them dry for 24 hours before they are scanned or measured; then name all scans in one tackside read.",
    ]


def _colour_step(trial: Trial) -> str:
    plan = trial.sheet
    if trial.through is not None:
        return (
            f"Colour: no colour management anywhere. The file holds the printer's numbers, converted by "
            f'"{trial.through.profile}" already; same paper and quality settings as the sheet that it was built from.'
        )
    if plan.space is None:
        return "Colour: no colour management anywhere. The file holds bare device numbers and has no profile."
    space = "sRGB" if plan.space == "srgb" else "a space compatible with Adobe RGB (1998)"
    return f"Colour: the file is in {space} and says so; print it as you print your pictures."
