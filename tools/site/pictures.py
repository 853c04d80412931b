"""Takes the pictures in docs/ again: of the program at work on the invented studio's bench, and of what it writes.

Nothing in them is drawn by hand but the diagrams (SVG), which are kept as they are.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pypdfium2
from PIL import Image

from tackside.bench.store import Bench
from tackside.cli.demo import scenario
from tackside.cli.demo.studio import run_demo
from tackside.records import Trial
from tackside.records.sheet_plan import Side
from tools.site.prints import part_of, print_with_fault, save, upright
from tools.site.screens import PHONE, Shot, browser, filled, shoot, shoot_file, workbench

Trials = dict[tuple[str, Side], Trial]

PORT = 8519
SHOWN = ("scene", "skin", "feathers")
FAULTS = ("none", "side", "too-little-ink", "too-much-ink", "managed-twice", "unmanaged")
RUN = """\
name = "Harbour fair"
currency = "GBP"
instead = ["Plover Matt 230"]

[[cards]]
name = "Boats"
file = "card.toml"
quantity = 40
setting = "Photo satin, High"

[inks."Tern 8"]
ml = 112
price = "128.00"
currency = "GBP"

[envelopes]
count = 50
price = "6.00"
currency = "GBP"

[labour]
rate = "14.00"

[calendar]
start = 2026-05-04
"""


def take_pictures(docs: Path, demo: Path | None = None, only: Sequence[str] = ()) -> None:
    """All pictures, into ``docs/pictures`` and the README's two into ``docs``.

    ``demo``: a demo's folder, else one is made. ``only`` some of them: ``prints``, ``files``, ``report``, pages of the
    workbench by their name.
    """
    out = docs / "pictures"
    out.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        studio = demo or place / "demo"
        if demo is None:
            run_demo(studio, lambda what, share: print(f"demo: {what}", flush=True))
        bench = Bench.open(studio / "bench")
        trials: Trials = {(each.stock, each.side): each for each in bench.trials.list() if not each.practice}
        if not only or "files" in only:
            _files(bench, studio, place, out)
        shots = [each for each in _shots(trials, studio) if not only or each.name in only]
        with browser() as chromium:
            if not only or "report" in only:
                _report(chromium, studio, docs, out)
            if shots:
                with workbench(studio / "bench", PORT) as address:
                    for shot in shots:
                        print(shot.name, flush=True)
                        shoot(chromium, address, shot, out / f"{shot.name}.webp")
        if not only or "prints" in only:  # last, as practice prints would stand on the pages
            _prints(bench, trials, studio, place, out)


def _prints(bench: Bench, trials: Trials, studio: Path, place: Path, out: Path) -> None:
    """Prints beside each other: the studio's cards, and one card with each fault."""
    for (stock, side), trial in trials.items():
        name = f"{stock.lower().replace(' ', '-')}-{side}"
        scan = studio / "scans" / f"{name}.tif"
        found = part_of(upright(scan, trial.sheet, trial.id), trial.sheet, SHOWN)
        save(found, out / f"print-{name}.webp")
    for fault in FAULTS:
        made = print_with_fault(bench, trials[scenario.REFERENCE, "front"].id, place, fault, SHOWN)
        save(made, out / f"fault-{fault}.webp")


def _files(bench: Bench, studio: Path, place: Path, out: Path) -> None:
    """What the program writes for the printer and the table: a sheet, a card, papers of a run."""
    sheet = studio / "sheets" / "harbour-satin-300-front.tif"
    with Image.open(sheet) as image:
        small = image.convert("RGB").resize((1050, 1485), Image.Resampling.LANCZOS)
    save(small, out / "sheet.webp")
    small.resize((812, 1148), Image.Resampling.LANCZOS).quantize(256).save(
        out.parent / "sheet.png", optimize=True
    )
    card = studio / "card" / scenario.CARD_FILE
    run = studio / "card" / "fair.toml"
    run.write_text(RUN, encoding="utf-8")
    for name, drawn in (("card-as-fed", ()), ("card-folded", ("--folded",))):
        file = place / f"{name}.png"
        _tackside(bench, "card", "preview", card, "--out", file, *drawn)
        save(Image.open(file), out / f"{name}.webp", 1200)
    _tackside(bench, "run", "picklist", run, "--out", place / "pick-list.pdf")
    _tackside(bench, "run", "instructions", run, "--out", place / "instructions.pdf")
    for name in ("pick-list", "instructions"):
        document = pypdfium2.PdfDocument(place / f"{name}.pdf")
        save(document[0].render(scale=1.6).to_pil(), out / f"{name}.webp", 1300)


def _tackside(bench: Bench, *command: str | Path) -> dict[str, Any]:
    """A command of the program as a person would type it; what it says as JSON."""
    words = [sys.executable, "-m", "tackside", "--bench", str(bench.folder), *map(str, command), "--json"]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    return dict(json.loads(done.stdout))


def _report(chromium: Any, studio: Path, docs: Path, out: Path) -> None:
    page = studio / "report.html"
    tall = shoot_file(chromium, page, out / "report.webp", (928, 1552))
    tall.resize((928, 1552), Image.Resampling.LANCZOS).convert("RGB").quantize(256).save(
        docs / "report.png", optimize=True
    )
    shoot_file(chromium, page, out / "report-phone.webp", PHONE)


def _shots(trials: Trials, studio: Path) -> list[Shot]:
    sound = trials[scenario.REFERENCE, "front"].id
    coated, bare = trials["Plover Matt 230", "front"].id, trials["Plover Matt 230", "back"].id
    craft = trials["Shingle Craft 250", "front"].id
    card = f"/cards/{quote(scenario.CARD_NAME)}"
    fitted = f"/test/fit?stock={quote(scenario.REFERENCE)}&printer={quote(scenario.PRINTER)}"
    picture = {"#files": str(studio / "card" / scenario.PICTURE_FILE)}
    run = {
        "#name": "Harbour fair", "#card-1-name": "Boats", "#card-1-design": scenario.CARD_NAME,
        "#card-1-quantity": "40", "#ink-1-printer": scenario.PRINTER, "#ink-1-ml": "112", "#ink-1-price": "128",
        "#envelopes-count": "50", "#envelopes-price": "6",
    }  # fmt: skip
    return [
        Shot("bench", "/", "body", 700, size=(1180, 700)),
        Shot("fit", fitted, most=1080),
        Shot("print", f"/trials/{sound}/print", most=1150),
        Shot("verdict", f"/trials/{sound}", most=900, first=_scan_is_there),
        Shot("verdict-bare-side", f"/trials/{bare}", most=900, first=_scan_is_there),
        Shot("verdict-phone", f"/trials/{bare}", "body", PHONE[1], size=PHONE),
        Shot("together", f"/compare?trial={coated}&trial={bare}&trial={craft}", most=900),
        Shot("card", card, most=880),
        Shot("practice", "/practice", most=900),
        Shot("choose", "/choose", most=1000, first=_to(picture, ".ranked")),
        Shot("run", "/plan/run", most=1150, first=_to(run, "text=Save this run")),
    ]


def _scan_is_there(page: Any) -> None:
    """The scan is prepared in the background, and shown on the same page."""
    page.locator(".viewer, .evidence canvas, [data-viewer]").first.wait_for(state="visible")
    page.wait_for_timeout(3000)


def _to(fields: dict[str, str], there: str) -> Any:
    """Fill in the page's form and wait for what comes of it."""

    def do(page: Any) -> None:
        filled(fields, "main form button.first")(page)
        page.locator(there).first.wait_for()

    return do
