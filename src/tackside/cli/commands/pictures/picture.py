"""``tackside picture``: a picture looked at before any ink."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.cli.place import place_of
from tackside.cli.session import Outcome, bench_if_there, on_stderr
from tackside.cli.views import facts
from tackside.messages.wording import TERMINAL, as_sentence
from tackside.picture.check.check import PictureCheck
from tackside.picture.check.finding import Severity
from tackside.picture.check.resolution import Use
from tackside.picture.check.survey import Clipped
from tackside.picture.file.gather import gather_pictures
from tackside.workflow.pictures.check import check_pictures

app = App(name="picture", help="Check pictures before any ink is used.", help_format="plaintext")

MARKS: dict[Severity, tuple[str, str]] = {
    "stop": ("✕", "bold red"),
    "mend": ("!", "bold yellow"),
    "note": ("·", "dim"),
}


@app.command
def check(
    *file: Annotated[Path, Parameter(help="Pictures, or folders of them.")],
    stock: Annotated[str | None, Parameter(help="The stock that they are for.")] = None,
    printer: Annotated[str | None, Parameter(help="The printer, for its grid.")] = None,
    panel: Annotated[str, Parameter(help="The panel of the stock that they fill.")] = "front",
    size_mm: Annotated[
        tuple[float, float] | None, Parameter(help="Width and height that they fill, instead of a panel.")
    ] = None,
    distance_cm: Annotated[float, Parameter(help="Viewing distance of the card.")] = 30.0,
    cards: Annotated[
        bool, Parameter(help="Also compare their colours with every card on the bench that was read.")
    ] = True,
) -> Outcome:
    """Check pictures before any ink is used, and say what to do about each finding.

    Checks profile, resolution at its size on the card, upscaling, clipping, transparency, and colours that no tested
    card can hold. A broken picture is itself a finding: the others are still checked.
    """
    paths = gather_pictures(file)
    use = place_of(stock, printer, panel, size_mm, distance_cm)
    found = check_pictures(bench_if_there() if cards else None, paths, use, progress=on_stderr()).pictures
    return Outcome({"pictures": [document(each) for each in found]}, text(found, use))


def document(found: PictureCheck) -> dict[str, Any]:
    """One picture as plain data. Shares are 0 to 1."""
    picture, seen = found.picture, found.survey
    return {
        "file": str(found.path),
        "size_px": list(picture.size_px) if picture else None,
        "bits": picture.bits if picture else None,
        "profile": str(picture.profile_name) if picture else None,
        "ppi": round(found.resolution.ppi, 1) if found.resolution else None,
        "eye_ppi": round(found.resolution.eye_ppi, 1) if found.resolution else None,
        "detail": round(found.detail, 3) if found.detail is not None else None,
        "highlights": _clipped(seen.highlights if seen else None),
        "shadows": _clipped(seen.shadows if seen else None),
        "transparent": seen.transparent if seen else None,
        "findings": [
            {
                "id": each.id,
                "severity": each.severity,
                "message": TERMINAL.what(each.message),
                "mend": TERMINAL.fix(each.message),
                **each.message.as_data(),
                "figure": each.figure,
                "unit": each.unit,
            }
            for each in found.findings
        ],
    }


def _clipped(clipped: Clipped | None) -> dict[str, Any] | None:
    if clipped is None:
        return None
    return {"channels": list(clipped.channels), "luminance": clipped.all_channels}


def text(found: Sequence[PictureCheck], use: Use | None) -> RenderableType:
    """Each picture with its findings, worst first."""
    parts: list[RenderableType] = []
    for each in found:
        parts += [Text(each.path.name, style="bold"), Text(_facts(each), style="dim")]
        parts += [_finding_lines(each), ""]
    where = f" for {use.place}" if use else ""
    return facts.page(
        f"{len(found)} pictures looked at{where}" if len(found) > 1 else f"Before any ink{where}", *parts
    )


def _facts(found: PictureCheck) -> str:
    if found.picture is None:
        return "it cannot be printed"
    said = [
        "{} × {} pixels".format(*found.picture.size_px),
        f"{found.picture.bits} bits",
        str(found.picture.profile_name),
    ]
    if found.resolution:
        said.append(f"{found.resolution.ppi:.0f} ppi in its place")
    return ", ".join(said)


def _finding_lines(found: PictureCheck) -> RenderableType:
    if not found.findings:
        return facts.sentences(["Nothing speaks against printing it."], "✓", "green")
    table = facts.sentences([], "", "")
    for each in found.findings:
        mark, style = MARKS[each.severity]
        table.add_row(
            Text(mark, style=style),
            Text.assemble(
                f"{as_sentence(TERMINAL.what(each.message))} ",
                (as_sentence(TERMINAL.fix(each.message)), "italic"),
            ),
        )
    return table
