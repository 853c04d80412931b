"""What comes after what: one table for terminal and browser, each of which words it in its own way.

A verdict names its own next step, its door (``records.verdict.Door``); everything else goes down this table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from tackside.bench.store import Bench
from tackside.records import SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.records.verdict import Door

Done = Literal[
    "stock",
    "printer",
    "fit",
    "sheet",
    "practice-print",
    "reading",
    "practice-verdict",
    "choice",
    "card-file",
    "card",
]
Act = Literal[
    "describe-stock", "describe-printer", "fit", "read", "practise", "judge", "reveal", "print-card"
]
Doing: TypeAlias = Door | Act

# After each thing that is done the steps that may follow; of those that only fill a gap (GAPS) the first that is open
# comes alone. Two steps that stand side by side are a choice: the first is the usual one.
AFTER: Mapping[Done, tuple[Doing, ...]] = {
    "stock": ("describe-printer", "fit"),
    "printer": ("describe-stock", "fit"),
    "fit": ("sheet",),
    "sheet": ("read", "practise"),
    "practice-print": ("read",),
    "reading": ("judge",),
    "practice-verdict": ("reveal",),
    "choice": ("make-card",),
    "card-file": ("print-card",),
}
# Steps that are taken only where nothing of the kind is on the bench yet.
GAPS: Mapping[Doing, Literal["stock", "printer"]] = {"describe-stock": "stock", "describe-printer": "printer"}


@dataclass(frozen=True)
class Onward:
    """A step to take, with what is known of it; None: to be filled in. ``files``: what it is done with."""

    do: Doing
    stock: str | None = None
    printer: str | None = None
    trial: str | None = None
    side: Side = "front"
    purpose: Purpose = "path"
    space: Space | None = None
    files: tuple[str, ...] = ()


def steps_after(
    done: Done,
    bench: Bench | None = None,
    *,
    stock: str | None = None,
    printer: str | None = None,
    trial: Trial | None = None,
    files: Sequence[str] = (),
) -> tuple[Onward, ...]:
    """What may be done next, the usual first. The only stock or printer on the bench is taken for meant."""
    names = {"stock": stock, "printer": printer}
    if trial is not None:
        names = {"stock": trial.stock, "printer": trial.printer}
    there = {kind: known_names(bench, kind) for kind in GAPS.values() if names[kind] is None}
    for kind, known in there.items():
        if len(known) == 1:
            names[kind] = known[0]
    gap = next(
        (step for step in AFTER.get(done, ()) if step in GAPS and not there.get(GAPS[step], ("known",))), None
    )
    steps = (gap,) if gap is not None else tuple(step for step in AFTER.get(done, ()) if step not in GAPS)
    plan: SheetPlan | None = None if trial is None else trial.sheet
    return tuple(
        Onward(
            step, names["stock"], names["printer"], None if trial is None else trial.id,
            "front" if plan is None else plan.side, "path" if plan is None else plan.purpose,
            None if plan is None else plan.space, tuple(files),
        )
        for step in steps
    )  # fmt: skip


def known_names(bench: Bench | None, kind: Literal["stock", "printer"]) -> tuple[str, ...]:
    return () if bench is None else bench.catalogue.names(kind)


def through_door(door: Door, trial: Trial | None) -> Onward:
    """The step that a verdict names: a sheet that differs in what the door says, or what else it opens."""
    if trial is None:
        return Onward(door, purpose="device" if door == "device-sheet" else "path")
    turned: Side = "back" if trial.side == "front" else "front"
    return Onward(
        door,
        None if door == "another-card" else trial.stock,
        trial.printer,
        trial.id,
        turned if door == "other-side" else trial.side,
        "device" if door == "device-sheet" else trial.sheet.purpose,
        trial.sheet.space,
    )
