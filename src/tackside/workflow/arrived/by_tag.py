"""Which trial a file belongs to: the tag on its sheet says it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tackside.errors import BadRequest, BadScan, TacksideError
from tackside.reading.files import kind_of
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.marks.detections import see
from tackside.workflow.arrived.pages import Fault
from tackside.workflow.progress import Progress, counted, unheard
from tackside.workflow.sent_files import SentFile, under_their_names

# Marks enough that a sheet of ours lies there, though its tag cannot be read.
_SOME_MARKS = 3


@dataclass
class Sorted:
    """``by_trial``: each trial's files, in the order in which they came. ``faults``: files that belong to none."""

    by_trial: dict[str, list[SentFile]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


def sorted_by_tag(files: Sequence[SentFile], progress: Progress = unheard) -> Sorted:
    """Each file with the trials whose sheets it shows; one scan may show several.

    What has no tag (an instrument's file, a scan of a panel that carries none) goes to the trial of the others, where
    they name one alone.
    """
    found, untold = Sorted(), list[Fault]()
    tell = counted(progress, "progress.sorting-files")
    for number, file in enumerate(files):
        tell(number, len(files))
        try:
            with under_their_names([file]):
                is_scan = kind_of(file.path) == "scan"
            named, marks = _shown(file) if is_scan else ((), 0)
        except TacksideError as error:
            found.faults.append((file, error))
            continue
        for trial in named:
            found.by_trial.setdefault(trial, []).append(file)
        if not is_scan:
            untold.append((file, BadRequest("arrived.instrument-file", file=file.name)))
        elif not named:
            fault = BadScan("arrived.no-tag", file=file.name)
            (untold if marks >= _SOME_MARKS else found.faults).append((file, fault))
    if len(found.by_trial) == 1:
        (all_its,) = found.by_trial.values()
        all_its += [file for file, _ in untold]
    else:
        found.faults += untold
    return found


def _shown(scan: SentFile) -> tuple[tuple[str, ...], int]:
    """The trials that a scan's tags name, and how many marks it shows."""
    with under_their_names([scan]):
        seen = see(open_scan(scan.path))
    return tuple(dict.fromkeys(tag.trial for tag in seen.tags if tag.trial is not None)), len(seen.marks)
