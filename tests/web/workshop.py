"""A small invented bench, clients for it, a server in a thread, and a browser."""

from __future__ import annotations

import contextlib
import re
import shutil
import socket
import tempfile
import threading
import time
import warnings
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
import uvicorn
from fastapi import FastAPI
from starlette.routing import BaseRoute

from tackside.bench.store import Bench
from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.fit.fit_stock import fit_stock
from tackside.records import (
    Crease,
    Feed,
    Inks,
    Margins,
    PatchReading,
    Placement,
    Printer,
    Reading,
    Settings,
    SheetPlan,
    Stock,
    Trial,
    Uncertainty,
)
from tackside.records.run import KeptBatch, KeptRun
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.web.app import create_app
from tackside.web.safety.server import server_config
from tackside.web.workbench import Options
from tackside.workflow.prepared.scan_view import prepare_scan
from tests.reading.scan.scans import lay_pixels
from tests.web.card_bench import add_card

with warnings.catch_warnings():  # it would rather have another client; the one that is locked does as well
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ORIGIN = "http://127.0.0.1"
SATIN = Stock(
    name="Harbour Satin 300",
    base="photo",
    surface="satin",
    weight_gsm=300,
    caliper_mm=0.32,
    coated="front",
    coated_found_by="damp-fingertip",
    open_size_mm=(180, 120),
    creases=(Crease(direction="vertical", at_mm=90),),
)
CRAFT = Stock(name="Shingle Craft 250", base="plain", coated="none", open_size_mm=(148, 105))
TERN = Printer(
    name="Tern 8",
    inks=Inks(kind="dye", count=8),
    media_settings=("Photo satin", "Matt"),
    feeds=(
        Feed(
            name="rear",
            min_size_mm=(80, 80),
            max_size_mm=(329, 1000),
            max_caliper_mm=0.6,
            margins_mm=Margins(top=3, bottom=5, left=3.4, right=3.4),
        ),
    ),
)


def plan_of(stock: Stock, trial: str) -> SheetPlan:
    return plan_sheet(stock, TERN, trial_id=trial, ppi=300)


def add_trial(bench: Bench, stock: Stock, *, settings: Settings | None = None) -> Trial:
    """A trial on the bench's own terms, its sheet at 300 ppi to be quick."""
    fit = fit_stock(stock, TERN)
    trial = bench.trials.next_id(stock, TERN, purpose="path", space="srgb", side="front", feed=fit.feed or "")
    return bench.trials.add(
        Trial(
            id=trial, stock=stock.name, stock_revision=bench.stocks.revision(stock.name), printer=TERN.name,
            printer_revision=1, feed=fit.feed or "", side="front", settings=settings or Settings(),
            sheet=plan_of(stock, trial), made_at=NOON,
        )
    )  # fmt: skip


def add_scan(bench: Bench, trial: Trial) -> str:
    """The sheet's own pixels kept as a scan, a little askew, and prepared to be looked at; its SHA-256."""
    plan = trial.sheet
    laid = lay_pixels(render(plan), plan, 300, 0.4)
    image = pyvips.Image.new_from_array(np.ascontiguousarray(laid.pixels)).copy(
        interpretation="srgb", xres=300 / 25.4, yres=300 / 25.4
    )
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / "scan.tif"
        image.tiffsave(str(file), compression="lzw")
        sha256 = bench.keep_file(file, "scan.tif")
    cache = bench.folder / "cache"
    cache.mkdir(exist_ok=True)
    prepare_scan(cache, bench.file(sha256), sha256, trial)
    return sha256


def add_reading(
    bench: Bench,
    trial: Trial,
    black_l: float,
    device: str = "flatbed",
    source: str = "0" * 64,
    placement: Placement | None = None,
) -> Reading:
    """A reading as from a scan: sRGB's own colours, lifted to a black of ``black_l``."""
    rgb = np.array([patch.rgb for patch in trial.sheet.patches])
    lab = rgb_to_lab(rgb, SRGB)
    lab[:, 0] = black_l + lab[:, 0] * (95 - black_l) / 100
    lab[:, 1:] *= (95 - black_l) / 95
    patches = tuple(
        PatchReading(name=patch.name, rgb=patch.rgb, lab=(float(a), float(b), float(c)), sd=0.4)
        for patch, (a, b, c) in zip(trial.sheet.patches, lab, strict=True)
    )
    return bench.readings.add(
        Reading(
            trial=trial.id, kind="scan", source_name="scan.tif", source_sha256=source, made_at=NOON, device=device,
            patches=patches, placement=placement,
            uncertainty=Uncertainty(de00=1.5, basis="as the test says", comparable_with=device),
        )
    )  # fmt: skip


