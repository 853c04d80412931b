"""The study of photographs: prints beside a known one, photographed, read, and set beside their scans."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from time import process_time
from typing import Any

import cv2
import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadScan
from tackside.reading.photo.look import all_faults
from tackside.reading.photo.picture import open_photo
from tackside.reading.photo.read import Known, read_pair
from tackside.reading.photo.sheets import find_sheets
from tackside.reading.scan.marks.detections import see
from tackside.records import Reading, Trial, Verdict
from tackside.records.verdict import Cause, Grade, Measure
from tackside.tasks.parallel import spread
from tackside.verdict.grade.grading import close_grades, light_strays_over
from tackside.verdict.grade.limits import COVERAGE
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint, what_was_printed
from tackside.verdict.measures.patch_table import patch_table
from tackside.verdict.measures.path import cube_levels
from training.phone.taken import Taken, take_block

BLOCK = 5  # photographs of one work
BY_INSTRUMENT = 0.3


@dataclass(frozen=True)
class Said:
    """Of a verdict: its grade, the others that its doubt reaches (``close_to``), its cause; ``at_limit``: whether
    another grade lies within one standard uncertainty of the reading's figures, all that is stated counted."""

    grade: Grade
    close_to: tuple[Grade, ...]
    cause: Cause
    at_limit: bool


@dataclass(frozen=True)
class Photographed:
    """One photograph. ``refused``: the code of the reason, None where it was read.

    ``de00``: the median over the patches of the new print, photograph against the device that read the known one;
    ``p95`` the same at the 95th percentile. ``stated``: what the reading says of its own error beside the known print.
    ``before``: how far the two prints differ. ``photo``, ``scanned``, ``again``: the verdicts by the photograph (None
    where it was refused), by the device that read the known print, and by another of its kind beside its own reading of
    that print. Their ``close_to`` count only what each reading adds to the known print's.
    """

    truth: tuple[str, ...]
    by: str
    refused: str | None
    de00: float
    p95: float
    stated: float
    before: float
    photo: Said | None
    scanned: Said
    again: Said
    left_out: int
    seconds: float
    fold: bool
    falloff: float


def photograph_block(asked: dict[str, Any]) -> dict[str, Any]:
    """``count`` photographs from ``seed`` on, read and judged, as plain data; ``pictures``: where they stay."""
    cv2.setNumThreads(1)
    with TemporaryDirectory() as folder:
        taken = take_block(asked["seed"], asked["count"], Path(asked["pictures"] or folder))
        found = [read_photograph(path, one) for path, one in taken]
    return {"found": [asdict(one) for one in found]}


def read_photograph(path: Path, taken: Taken) -> Photographed:
    """Read and judged, beside what scanner or instrument says."""
    start = process_time()
    refused, reading = read_file(path, taken.new, taken.known, taken.known_read)
    seconds = process_time() - start
    truth = {patch.name: patch.lab for patch in taken.scanned.patches}
    beside = {patch.rgb: patch.lab for patch in taken.known_read.patches}
    shared = [patch for patch in taken.scanned.patches if patch.rgb in beside]
    before = np.median(_apart([patch.lab for patch in shared], [beside[patch.rgb] for patch in shared]))
    asked: dict[str, Any] = {
        "truth": taken.truth,
        "by": taken.known_read.kind,
        "before": float(before),
        "seconds": seconds,
    }
    asked |= {"fold": taken.fold, "falloff": taken.falloff}
    asked["scanned"] = _judged(taken.scanned, taken.known_read, taken)
    asked["again"] = _judged(taken.scanned_again, taken.known_again, taken)
    if reading is None:
        return Photographed(
            refused=refused, de00=np.nan, p95=np.nan, stated=np.nan, photo=None, left_out=0, **asked
        )
    off = _apart([patch.lab for patch in reading.patches], [truth[patch.name] for patch in reading.patches])
    stated = np.sqrt(max(reading.uncertainty.de00**2 - taken.known_read.uncertainty.de00**2, 0.0))
    return Photographed(
        refused=None, de00=float(np.median(off)), p95=float(np.percentile(off, 95)), stated=float(stated),
        photo=_judged(reading, taken.known_read, taken),
        left_out=len(taken.scanned.patches) - len(reading.patches), **asked,
    )  # fmt: skip


