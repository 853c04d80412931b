"""A run that was asked for with kept designs and lists, as a page does: what was asked, as data, and what it keeps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.errors import NotFound
from tackside.records.run import KeptRun
from tackside.run.plan.run_file import Run

ASKED = "asked"  # where a kept plan holds what was asked for


@dataclass(frozen=True)
class RunAsked:
    """A run as it was asked for. ``designs`` are names of kept cards and ``lists`` kept CSV files (SHA-256, name), by
    the file name that the run's record has for them."""

    run: Run
    designs: dict[str, str]
    lists: dict[str, tuple[str, str]]

    @property
    def needs_files(self) -> bool:
        return bool(self.designs or self.lists)


def as_data(asked: RunAsked) -> dict[str, Any]:
    """What was asked for as plain data, for a job and for the shelf."""
    run = asked.run.model_dump(mode="json", exclude={"folder"})
    return {
        "run": run,
        "designs": asked.designs,
        "lists": {file: list(each) for file, each in asked.lists.items()},
    }


def from_data(data: dict[str, Any]) -> RunAsked:
    lists = {file: (str(sha256), str(name)) for file, (sha256, name) in data["lists"].items()}
    return RunAsked(Run.model_validate(data["run"]), dict(data["designs"]), lists)


def asked_of(run: KeptRun) -> RunAsked:
    """What a kept run was asked with. Raises NotFound for one that the command line kept: its files lie elsewhere."""
    if ASKED not in run.plan:
        raise NotFound("run.kept-at-the-terminal", run=run.id, file=run.file)
    return from_data(run.plan[ASKED])
