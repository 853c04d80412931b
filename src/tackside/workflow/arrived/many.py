"""Reading all that came back at once: each trial's files make one reading; what is of no use costs one line each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.errors import NotFound, TacksideError
from tackside.records import Reading
from tackside.tasks.cache import FOLDER
from tackside.tasks.work_folder import work_folder
from tackside.workflow.arrived.by_tag import sorted_by_tag
from tackside.workflow.arrived.pages import Fault, pages_of
from tackside.workflow.progress import Progress, part, unheard
from tackside.workflow.read import read_print
from tackside.workflow.scanning.made import MadeScan
from tackside.workflow.sent_files import SentFile


@dataclass(frozen=True)
class ReadMany:
    """``readings`` are kept on the bench; ``faults``: the files that were not read, and why."""

    readings: tuple[Reading, ...]
    faults: tuple[Fault, ...]


def read_prints(
    bench: Bench,
    files: Sequence[SentFile],
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
    made: MadeScan | None = None,
) -> ReadMany:
    """A reading of each trial whose sheet the files show, as ``read_print`` makes it.

    One file that is of no use does not keep the others from being read. ``made``: how the one file was scanned here.
    """
    readings: list[Reading] = []
    with work_folder(bench.folder / FOLDER) as folder:
        pages, faults = pages_of(files, folder)
        found = sorted_by_tag(pages, part(progress, 0.0, 0.4))
        faults += found.faults
        for number, (trial, its) in enumerate(found.by_trial.items()):
            share = 0.6 / len(found.by_trial)
            hear = part(progress, 0.4 + share * number, 0.4 + share * (number + 1))
            try:
                require_known(bench, trial, its[0])
                readings.append(
                    read_print(bench, trial, its, device=device, scanner=scanner, progress=hear, made=made)
                )
            except TacksideError as error:
                faults.append((its[0], error))
    return ReadMany(tuple(readings), tuple(faults))


def require_known(bench: Bench, trial: str, file: SentFile) -> None:
    """Raises NotFound, which names the file, where the trial of its sheet is not on the bench."""
    try:
        bench.trials.get(trial)
    except NotFound as error:
        raise NotFound("arrived.unknown-trial", file=file.name, trial=trial) from error