def read_file(path: Path, new: Trial, known: Trial, known_read: Reading) -> tuple[str | None, Reading | None]:
    """The code of why it cannot be read, or the new print's reading."""
    scan = open_photo(path)
    plans = {each.id: each.sheet for each in (new, known)}
    sheets = find_sheets(see(scan), plans, scan.pixels, tuple(plans))
    its = {sheet.trial: sheet for sheet in sheets}
    if not {new.id, known.id} <= set(its):
        return "photo.one-sheet" if len(its) == 1 else "photo.no-sheets", None
    for fault in all_faults(scan, sheets):
        if fault.hinders:
            return fault.message.code, None
    try:
        return None, read_pair(scan, its[new.id], its[known.id], Known(known_read))[0]
    except BadScan as error:
        return error.message.code, None


def _judged(reading: Reading, known: Reading, taken: Taken) -> Said:
    beside = KnownPrint(known, taken.known)
    verdict = judge(KnownPrint(reading, taken.new, taken.stock, reference=beside))
    return Said(verdict.grade, verdict.close_to, verdict.cause, _at_limit(verdict, reading, taken))


def _at_limit(verdict: Verdict, reading: Reading, taken: Taken) -> bool:
    printed = what_was_printed(taken.new, taken.stock, cube_levels(patch_table(reading, taken.new.sheet)))
    printed = replace(printed, lifted=light_strays_over(reading, verdict.causes, verdict.cause))
    one_sd = {name: _one_sd(measure) for name, measure in verdict.measures.items()}
    return bool(close_grades(one_sd, printed, verdict.rules))


def _one_sd(measure: Measure) -> Measure:
    """With so much less doubt that its expanded uncertainty is its standard one."""
    return measure.model_copy(update={"sd": None if measure.sd is None else measure.sd / COVERAGE})


def _apart(one: Sequence[Any], other: Sequence[Any]) -> np.ndarray:
    return np.asarray(delta_e_2000(np.array(one), np.array(other)))


def study(
    count: int, seed: int, *, workers: int | None = None, finished: Path | None = None,
    pictures: Path | None = None, code: str = "", tell: Callable[[int, int], None] = lambda done, of: None,
) -> list[Photographed]:  # fmt: skip
    """``finished``: where blocks that were read stay; ``pictures``: where photographs stay, to be read again by
    another program."""
    items = [
        {
            "count": min(BLOCK, count - at),
            "seed": seed * 10_000 + at,
            "pictures": None if pictures is None else str(pictures),
            "code": code,
        }
        for at in range(0, count, BLOCK)
    ]
    blocks = spread(photograph_block, items, workers=workers, finished=finished, tell=tell)
    return [_photographed(one) for block in blocks for one in block["found"]]


def _photographed(plain: dict[str, Any]) -> Photographed:
    said = {name: _said(plain[name]) for name in ("photo", "scanned", "again")}
    return Photographed(**{**plain, **said, "truth": tuple(plain["truth"])})


def _said(plain: dict[str, Any] | None) -> Said | None:
    return None if plain is None else Said(**{**plain, "close_to": tuple(plain["close_to"])})


