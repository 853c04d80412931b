"""What a user has on record: stock, printer, trial, settings as far as they were noted, and the planned sheet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, Literal, cast

import numpy as np

from tackside.profile.icc.working_space import SpaceName
from tackside.records import Printer, SheetPlan, Stock, Trial
from tackside.records.sheet_plan import Side
from tackside.records.stock import Base
from tackside.records.trial import Settings
from tackside.records.verdict import Cause
from tackside.sheet.page.tags import tag_text
from tackside.sheet.plan import plan_sheet
from training.examiner.cards import Card
from training.examiner.paths import Route

NOON = datetime(2026, 5, 1, 12, 0, tzinfo=UTC)
SIZES: tuple[tuple[float, float], ...] = ((148.0, 210.0), (210.0, 148.0), (210.0, 297.0), (127.0, 178.0))
PRINTER = Printer.model_validate(
    {
        "name": "A desk printer",
        "grid_ppi": 600.0,
        "feeds": [
            {
                "name": "rear",
                "min_size_mm": (90.0, 90.0),
                "max_size_mm": (330.0, 490.0),
                "margins_mm": {"top": 3.0, "bottom": 3.0, "left": 3.0, "right": 3.0},
            }
        ],
    }
)


def plan(size_mm: tuple[float, float], space: SpaceName, side: Side, ppi: float, identity: str) -> SheetPlan:
    """The default sheet of the purpose ``path`` on a flat card of this size, its tag for the trial ``identity``."""
    sheet = _plan(size_mm, space, side, ppi)
    named = tuple(tag.model_copy(update={"text": tag_text(identity)}) for tag in sheet.tags)
    return sheet.model_copy(update={"tags": named})


@lru_cache(maxsize=32)
def _plan(size_mm: tuple[float, float], space: SpaceName, side: Side, ppi: float) -> SheetPlan:
    stock = Stock(name="Card", open_size_mm=size_mm)
    return plan_sheet(stock, PRINTER, trial_id="t1", purpose="path", space=space, side=side, ppi=ppi)


@dataclass(frozen=True)
class Situation:
    """The records of one print. ``other_side``: whether a good print on the card's other face lies there, too."""

    stock: Stock
    side: Side
    other_side: bool


def situation(
    rng: np.random.Generator,
    faults: tuple[Cause, ...],
    card: Card,
    size_mm: tuple[float, float],
    same_card: bool,
) -> Situation:
    """What a user knows and does: the shares are this project's own estimates.

    On a wrong side the records hold what tells it from a card without any coating: which face is coated and which was
    printed, or a good print on the other face or on the same card.
    """
    known: dict[str, Any] = {"base": card.base if rng.random() < 0.75 else "unknown"}
    side: Side = "front"
    other = False
    if "side" in faults:
        mode = rng.random()
        if mode < 0.45:
            known |= {"coated": "front", "coated_found_by": str(rng.choice(["maker", "not-checked"]))}
            side = "back"
        elif mode < 0.6:
            known |= {"coated": "front", "coated_found_by": "damp-fingertip"}
        else:
            known |= {"coated": "unknown"}
            other = not same_card
        known["sold_for_inkjet"] = True if rng.random() < 0.6 else None
    elif "stock" in faults:
        known |= {"coated": "none" if rng.random() < 0.3 else "unknown"}
        known["sold_for_inkjet"] = False if rng.random() < 0.4 else None
    else:
        coated = str(rng.choice(["front", "both", "unknown"], p=[0.4, 0.2, 0.4]))
        known |= {"coated": coated, "coated_found_by": "maker" if coated != "unknown" else "not-checked"}
        known["sold_for_inkjet"] = [True, None, False][int(rng.choice(3, p=[0.55, 0.42, 0.03]))]
    known["base"] = cast(Base, known["base"])
    return Situation(Stock(name="Card", open_size_mm=size_mm, **known), side, other)


def noted(rng: np.random.Generator, route: Route, faults: tuple[Cause, ...], space: SpaceName) -> Settings:
    """Settings as a user notes them: half of them not at all, and where something went wrong, what was meant."""
    if rng.random() < 0.45:
        return Settings()
    manager: Literal["application", "driver", "nobody"] = "driver" if route.by_driver else "application"
    if "unmanaged" in faults and rng.random() < 0.4:
        manager = "nobody"
    if manager != "application" or rng.random() < 0.4:
        return Settings(colour_managed_by=manager, source_space=space if rng.random() < 0.3 else None)
    return Settings(
        colour_managed_by=manager,
        profile="the card's",
        intent=route.intent,
        black_point_compensation=route.compensated,
        media_setting=str(rng.choice(["photo", "matt", "plain"])) if rng.random() < 0.5 else None,
    )


def trial(identity: str, stock: str, sheet: SheetPlan, settings: Settings, side: Side) -> Trial:
    return Trial(
        id=identity, stock=stock, stock_revision=1, printer="p1", printer_revision=1, feed="rear", side=side,
        settings=settings, sheet=sheet, made_at=NOON,
    )  # fmt: skip