def add_verdict(bench: Bench, trial: Trial, reading: Reading) -> None:
    stock = bench.stocks.get(trial.stock)
    made = judge(KnownPrint(reading, trial=trial, stock=stock), made_at=NOON)
    bench.verdicts.add(made.model_copy(update={"reading": reading.id}))


@cache
def _template() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="tackside-web-test-")) / "bench"
    bench = Bench.open(folder)
    for stock in (SATIN, CRAFT):
        bench.stocks.add(stock)
    bench.printers.add(TERN)
    for stock, black_l in ((SATIN, 6.0), (CRAFT, 31.0)):
        trial = add_trial(bench, stock)
        add_verdict(bench, trial, add_reading(bench, trial, black_l, source=add_scan(bench, trial)))
    add_trial(bench, SATIN)
    add_run(bench)
    add_card(bench, SATIN.name, TERN.name)
    return folder


def furnish(folder: Path) -> Bench:
    """A bench with two stocks, a printer, two judged trials and one that waits for its print."""
    shutil.copytree(_template(), folder)
    return Bench.open(folder)


ROUTES: list[BaseRoute] = []


def with_known_routes(app: FastAPI) -> FastAPI:
    """The workbench with the routes of the first one in this process: they are the same for every bench, and what each
    takes is worked out when it is first asked for, which takes a tenth of a second for all."""
    if not ROUTES:
        ROUTES.extend(app.router.routes)
    assert [type(each) for each in ROUTES] == [type(each) for each in app.router.routes]
    app.router.routes[:] = ROUTES
    return app


def client_of(bench: Bench, **options: Any) -> TestClient:
    """A client that jobs do not run for, with the token in its headers."""
    app = with_known_routes(create_app(bench.folder, Options(**{"keep_jobs": False, **options})))
    made = TestClient(app, base_url=ORIGIN, follow_redirects=False)
    made.headers["x-csrf-token"] = made.get("/api/session").json()["csrf"]
    return made


def token_in(page: str) -> str:
    found = re.search(r'name="csrf" value="([0-9a-f]{64})"', page)
    assert found is not None
    return found[1]


def laid_on_glass(sheet: Path, plan: SheetPlan, scan: Path, tilt_deg: float = 0.4) -> Path:
    """A sheet's own file as an even print, black at L* 6 and card at L* 96, laid on the glass a little askew and
    scanned at 300 ppi with a scanner's noise."""
    pixels = pyvips.Image.new_from_file(str(sheet)).numpy()
    printed = np.rint(20 + np.arange(256) * (224 / 255)).astype(np.uint8)[pixels]
    seen = lay_pixels(printed, plan, 300, tilt_deg).pixels
    noisy = seen + np.random.default_rng(7).standard_normal(seen.shape, np.float32)
    laid = np.clip(np.rint(noisy), 0, 255).astype(np.uint8)
    image = pyvips.Image.new_from_array(np.ascontiguousarray(laid)).copy(
        interpretation="srgb", xres=300 / 25.4, yres=300 / 25.4
    )
    image.tiffsave(str(scan))
    return scan


@contextlib.contextmanager
def serving(app: FastAPI, port: int = 0) -> Iterator[str]:
    """The app on a port of its own, or on this one again; gives its address."""
    if hasattr(app.state, "workbench"):
        with_known_routes(app)
    door = socket.create_server(("127.0.0.1", port))
    server = uvicorn.Server(server_config(app, timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started:
        assert time.monotonic() < deadline
        time.sleep(0.02)
    try:
        yield f"http://127.0.0.1:{door.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(timeout=15)
        door.close()


def add_run(bench: Bench) -> str:
    """A run that was kept: forty cards on one stock, in one batch."""
    plan = {
        "currency": "GBP", "quantity": 40, "unit_cost": "1.10", "unit_cost_range": ["0.95", "1.30"],
        "price": {"wholesale": "1.50", "retail": "3.00"}, "total_cost": "44.00", "outlay": "29.00",
        "parts": {"card": "23.20", "ink": "9.10"}, "assumptions": ["6 % of the sheets spoil"],
        "stocks": [{"name": SATIN.name, "packs": 2, "pack_count": 25, "left_over": 5}], "others": [],
    }  # fmt: skip
    batch = KeptBatch(
        number=1, printer=TERN.name, stock=SATIN.name, setting="photo satin", good=40, spoiled=3, setup=2,
        cards=(("Boats", 40),), tones_m2=(0.02,),
    )  # fmt: skip
    run = KeptRun(
        name="Harbour fair", folder="fair", file="fair.toml", file_sha256="0" * 64, made_at=NOON, batches=(batch,),
        plan=plan,
    )  # fmt: skip
    return bench.runs.add(run).id or ""
