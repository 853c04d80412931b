"""What sheets to be sent cost, whatever their card is called; and where they are to fall."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from tackside.bench.store import Bench
from tackside.files.toml_records import load_record
from tackside.press.printer.printer_model import PrinterModel
from tackside.records import Printer, Stock
from tackside.run.plan.parcels import parcels_of, run_of
from tackside.run.plan.progress import batch_of
from tackside.workflow.placement import print_path
from tackside.workflow.runs import send
from tackside.workflow.runs.keep import keep_file
from tackside.workflow.runs.send import Ready, make_ready
from tests.cli.bench_of_examples import SATIN, TERN
from tests.fit.placement.benches import keep_trial
from tests.run.files import CARD, PHOTOGRAPH, RUN


def test_rows_of_a_card_whose_name_looks_like_a_row_are_priced(tmp_path: Path) -> None:
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "boats.toml").write_text(
        CARD + '[[texts]]\npanel = "back"\ntext = "For {name}"\n', encoding="utf-8"
    )
    (tmp_path / "people.csv").write_text("name\nAda\nBo\nCy\n", encoding="utf-8")
    (tmp_path / "run.toml").write_text(
        RUN.replace('name = "Boats"', 'name = "Boats, row 2"').replace(
            "quantity = 40", 'recipients = "people.csv"'
        ),
        encoding="utf-8",
    )
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(load_record(SATIN, Stock))
    bench.printers.add(load_record(TERN, Printer))
    kept = keep_file(bench, tmp_path / "run.toml").run
    parcels = parcels_of(run_of(kept), batch_of(kept, 1), (), ())
    assert [(each.name, each.row) for each in parcels] == [("Boats, row 2", row) for row in (1, 2, 3)]
    assert [each.document for each in parcels][1] == "Boats, row 2, row 2"
    ready = Ready(kept, 1, cast(Any, SimpleNamespace(parcels=parcels)), cast(Any, None))
    (line,) = kept.plan["batches"][0]["cards"]
    assert ready.cost == 3 * Decimal(line["sheet_cost"]) > 0


def test_the_sheets_of_a_run_are_corrected_as_the_files_of_its_cards_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    (tmp_path / "run.toml").write_text(RUN, encoding="utf-8")
    bench = Bench.open(tmp_path / "bench")
    stock, printer = load_record(SATIN, Stock), load_record(TERN, Printer)
    bench.stocks.add(stock)
    bench.printers.add(printer)
    keep_trial(bench, stock, printer, PrinterModel(offset_mm=(1.0, -0.5)).placement(stock.open_size_mm))
    kept = keep_file(bench, tmp_path / "run.toml").run
    asked: dict[str, Any] = {}
    monkeypatch.setattr(send, "ask_printer", lambda connection: None)
    monkeypatch.setattr(send, "consign", lambda *about, **more: asked.update(more))
    make_ready(bench, kept.id, 1, "ipp://printer.invalid/ipp/print", connect=cast(Any, lambda address: None))
    corrected = print_path(bench, stock, printer, corrected=True)
    assert asked["path"] == corrected != print_path(bench, stock, printer, corrected=False)
