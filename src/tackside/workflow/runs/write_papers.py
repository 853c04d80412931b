"""The papers of a planned run: what to fetch, labels to stick on, what to enter in the printer's driver."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.run.papers import papers
from tackside.run.papers.paper_fonts import PaperFonts
from tackside.run.plan.plan import RunPlan


@dataclass(frozen=True)
class Labels:
    """Label sheets as a PDF, how many labels stand on them, and the fonts that they are set in."""

    pdf: bytes
    count: int
    fonts: PaperFonts


def pick_list(plan: RunPlan) -> bytes:
    """What to fetch and print, in order, with places to count by hand; a PDF."""
    return papers.pick_list(plan)


def labels(plan: RunPlan) -> Labels:
    """A label for each card, on label sheets as the run file describes them. Raises BadRecord."""
    texts = papers.label_texts(plan)
    fonts = papers.label_fonts(plan, texts)
    return Labels(papers.labels(plan, texts, fonts), len(texts), fonts)


def instructions_pdf(plan: RunPlan, cards: list[dict[str, Any]]) -> bytes:
    """What ``instructions`` gives, a card a batch, as a PDF."""
    return papers.instructions_pdf(plan.run.name, cards)


def instructions_text(cards: list[dict[str, Any]]) -> str:
    """The same as plain text."""
    return papers.instructions_text(cards)


def instructions(bench: Bench, plan: RunPlan, batch: int | None = None) -> list[dict[str, Any]]:
    """What to enter in the driver for each batch, or for one. Raises BadRequest for a batch that is none."""
    if batch is not None and not 1 <= batch <= len(plan.batches):
        raise BadRequest("run.no-batch-planned", batch=batch, last=len(plan.batches))
    return [
        papers.instruction(each, bench.stocks.get(each.stock), bench.printers.get(each.printer))
        for each in plan.batches
        if batch in (None, each.number)
    ]