def report(some: Sequence[Photographed]) -> str:
    """The figures asked of the reading, and why photographs were refused."""
    read = [one for one in some if one.refused is None]
    rows = [("read", _share(len(read), len(some)))]
    if read:
        medians = np.array([one.de00 for one in read])
        verdicts = [(one.photo, one.scanned) for one in read if one.photo is not None]
        causes = sum(photo.cause == scanned.cause for photo, scanned in verdicts)
        off = " ".join(f"{each:.2f}" for each in (*np.percentile(medians, (50, 95)), medians.max()))
        slow = np.percentile([one.seconds for one in read], 95)
        stated = np.median([one.de00 / max(one.stated, 0.1) for one in read])
        rows += [
            ("ΔE00 beside the known print, median of a photograph: median, 95th percentile, worst", off),
            ("ΔE00 of a photograph at its 95th percentile: median", f"{np.median([one.p95 for one in read]):.2f}"),
            ("photographs whose median is 1.5 at most", _share(int(np.sum(medians <= 1.5)), len(read))),
            ("the two prints differ by, median", f"{np.median([one.before for one in read]):.2f}"),
            *_agreement(_PHOTO, verdicts),
            *_agreement(_AGAIN, [(one.again, one.scanned) for one in read]),
            *_near_limits(read),
            ("likeliest cause the same as the scan's", _share(causes, len(read))),
            ("median error over what is stated, median", f"{stated:.2f}"),
            ("processor time to look and read, s, 95th percentile", f"{slow:.1f}"),
        ]  # fmt: skip
    codes = sorted({one.refused for one in some if one.refused is not None})
    rows += [(f"refused: {code}", str(sum(one.refused == code for one in some))) for code in codes]
    rows += [
        (
            f"{_grades(one.photo)} for {_grades(one.scanned)}: {', '.join(one.truth)}, by {one.by}",
            f"{one.de00:.2f}",
        )
        for one in read
        if one.photo is not None and one.photo.grade != one.scanned.grade
    ]
    return "\n".join(
        ["| what | figure |", "| --- | --- |", *(f"| {name} | {figure} |" for name, figure in rows)]
    )


_PHOTO, _AGAIN = "grade the same as the scan's", "a second device's grade the same as the first's"


def _near_limits(read: Sequence[Photographed]) -> list[tuple[str, str]]:
    """How many prints lie at a limit by the scan's own figures, and how grades agree on the others."""
    near = sum(one.scanned.at_limit for one in read)
    rows = [
        ("another grade within one standard uncertainty of the scan's own figures", _share(near, len(read)))
    ]
    clear = [one for one in read if not one.scanned.at_limit]
    if clear:
        photo = sum(one.photo is not None and one.photo.grade == one.scanned.grade for one in clear)
        again = sum(one.again.grade == one.scanned.grade for one in clear)
        rows += [
            (f"{_PHOTO}, of prints that lie at no such limit", _share(photo, len(clear))),
            (f"{_AGAIN}, likewise", _share(again, len(clear))),
        ]
    return rows


def _share(some: int, of: int) -> str:
    return f"{some} of {of} ({some / of:.1%})"


def _agreement(what: str, verdicts: Sequence[tuple[Said, Said]]) -> list[tuple[str, str]]:
    """How often the grades are the very same; of those that are not, how often one was called close to the other."""
    same = sum(one.grade == first.grade for one, first in verdicts)
    sure = [(one, first) for one, first in verdicts if not one.close_to]
    told = sum(one.grade != first.grade and first.grade in one.close_to for one, first in verdicts)
    limit = sum(one.grade != first.grade and one.grade in first.close_to for one, first in verdicts)
    rows = [(what, _share(same, len(verdicts)))]
    if sure:
        agree = sum(one.grade == first.grade for one, first in sure)
        rows.append((f"{what}, where it is no close call", _share(agree, len(sure))))
    differ = len(verdicts) - same
    if differ:
        rows.append(
            (f"{what}: of those that are not, a close call that names the first's", _share(told, differ))
        )
        rows.append((f"{what}: of those that are not, the first's is a close call", _share(limit, differ)))
    return rows


def _grades(said: Said) -> str:
    return said.grade if not said.close_to else f"{said.grade} (or {', '.join(said.close_to)})"
