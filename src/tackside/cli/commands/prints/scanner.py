"""``tackside scanner``: learn what a scanner makes of your inks, and see whether it has changed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import numpy as np
from cyclopts import App, Parameter

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.cautions import BLADES
from tackside.cli.learnt import scanner_use
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest
from tackside.reading.scan.read import read_one_scan
from tackside.reading.scanners.correct import DRIFTED, stated
from tackside.reading.scanners.drift import drift_of
from tackside.reading.scanners.learn import (
    learn_from_sheet,
    learn_sharpness,
    with_characterisation,
    with_sharpness,
)
from tackside.reading.scanners.target import learn_from_target
from tackside.records.scanner import Characterisation, Scanner

app = App(
    name="scanner",
    help="Learn a scanner: learn, target, sharpness, check, list, show.",
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
    """Learn what the scanner makes of your own inks, from one sheet that an instrument has read too.

    The best of several regressions is chosen by cross-validation; its error becomes the uncertainty of readings.
    """
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    use = scanner_use(bench, Scanner(name=name), found)
    new = learn_from_sheet(
        scan, data, found.sheet, found.id, inks=use.inks, surface=use.surface, stock=use.stock
    )
    for file in (scan, data):
        bench.keep_file(file)
    return _kept(name, new)


@app.command
def target(
    name: Name,
    /,
    *,
    scan: Annotated[Path, Parameter(help="The scan of the target.")],
    data: Annotated[Path, Parameter(help="The target's data file (CGATS).")],
    corners: Annotated[str, Parameter(help='Centres of A1, A22, L22, L1 in pixels: "x,y x,y x,y x,y".')],
) -> Outcome:
    """Learn the scanner from a photographic target by ISO 12641. Print inks differ: your own sheet serves better."""
    Bench.open(bench_folder())
    try:
        points = np.array([[float(value) for value in pair.split(",")] for pair in corners.split()])
    except ValueError as error:
        raise BadRequest(
            f"corners {corners!r:.60} are no numbers", 'write them as "x,y x,y x,y x,y"'
        ) from error
    if points.shape != (4, 2):
        raise BadRequest(f"corners {corners!r:.60} are not four points", 'write them as "x,y x,y x,y x,y"')
    return _kept(name, learn_from_target(scan, data, points))


@app.command(help_epilogue=str(BLADES))
def sharpness(
    name: Name, scan: Annotated[Path, Parameter(help="A scan cropped to one sharp, slanted edge.")]
) -> Outcome:
    """Learn the scanner's own sharpness from an edge known to be sharp, a few degrees askew on the glass.

    A clean cut of opaque black film or foil on white card serves. Keep blades off the glass.
    Scan it both ways round: lines of each direction need the edge across that direction.
    """
    Bench.open(bench_folder())
    shelf = Scanners(Path(bench_folder()))
    new = learn_sharpness(scan)
    shelf.keep(with_sharpness(shelf.find(name), new))
    across = {"x": "along the rows", "y": "down the columns"}[new.axis]
    text = f"{name}: half response at {new.half_cycles_mm:.1f} cycles/mm {across} of the file, at {new.ppi:.0f} ppi."
    return Outcome(
        {"name": name, "axis": new.axis, "ppi": new.ppi, "half_cycles_mm": new.half_cycles_mm}, text
    )


@app.command
def check(
    name: Name,
    trial: Annotated[str, Parameter(help="The trial whose sheet the scanner was learnt from.")],
    scan: Annotated[Path, Parameter(help="A new scan of that very sheet.")],
) -> Outcome:
    """Say whether the scanner has changed since it was learnt: scan the same sheet again."""
    bench = Bench.open(bench_folder(), create=False)
    found = bench.trials.get(trial)
    scanner = Scanners(Path(bench_folder())).get(name)
    use = scanner_use(bench, scanner, found)
    seen = read_one_scan(scan, found.sheet, found.id, None)
    drifts = [
        (known, drift)
        for known in scanner.characterisations
        if known.stock == use.stock and known.inks == use.inks and known.settings == seen.settings.colours
        if (drift := drift_of(known, seen.reading.patches)) is not None
    ]
    if not drifts:
        raise BadRequest(
            f'"{name}" was not learnt from the stock and settings of this scan',
            "see: tackside scanner show NAME",
        )
    drift = drifts[-1][1]
    steady = drift <= DRIFTED / 2
    advice = "steady." if steady else "it has changed: learn it anew."
    return Outcome(
        {"name": name, "drift_de00": drift, "steady": steady},
        f"{name}: {drift:.2f} ΔE00 off in the middle, {advice}",
    )


@app.command(name="list")
def list_() -> Outcome:
    """List all scanners with what is known of them."""
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
        else "No scanner learnt yet: tackside scanner learn NAME TRIAL --scan FILE --data FILE"
    )
    return Outcome({"scanners": [_document(one) for one in known]}, text)


@app.command
def show(name: Name) -> Outcome:
    """Show what is known of a scanner, and how well."""
    scanner = Scanners(Path(bench_folder())).get(name)
    rows = [(f"{one.inks} on {one.stock}", _told(one)) for one in scanner.characterisations]
    rows += [
        (f"Sharpness, {one.axis}", f"half response at {one.half_cycles_mm:.1f} cycles/mm, {one.ppi:.0f} ppi")
        for one in scanner.sharpness
    ]
    return Outcome(_document(scanner), facts.page(scanner.name, facts.facts(rows)))


def _kept(name: str, new: Characterisation) -> Outcome:
    shelf = Scanners(Path(bench_folder()))
    shelf.keep(with_characterisation(shelf.find(name), new))
    return Outcome({"name": name, **_figures(new)}, f"{name}, {new.inks} on {new.stock}: {_told(new)}")


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
