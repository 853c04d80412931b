"""The three stages of one test print, from file to file, so that each can run in a process of its own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips

from tackside.bench.store import Bench
from tackside.cli.demo import scenario
from tackside.press.printer.printing import print_sheet
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanning import scan
from tackside.records import Reading, SheetPlan
from tackside.workflow.read import read_back
from tackside.workflow.sent_files import SentFile
from tackside.workflow.trials import write_all


@dataclass(frozen=True)
class PressJob:
    """One test print: what is printed, by which plan, on which bench, and where its files go."""

    print: scenario.DemoPrint
    bench: Path
    trial: str
    plan: SheetPlan
    sheet_file: Path
    scan_file: Path


def make_sheet(job: PressJob) -> None:
    write_all(job.plan, [job.sheet_file])


def print_and_scan(job: PressJob) -> None:
    """The virtual press prints the very file that a real printer would get; the virtual scanner scans it."""
    sheet = np.asarray(pyvips.Image.new_from_file(str(job.sheet_file), access="sequential").numpy())
    printed = print_sheet(
        sheet,
        job.plan.ppi,
        job.print.model(),
        scenario.PRESS_PRINTER,
        sheet_size_mm=job.plan.size_mm,
        at_ppi=scenario.PRESS_SCANNER.ppi,
    )
    write_scan(scan(printed, scenario.PRESS_SCANNER), job.scan_file)


def read_it(job: PressJob) -> Reading:
    bench = Bench.open(job.bench, create=False)
    return read_back(bench, job.trial, [SentFile.at(job.scan_file)], device=scenario.SCANNER)
