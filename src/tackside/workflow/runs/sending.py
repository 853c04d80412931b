"""What a page asks to be printed, as data for the work in the background: sheets of a kept run, or a single card."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.run.ipp.own_network import printer_nearby
from tackside.workflow.runs.send import Ready, SendWishes, make_card_ready, make_ready, make_trial_ready


@dataclass(frozen=True)
class Sending:
    """Of a ``run`` its ``batch``, of that one ``card`` or all; a ``trial``, its test sheet; or a kept ``card`` alone.

    ``sheets`` None are all that are left of the batch, and one of a card.
    """

    address: str
    run: str | None = None
    batch: int | None = None
    card: str | None = None
    trial: str | None = None
    sheets: int | None = None
    wishes: SendWishes = field(default_factory=SendWishes)

    def as_data(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def of_data(cls, data: dict[str, Any]) -> Sending:
        return cls(**{**data, "wishes": SendWishes(**data["wishes"])})


def ready_from_page(bench: Bench, asked: Sending, folder: Path, order: str | None = None) -> Ready:
    """As ``make_ready`` and ``make_card_ready``, for whoever asks by a page: only printers on this machine's own
    network are called. ``order`` goes into the record of each job. Raises what they raise."""
    if asked.trial is not None:
        return make_trial_ready(
            bench, asked.trial, asked.address, wishes=asked.wishes, connect=printer_nearby, order=order
        )
    if asked.run is None:
        return make_card_ready(
            bench,
            asked.card or "",
            asked.address,
            folder,
            sheets=asked.sheets or 1,
            wishes=asked.wishes,
            connect=printer_nearby,
            order=order,
        )
    return make_ready(
        bench,
        asked.run,
        asked.batch or 0,
        asked.address,
        card=asked.card,
        sheets=asked.sheets,
        wishes=asked.wishes,
        folder=folder,
        connect=printer_nearby,
        order=order,
    )


def sent_by(bench: Bench, order: str) -> bool:
    """Whether anything was sent by that order already."""
    return any(job.order == order for job in bench.runs.jobs())
