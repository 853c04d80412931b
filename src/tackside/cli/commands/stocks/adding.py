"""Stocks or printers kept from their files: one, or several at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal

from tackside.bench.repositories.revisions import Added
from tackside.bench.store import Bench
from tackside.cli.commands.stocks.describe import look_again
from tackside.cli.session import Outcome, bench_folder, faults_document
from tackside.cli.views.onward import commands
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.stocks.describe import DescribedPrinter, DescribedStock
from tackside.workflow.stocks.records import AnyRecord, add_many


def added(
    kind: Literal["stock", "printer"],
    describe: Callable[[Path], DescribedStock | DescribedPrinter],
    add: Callable[[Callable[[], Bench], Path], tuple[AnyRecord, Added]],
    files: Sequence[Path],
    *,
    yes: bool,
) -> Outcome:
    """What was kept: of one file as it always was, of several as a list. Raises BadRecord.

    What looks like a slip is asked about for one file, unless ``yes``; of several it is said, and they are kept.
    """
    if not files:
        raise BadRequest("file.none-named")

    def opened() -> Bench:
        return Bench.open(bench_folder())

    if len(files) == 1:
        doubts = describe(files[0]).doubts
        warnings = look_again(doubts, yes=yes)
        record, kept = add(opened, files[0])
        onward = commands(steps_after(kind, opened(), **{kind: record.name}))  # type: ignore[arg-type]
        document = _document(record.name, kept, [each.message for each in doubts])
        return Outcome(document, _said(record.name, kept), warnings, onward=onward)
    doubted: dict[str, tuple[Message, ...]] = {}

    def add_one(bench: Callable[[], Bench], file: Path) -> tuple[AnyRecord, Added]:
        doubts = tuple(each.message for each in describe(file).doubts)
        record, kept = add(bench, file)
        doubted[record.name] = doubts
        return record, kept

    found = add_many(add_one, opened, files)
    return Outcome(
        {
            f"{kind}s": [_document(record.name, kept, doubted[record.name]) for record, kept in found.added],
            "faults": faults_document((str(file), error) for file, error in found.faults),
        },
        "\n".join(_said(record.name, kept) for record, kept in found.added),
        tuple(each for doubts in doubted.values() for each in doubts),
        faults=tuple(error for _, error in found.faults),
    )


def _document(name: str, kept: Added, doubts: Sequence[Message]) -> dict[str, object]:
    return {"name": name, "revision": kept.revision, "new": kept.is_new, "doubts": documents(doubts)}


def _said(name: str, kept: Added) -> str:
    told = f"revision {kept.revision} of {name}"
    return f"Kept {told}." if kept.is_new else f"Nothing new: that is {told} already."
