"""The study of photographs: prints beside a known one, photographed, read, and set beside their scans."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
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
from tackside.records import Reading, Stock, Trial
from tackside.sheet.page.tags import tag_text
from tackside.tasks.parallel import spread
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from training.examiner.examined import at_hand
from training.examiner.figures import device_for, read_one
from training.examiner.scenes import Laid, Scene, draw_scene
from training.examiner.works import draw_work
from training.phone.shots import draw_shot, photographed

NEW, KNOWN = "T7K2M9AB", "2B4C6D8E"
SIZES = ((148.0, 210.0), (127.0, 178.0))
PPI = 200.0
BLOCK = 5  # photographs of one work
BY_INSTRUMENT = 0.3


@dataclass(frozen=True)
class Photographed:
    """One photograph. ``refused``: the code of the reason, None where it was read.

    ``de00``: the median over the patches of the new print, photograph against the device that read the known one;
    ``p95`` the same at the 95th percentile. ``stated``: what the reading says of its own error beside the known print.
    ``before``: how far the two prints differ.
    """

    truth: tuple[str, ...]
    by: str
    refused: str | None
    de00: float
    p95: float
    stated: float
    before: float
    grade: str
    scanned_grade: str
    cause: str
    scanned_cause: str
    left_out: int
    seconds: float
    fold: bool
    falloff: float


def named(laid: Laid, identity: str) -> Laid:
    """The same print under another trial's id."""
    tags = tuple(tag.model_copy(update={"text": tag_text(identity)}) for tag in laid.sheet.tags)
    sheet = laid.sheet.model_copy(update={"tags": tags})
    return replace(laid, trial=laid.trial.model_copy(update={"id": identity, "sheet": sheet}))


def draw_pair(rng: np.random.Generator, work: Any) -> tuple[Scene, Laid, Laid]:
    """A print and a known one of the same card or another; a print whose marks cannot be seen is drawn again."""
    while True:
        beside = "same card" if rng.random() < 0.5 else "known card"
        scene = draw_scene(rng, work, beside, PPI, SIZES)  # type: ignore[arg-type]
        if "unknown" not in scene.truth and scene.reference is not None:
            return scene, named(scene.laid, NEW), named(scene.reference, KNOWN)


def photograph_block(asked: dict[str, Any]) -> dict[str, Any]:
    """``count`` photographs from ``seed`` on, read and judged, as plain data."""
    cv2.setNumThreads(1)
    rng = np.random.default_rng([asked["seed"], 29])
    kinds = at_hand()
    work = draw_work(rng, kinds[int(rng.integers(len(kinds)))])
    found = []
    with TemporaryDirectory() as folder:
        for _ in range(asked["count"]):
            one = photograph_one(rng, work, Path(folder) / "shot.jpg")
            found.append({**vars(one), "truth": list(one.truth)})
    return {"found": found}


