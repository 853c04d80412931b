"""Stocks or printers kept from their files: one, or several at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from tackside.bench.repositories.revisions import Added
from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder, faults_document
from tackside.errors import BadRequest
from tackside.workflow.stocks.records import AnyRecord, add_many


def added(
    add: Callable[[Callable[[], Bench], Path], tuple[AnyRecord, Added]], files: Sequence[Path], listed: str
) -> Outcome:
    """What was kept: of one file as it always was, of several as a list under ``listed``. Raises BadRecord."""
    if not files:
        raise BadRequest("file.none-named")

    def opened() -> Bench:
        return Bench.open(bench_folder())

    if len(files) == 1:
        record, kept = add(opened, files[0])
        return Outcome(_document(record.name, kept), _said(record.name, kept))
    found = add_many(add, opened, files)
    return Outcome(
        {
            listed: [_document(record.name, kept) for record, kept in found.added],
            "faults": faults_document((str(file), error) for file, error in found.faults),
        },
        "\n".join(_said(record.name, kept) for record, kept in found.added),
        faults=tuple(error for _, error in found.faults),
    )


def _document(name: str, kept: Added) -> dict[str, object]:
    return {"name": name, "revision": kept.revision, "new": kept.is_new}


def _said(name: str, kept: Added) -> str:
    told = f"revision {kept.revision} of {name}"
    return f"Kept {told}." if kept.is_new else f"Nothing new: that is {told} already."
