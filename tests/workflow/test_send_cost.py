"""What sheets to be sent cost, whatever their card is called."""

from __future__ import annotations

import shutil
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

from tackside.bench.store import Bench
from tackside.files.toml_records import load_record
from tackside.records import Printer, Stock
from tackside.run.plan.parcels import parcels_of, run_of
from tackside.run.plan.progress import batch_of
from tackside.workflow.runs.keep import keep_file
from tackside.workflow.runs.send import Ready
from tests.cli.bench_of_examples import SATIN, TERN
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
