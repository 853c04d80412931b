"""Photographs of the study as they are taken: the file, and what scanner or instrument says of both prints."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from tackside.records import Reading, Stock, Trial
from tackside.records.base import Record
from tackside.records.verdict import Cause
from tackside.sheet.page.tags import tag_text
from training.examiner.examined import at_hand
from training.examiner.figures import device_for, read_one
from training.examiner.scenes import Laid, Scene, draw_scene
from training.examiner.works import draw_work
from training.phone.shots import draw_shot, photographed

NEW, KNOWN = "T7K2M9AB", "2B4C6D8E"
SIZES = ((148.0, 210.0), (127.0, 178.0))
PPI = 200.0
BY_INSTRUMENT = 0.3
TAKEN = "taken.json"


class Taken(Record):
    """One photograph but for its file. ``scanned``, ``known_read``: the new print and the known one by one device;
    ``scanned_again``, ``known_again``: by another of its kind; ``fold``: whether a shadow lies across."""

    truth: tuple[Cause, ...]
    stock: Stock
    new: Trial
    known: Trial
    scanned: Reading
    known_read: Reading
    scanned_again: Reading
    known_again: Reading
    fold: bool
    falloff: float


class _Block(Record):
    taken: tuple[Taken, ...]


def take_block(seed: int, count: int, folder: Path) -> list[tuple[Path, Taken]]:
    """``count`` photographs of one work, from ``seed`` on, in ``folder``; those that it holds are not taken again."""
    folder = folder / str(seed)
    folder.mkdir(parents=True, exist_ok=True)
    files = [folder / f"{number}.jpg" for number in range(count)]
    held = folder / TAKEN
    if held.exists():
        block = _Block.model_validate_json(held.read_text(encoding="utf-8"))
        if len(block.taken) == count:
            return list(zip(files, block.taken, strict=True))
    rng = np.random.default_rng([seed, 29])
    kinds = at_hand()
    work = draw_work(rng, kinds[int(rng.integers(len(kinds)))])
    taken = tuple(
        _take(rng, np.random.default_rng([seed, number, 31]), work, file) for number, file in enumerate(files)
    )
    held.write_text(_Block(taken=taken).model_dump_json(), encoding="utf-8")
    return list(zip(files, taken, strict=True))


def _take(rng: np.random.Generator, aside: np.random.Generator, work: Any, file: Path) -> Taken:
    """``aside`` draws what is not of the photograph, so that this does not change what ``rng`` draws next."""
    scene, new, known = draw_pair(rng, work)
    by_instrument = bool(rng.random() < BY_INSTRUMENT)
    device = device_for(rng, 1, by_instrument)
    scanned, known_read = _read_both(rng, device, scene, new, known)
    shot = draw_shot(rng)
    pair = [new, known] if rng.random() < 0.5 else [known, new]
    photographed(rng, pair, shot, file)
    again = _read_both(aside, device_for(aside, 2, by_instrument), scene, new, known)
    return Taken(
        truth=scene.truth, stock=scene.stock, new=new.trial, known=known.trial, scanned=scanned,
        known_read=known_read, scanned_again=again[0], known_again=again[1], fold=shot.fold is not None,
        falloff=shot.falloff,
    )  # fmt: skip


def _read_both(
    rng: np.random.Generator, device: Any, scene: Scene, new: Laid, known: Laid
) -> tuple[Reading, Reading]:
    scanned = read_one(rng, device, new)
    if scene.read_once:
        return scanned, scanned.model_copy(update={"trial": KNOWN})
    return scanned, read_one(rng, device, known)


def draw_pair(rng: np.random.Generator, work: Any) -> tuple[Scene, Laid, Laid]:
    """A print and a known one of the same card or another; a print whose marks cannot be seen is drawn again."""
    while True:
        beside = "same card" if rng.random() < 0.5 else "known card"
        scene = draw_scene(rng, work, beside, PPI, SIZES)  # type: ignore[arg-type]
        if "unknown" not in scene.truth and scene.reference is not None:
            return scene, named(scene.laid, NEW), named(scene.reference, KNOWN)


def named(laid: Laid, identity: str) -> Laid:
    """The same print under another trial's id."""
    tags = tuple(tag.model_copy(update={"text": tag_text(identity)}) for tag in laid.sheet.tags)
    sheet = laid.sheet.model_copy(update={"tags": tags})
    return replace(laid, trial=laid.trial.model_copy(update={"id": identity, "sheet": sheet}))
