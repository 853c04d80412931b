"""Invented records for the tests of the bench."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from tackside.bench.database.migrations.versions import m0010_digests
from tackside.records import (
    Crease,
    Feed,
    Patch,
    PatchReading,
    Printer,
    Reading,
    SheetPanel,
    SheetPlan,
    Stock,
    Trial,
    Uncertainty,
    Verdict,
)
from tackside.units import Box

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def stock(**more: Any) -> Stock:
    given: dict[str, Any] = {"name": "Harbour Satin 300", "open_size_mm": (210, 297)}
    return Stock(**{**given, "creases": (Crease(direction="horizontal", at_mm=148.5),), **more})


def printer(**more: Any) -> Printer:
    rear = Feed(name="rear", min_size_mm=(89, 127), max_size_mm=(329, 1000))
    return Printer(**{"name": "Tern 8", "feeds": (rear,), **more})


def sheet() -> SheetPlan:
    whole = Box(0, 0, 210, 297)
    return SheetPlan(
        version=1,
        size_mm=(210, 297),
        ppi=600,
        size_px=(4961, 7016),
        space="srgb",
        purpose="path",
        side="front",
        borderless=True,
        panels=(SheetPanel(name="front", trim=whole, printable=whole),),
        creases=(),
        patches=(Patch(name="A1", rgb=(1, 1, 1), box_mm=Box(10, 10, 5, 5), roles=("white",), panel="front"),),
        marks=(),
        tags=(),
        targets=(),
    )


def trial(name: str = "7K3M9QPA", **more: Any) -> Trial:
    given: dict[str, Any] = {
        "id": name,
        "stock": "Harbour Satin 300",
        "stock_revision": 1,
        "printer": "Tern 8",
        "printer_revision": 1,
        "feed": "rear",
        "side": "front",
        "sheet": sheet(),
        "made_at": NOON,
    }
    return Trial(**{**given, **more})


def reading(of: str | None = "7K3M9QPA", **more: Any) -> Reading:
    given: dict[str, Any] = {
        "trial": of,
        "kind": "scan",
        "source_name": "scan.tif",
        "source_sha256": "0" * 64,
        "made_at": NOON,
        "patches": (PatchReading(name="A1", rgb=(1, 1, 1), lab=(95.1, 0.3, -2.7), sd=0.1),),
        "uncertainty": Uncertainty(de00=0.8, basis="as the test says", comparable_with="scanner"),
    }
    return Reading(**{**given, **more})


def verdict(of: str | None = "7K3M9QPA", **more: Any) -> Verdict:
    given: dict[str, Any] = {
        "trial": of,
        "made_at": NOON,
        "grade": "sell",
        "estimate": True,
        "cause": "none",
        "causes": {"none": 1.0},
        "measures": {},
        "rules": (),
        "reasons": (),
    }
    return Verdict(**{**given, **more})


# What the tables have had since form 0010 and an earlier form has not.
WITHOUT_DIGESTS = tuple(f"ALTER TABLE {name} DROP COLUMN digest" for name in m0010_digests.SEALED)
