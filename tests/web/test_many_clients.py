"""Many at once: nothing confirmed is lost, and nobody sees an error. benchmarks/web.py does it for a minute."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.pages import paths
from tests.web.workshop import serving


def benchmark() -> ModuleType:
    """The benchmark's own crowd."""
    file = Path(__file__).parents[2] / "benchmarks" / "web.py"
    spec = importlib.util.spec_from_file_location("benchmark_web", file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.slow
def test_a_crowd_of_clients_loses_no_write_and_sees_no_error(bench: Bench) -> None:
    module = benchmark()
    shown = ["home", "stocks", "stock", "trials", "trial", "printers", "test-card"]
    known = paths(bench)
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        load = module.crowd(
            address,
            [known[name] for name in shown],
            seconds=120.0,  # however slow the machine is; a usual one needs two
            clients=25,
            pace=(0.2, 0.8),
            enough=20,
        )
    assert load.errors == []
    assert len(load.kept) >= 20
    names = {stock.name for stock in bench.stocks.list()}
    assert [name for name in load.kept if name not in names] == []
