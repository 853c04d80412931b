"""The run file in the guide is one that works."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import skimage.data

from tackside.bench.store import Bench
from tackside.records.load import load_printer, load_stock
from tackside.run.papers import papers
from tackside.run.plan.load_run import load_run
from tackside.workflow.runs.plan import plan
from tests.cli.bench_of_examples import CRAFT, SATIN, TERN

GUIDE = Path(__file__).parents[2] / "docs" / "plan-a-run.md"
# A photograph inside scikit-image's wheel, CC0 by its photographer (docstring of skimage.data.coffee).
PHOTOGRAPH = Path(skimage.data.__file__).parent / "coffee.png"
CARD = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n[[pictures]]\npanel = "front"\nfile = "coffee.png"\n'


def test_the_example_is_planned_and_its_papers_are_set(tmp_path: Path) -> None:
    (example,) = re.findall(r"```toml\n(.*?)```", GUIDE.read_text(encoding="utf-8"), flags=re.DOTALL)
    (tmp_path / "fair.toml").write_text(example, encoding="utf-8")
    (tmp_path / "boats.toml").write_text(CARD, encoding="utf-8")
    named = CARD + '[[texts]]\npanel = "back"\ntext = "For {name}"\n'
    (tmp_path / "names.toml").write_text(named, encoding="utf-8")
    (tmp_path / "people.csv").write_text(
        'name,street,town\nAda,"1, Quay",Port\nBo,2 Quay,Port\n', encoding="utf-8"
    )
    shutil.copy(PHOTOGRAPH, tmp_path / "coffee.png")
    bench = Bench.open(tmp_path / "bench")
    for file in (SATIN, CRAFT):
        bench.stocks.add(load_stock(file))
    bench.printers.add(load_printer(TERN))
    told = plan(bench, load_run(tmp_path / "fair.toml"))
    assert told.quantity == 42
    assert [batch.setting for batch in told.batches] == ["photo satin, best", "as usual"]
    assert (told.price.retail * 100) % 5 == 0
    assert papers.label_texts(told)[-1] == ["Bo", "2 Quay", "Port"]
    assert papers.pick_list(told).startswith(b"%PDF-")