def photograph_one(rng: np.random.Generator, work: Any, path: Path) -> Photographed:
    scene, new, known = draw_pair(rng, work)
    device = device_for(rng, 1, bool(rng.random() < BY_INSTRUMENT))
    scanned = read_one(rng, device, new)
    known_read = (
        scanned.model_copy(update={"trial": KNOWN}) if scene.read_once else read_one(rng, device, known)
    )
    shot = draw_shot(rng)
    pair = [new, known] if rng.random() < 0.5 else [known, new]
    photographed(rng, pair, shot, path)
    start = process_time()
    refused, reading = read_file(path, new.trial, known.trial, known_read)
    seconds = process_time() - start
    truth = {patch.name: patch.lab for patch in scanned.patches}
    beside = {patch.rgb: patch.lab for patch in known_read.patches}
    shared = [patch for patch in scanned.patches if patch.rgb in beside]
    before = np.median(_apart([patch.lab for patch in shared], [beside[patch.rgb] for patch in shared]))
    asked = {"truth": scene.truth, "by": known_read.kind, "before": float(before), "seconds": seconds}
    asked |= {"fold": shot.fold is not None, "falloff": shot.falloff}
    graded = _judged(scanned, new.trial, scene.stock, known_read, known.trial)
    if reading is None:
        return Photographed(
            refused=refused, de00=np.nan, p95=np.nan, stated=np.nan, grade="", scanned_grade=graded[0], cause="",
            scanned_cause=graded[1], left_out=0, **asked,
        )  # fmt: skip
    off = _apart([patch.lab for patch in reading.patches], [truth[patch.name] for patch in reading.patches])
    grade, cause = _judged(reading, new.trial, scene.stock, known_read, known.trial)
    stated = np.sqrt(max(reading.uncertainty.de00**2 - known_read.uncertainty.de00**2, 0.0))
    return Photographed(
        refused=None, de00=float(np.median(off)), p95=float(np.percentile(off, 95)), stated=float(stated),
        grade=grade, scanned_grade=graded[0], cause=cause, scanned_cause=graded[1],
        left_out=len(scanned.patches) - len(reading.patches), **asked,
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


def _judged(
    reading: Reading, trial: Trial, stock: Stock, known: Reading, known_trial: Trial
) -> tuple[str, str]:
    verdict = judge(KnownPrint(reading, trial, stock, reference=KnownPrint(known, known_trial)))
    return verdict.grade, verdict.cause


def _apart(one: Sequence[Any], other: Sequence[Any]) -> np.ndarray:
    return np.asarray(delta_e_2000(np.array(one), np.array(other)))


def study(
    count: int, seed: int, *, workers: int | None = None, finished: Path | None = None, code: str = "",
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> list[Photographed]:  # fmt: skip
    items = [
        {"count": min(BLOCK, count - at), "seed": seed * 10_000 + at, "code": code}
        for at in range(0, count, BLOCK)
    ]
    blocks = spread(photograph_block, items, workers=workers, finished=finished, tell=tell)
    return [
        Photographed(**{**one, "truth": tuple(one["truth"])}) for block in blocks for one in block["found"]
    ]


def report(some: Sequence[Photographed]) -> str:
    """The figures asked of the reading, and why photographs were refused."""
    read = [one for one in some if one.refused is None]
    rows = [("read", _share(len(read), len(some)))]
    if read:
        medians = np.array([one.de00 for one in read])
        same = sum(one.grade == one.scanned_grade for one in read)
        causes = sum(one.cause == one.scanned_cause for one in read)
        off = " ".join(f"{each:.2f}" for each in (*np.percentile(medians, (50, 95)), medians.max()))
        slow = np.percentile([one.seconds for one in read], 95)
        stated = np.median([one.de00 / max(one.stated, 0.1) for one in read])
        rows += [
            ("ΔE00 beside the known print, median of a photograph: median, 95th percentile, worst", off),
            ("ΔE00 of a photograph at its 95th percentile: median", f"{np.median([one.p95 for one in read]):.2f}"),
            ("photographs whose median is 1.5 at most", _share(int(np.sum(medians <= 1.5)), len(read))),
            ("the two prints differ by, median", f"{np.median([one.before for one in read]):.2f}"),
            ("grade the same as the scan's", _share(same, len(read))),
            ("likeliest cause the same as the scan's", _share(causes, len(read))),
            ("median error over what is stated, median", f"{stated:.2f}"),
            ("processor time to look and read, s, 95th percentile", f"{slow:.1f}"),
        ]  # fmt: skip
    codes = sorted({one.refused for one in some if one.refused is not None})
    rows += [(f"refused: {code}", str(sum(one.refused == code for one in some))) for code in codes]
    rows += [
        (f"{one.grade} for {one.scanned_grade}: {', '.join(one.truth)}, by {one.by}", f"{one.de00:.2f}")
        for one in read
        if one.grade != one.scanned_grade
    ]
    return "\n".join(
        ["| what | figure |", "| --- | --- |", *(f"| {name} | {figure} |" for name, figure in rows)]
    )


def _share(some: int, of: int) -> str:
    return f"{some} of {of} ({some / of:.1%})"
