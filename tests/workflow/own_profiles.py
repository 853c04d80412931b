"""A bench with one invented card whose prints come off the virtual press and are read with a known noise."""

from __future__ import annotations

import pickle
import tomllib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.profile.build import build
from tackside.profile.build.measured import MeasuredPatches
from tackside.records import PatchReading, Printer, Reading, Stock, Trial, Uncertainty
from tackside.records.reading import MeasurementCondition
from tackside.workflow.profiles.evidence import sent_numbers
from tackside.workflow.trials import make_trial
from tests.cli.bench_of_examples import EXAMPLES
from tests.cli.bench_of_readings import MODELS

NOISE = 0.43  # ΔE*ab, root mean square, of one reading: a hand-held instrument on a grainy card
READ_AT = datetime(2026, 2, 3, 12, tzinfo=UTC)


@cache
def _builder() -> Callable[..., build.Built]:
    """The builder, but what was built once of the same measurements and words is taken again."""
    known: dict[bytes, build.Built] = {}
    build_profile = build.build_profile

    def built(measured: MeasuredPatches, *, made_at: datetime, tell: build.Tell, **how: Any) -> build.Built:
        asked = pickle.dumps((measured, sorted(how.items())))
        if asked not in known:
            known[asked] = build_profile(measured, made_at=made_at, tell=tell, **how)
        return known[asked]

    return built


@pytest.fixture(autouse=True, scope="module")
def built_once() -> Iterator[None]:
    """For modules that take this in: benches of one card come to the same profile, which takes seconds to build."""
    builder = _builder()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(build, "build_profile", builder)
        yield


def bench_with(folder: Path, *stocks: str) -> Bench:
    """A bench with the demo's printer and the stocks of these files."""
    bench = Bench.open(folder)
    bench.printers.add(Printer(**tomllib.loads((EXAMPLES / "tern-8.toml").read_text("utf-8"))))
    for name in stocks:
        bench.stocks.add(stock_called(name))
    return bench


def stock_called(name: str) -> Stock:
    return Stock(**tomllib.loads((EXAMPLES / f"{name}.toml").read_text("utf-8")))


@cache
def press_of(name: str) -> Print:
    """The press with a card of the stock called ``name`` in it."""
    return print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, MODELS[name], PrinterModel())


def device_trial(bench: Bench, name: str, *, patches: int | None = None) -> Trial:
    stock = stock_called(name)
    return make_trial(bench, stock.name, "Tern 8", purpose="device", patches=patches).trial


def truth_of(trial: Trial, name: str) -> np.ndarray:
    """CIELAB (n, 3) that the press lays down for each patch of the sheet, by the numbers that were sent."""
    sent = sent_numbers(trial)
    return press_of(name).lab_of(np.array([sent[patch.name] for patch in trial.sheet.patches]))


def read_by_instrument(
    bench: Bench,
    trial: Trial,
    name: str,
    *,
    seed: int = 1,
    noise: float = NOISE,
    condition: MeasurementCondition = "M1",
    slips: dict[int, tuple[float, float, float]] | None = None,
    **changes: object,
) -> Reading:
    """A reading of a trial's print, with noise; ``slips``: patches by number that were read as another colour."""
    lab = truth_of(trial, name)
    lab = lab + noise / np.sqrt(3) * np.random.default_rng(seed).standard_normal(lab.shape)
    for number, other in (slips or {}).items():
        lab[number] = other
    reading = Reading(
        trial=trial.id,
        kind="instrument",
        source_name=f"{trial.id}-{seed}.txt",
        source_sha256=f"{abs(hash((trial.id, seed))):064x}"[:64],
        made_at=READ_AT,
        condition=condition,
        patches=tuple(
            PatchReading(name=patch.name, rgb=patch.rgb, lab=tuple(float(value) for value in row))
            for patch, row in zip(trial.sheet.patches, lab, strict=True)
        ),
        uncertainty=Uncertainty(de00=0.5, basis="an invented instrument", comparable_with="colorimetric"),
    )
    return bench.readings.add(reading.model_copy(update=changes))
