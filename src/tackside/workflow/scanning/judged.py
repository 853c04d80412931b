"""A sheet on the glass, straight on to its verdict."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.errors import ScanStopped, TacksideError
from tackside.records import Reading
from tackside.tasks.cache import FOLDER
from tackside.tasks.work_folder import work_folder
from tackside.workflow.arrived.many import read_prints
from tackside.workflow.judge import Judged, judge_print
from tackside.workflow.progress import Progress, part, unheard
from tackside.workflow.read import read_print
from tackside.workflow.scanning.made import MadeScan, of_the_glass
from tackside.workflow.scanning.scan import ScanOrder, Stop, never, scan_sheet


@dataclass(frozen=True)
class JudgedScan:
    """``sheets``: what was read of the scan and the verdict on it; ``faults``: what on it could not be read."""

    made: MadeScan
    sheets: tuple[tuple[Reading, Judged], ...]
    faults: tuple[TacksideError, ...]


def scan_and_judge(
    bench: Bench,
    order: ScanOrder,
    trial: str | None = None,
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
    stop: Stop = never,
) -> JudgedScan:
    """Scan, read and judge what lies on the glass: a sheet of ``trial``, or those whose tags say which they are.

    ``device`` and ``scanner`` as for ``read_print``. Raises what scanning raises, and of a named trial what reading and
    judging raise; else each sheet that cannot be read is a fault.
    """
    with work_folder(bench.folder / FOLDER) as folder:
        made = scan_sheet(bench, order, folder, trial=trial, progress=part(progress, 0.0, 0.6), stop=stop)
        if stop():
            raise ScanStopped("scanning.stopped")
        hear = part(progress, 0.6, 1.0)
        if trial is not None:
            readings: tuple[Reading, ...] = (
                read_print(
                    bench, trial, [made.file], device=device, scanner=scanner, progress=hear, made=made
                ),
            )
            faults: tuple[TacksideError, ...] = ()
        else:
            many = read_prints(bench, [made.file], device=device, scanner=scanner, progress=hear, made=made)
            readings, faults = many.readings, tuple(of_the_glass(fault) for _, fault in many.faults)
        sheets = tuple((each, judge_print(bench, each.trial or "", reading=each)) for each in readings)
    return JudgedScan(made, sheets, faults)
