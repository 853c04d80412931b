"""``tackside scanner``: learn what a scanner makes of your inks, and see whether it has changed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import numpy as np
from cyclopts import App, Parameter
from numpy.typing import NDArray

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.cautions import BLADES
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.reading.scanners.correct import stated
from tackside.records.scanner import Characterisation, Scanner
from tackside.workflow.scanners import learn_edge, learn_on_sheet, learn_on_target, watch_scanner

app = App(
    name="scanner",
    help="Characterise a scanner: learn, target, sharpness, check, list, show.",
    result_action="return_value",
)
Name = Annotated[str, Parameter(help="Your name for the scanner and its settings.")]


@app.command
def learn(
    name: Name,
    trial: Annotated[str, Parameter(help="A trial whose sheet you have both scanned and measured.")],
    /,
    *,
    scan: Annotated[Path, Parameter(help="The scan of the sheet.")],
    data: Annotated[Path, Parameter(help="The instrument's file of the same print (CGATS or CxF).")],
) -> Outcome:
    """Characterise the scanner on your own inks, from one sheet that an instrument has read too.

    The best of several regressions is chosen by cross-validation; its error becomes the uncertainty of readings.
    """
    new = learn_on_sheet(Bench.open(bench_folder(), create=False), name, trial, scan, data)
    return _learnt(name, new)


@app.command
def target(
    name: Name,
    /,
    *,
    scan: Annotated[Path, Parameter(help="The scan of the target.")],
    data: Annotated[Path, Parameter(help="The target's data file (CGATS).")],
    corners: Annotated[str, Parameter(help='Centres of A1, A22, L22, L1 in pixels: "x,y x,y x,y x,y".')],
) -> Outcome:
    """Characterise the scanner on a photographic target of ISO 12641. Inks differ: your own sheet is better."""
    return _learnt(name, learn_on_target(Bench.open(bench_folder()), name, scan, data, _points(corners)))


@app.command(help_epilogue=str(BLADES))
def sharpness(
    name: Name, scan: Annotated[Path, Parameter(help="A scan cropped to one sharp, slanted edge.")]
) -> Outcome:
    """Measure the scanner's own sharpness on an edge known to be sharp, a few degrees askew on the glass.

    A clean cut of opaque black film or foil on white card works. Keep blades off the glass.
    Scan it both ways round: lines of each direction need the edge across that direction.
    """
    new = learn_edge(Bench.open(bench_folder()), name, scan)
    across = {"x": "along the rows", "y": "down the columns"}[new.axis]
    text = f"{name}: half response at {new.half_cycles_mm:.1f} cycles/mm {across} of the file, at {new.ppi:.0f} ppi."
    return Outcome(
        {"name": name, "axis": new.axis, "ppi": new.ppi, "half_cycles_mm": new.half_cycles_mm}, text
    )


@app.command
def check(
    name: Name,
    trial: Annotated[str, Parameter(help="The trial whose sheet the scanner was characterised on.")],
    scan: Annotated[Path, Parameter(help="A new scan of the same sheet.")],
) -> Outcome:
    """Say whether the scanner has changed since it was characterised: scan the same sheet again."""
    found = watch_scanner(Bench.open(bench_folder(), create=False), name, trial, scan)
    advice = "steady." if found.is_steady else "it has changed: learn it again."
    return Outcome(
        {"name": name, "drift_de00": found.drift_de00, "steady": found.is_steady},
        f"{name}: {found.drift_de00:.2f} ΔE00 off in the middle, {advice}",
    )


@app.command(name="list")
def list_() -> Outcome:
    """List all scanners with what is known about them."""
    known = Scanners(Path(bench_folder())).list()
    rows = [
        (
            one.name,
            str(len(one.characterisations)),
            ", ".join(f"{each.axis} {each.ppi:.0f} ppi" for each in one.sharpness) or "–",
        )
        for one in known
    ]
    text = (
        facts.listing(("scanner", "characterised", "sharpness"), rows)
        if rows
        else "No scanner characterised yet: tackside scanner learn NAME TRIAL --scan FILE --data FILE"
    )
    return Outcome({"scanners": [_document(one) for one in known]}, text)


@app.command
def show(name: Name) -> Outcome:
    """Show what is known about a scanner, and how accurate it is."""
    scanner = Scanners(Path(bench_folder())).get(name)
    rows = [(f"{one.inks} on {one.stock}", _told(one)) for one in scanner.characterisations]
    rows += [
        (f"Sharpness, {one.axis}", f"half response at {one.half_cycles_mm:.1f} cycles/mm, {one.ppi:.0f} ppi")
        for one in scanner.sharpness
    ]
    return Outcome(_document(scanner), facts.page(scanner.name, facts.facts(rows)))


def _learnt(name: str, new: Characterisation) -> Outcome:
    return Outcome({"name": name, **_figures(new)}, f"{name}, {new.inks} on {new.stock}: {_told(new)}")


def _points(corners: str) -> NDArray[np.float64]:
    """Four points (4, 2) in pixels. Raises BadRequest."""
    try:
        points = np.array([[float(value) for value in pair.split(",")] for pair in corners.split()])
    except ValueError as error:
        raise BadRequest("scanner.corners-no-numbers", corners=corners[:60]) from error
    if points.shape != (4, 2):
        raise BadRequest("scanner.corners-not-four", corners=corners[:60])
    return points


def _told(one: Characterisation) -> str:
    return (
        f"{one.patches} patches, {one.model.kind} regression, cross-validated {one.de00_median:.2f} "
        "ΔE00 in the middle, "
        f"{one.de00_p95:.2f} at the 95th percentile; {one.settings}"
    )


def _figures(one: Characterisation) -> dict[str, Any]:
    return {
        "way": one.way,
        "inks": one.inks,
        "surface": one.surface,
        "stock": one.stock,
        "settings": one.settings,
        "patches": one.patches,
        "model": one.model.kind,
        "de00_median": one.de00_median,
        "de00_p95": one.de00_p95,
        "de00_stated": stated(one),
        "rivals": one.others,
        "learned_at": one.learned_at.isoformat(),
    }


def _document(scanner: Scanner) -> dict[str, Any]:
    return {
        "name": scanner.name,
        "characterisations": [_figures(one) for one in scanner.characterisations],
        "sharpness": [
            {"axis": one.axis, "ppi": one.ppi, "half_cycles_mm": one.half_cycles_mm}
            for one in scanner.sharpness
        ],
    }
