"""Invented runs for the tests: prices that are easy to add up by hand."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from tackside.records import Pack
from tackside.run.plan.batches import RunLine
from tackside.run.plan.plan import RunPlan, plan_run
from tackside.run.plan.run_file import Run, RunCard
from tackside.run.plan.waste import Log

SATIN, CRAFT, TERN = "Harbour Satin 300", "Shingle Craft 250", "Tern 8"
PACKS = {
    SATIN: Pack(count=25, price=Decimal("14.50"), currency="GBP"),
    CRAFT: Pack(count=50, price=Decimal("6.00"), currency="GBP"),
}


def card(name: str = "Boats", quantity: int = 40, **more: Any) -> RunCard:
    given: dict[str, Any] = {
        "name": name,
        "quantity": quantity,
        "stock": SATIN,
        "printer": TERN,
        "ink_ml": 0.9,
    }
    return RunCard(**{**given, **more})


def run(*cards: RunCard, **more: Any) -> Run:
    given: dict[str, Any] = {
        "name": "Harbour fair",
        "currency": "GBP",
        "cards": cards or (card(),),
        "inks": {TERN: {"ml": 100, "price": "120.00", "currency": "GBP"}},
        "waste": {"spoiled_share": 0.05, "setup_sheets": 3},
    }
    return Run.model_validate({**given, **more})


def line(of: RunCard, **more: Any) -> RunLine:
    given: dict[str, Any] = {
        "card": of,
        "quantity": of.quantity or 1,
        "stock": of.stock or SATIN,
        "printer": of.printer or TERN,
        "faces": of.faces or 1,
        "ink_ml": Decimal(str(of.ink_ml)),
        "doubt": 0.0,
    }
    return RunLine(**{**given, **more})


def plan(of: Run, logs: dict[tuple[str, str], Log] | None = None, **lines: Any) -> RunPlan:
    every = [line(each, **lines) for each in of.cards]
    packs = {name: PACKS[name] for name in (*(each.stock for each in every), *of.instead)}
    return plan_run(of, every, packs, logs or {})
