"""A bench with two prints of the examiner's on it, one of them measured, and photographs of the two.

Ink, paper, light, lens and camera are of ``training/examiner`` and ``training/phone``, which share nothing with the
reading of photographs.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from training.examiner.figures import read_one
from training.examiner.glass import draw_spectrophotometer
from training.examiner.prints import Print, sound_route
from training.examiner.scenes import Laid
from training.examiner.sheets import PRINTER
from training.examiner.works import Work, draw_work
from training.phone.cameras import draw_camera
from training.phone.lights import draw_lights
from training.phone.shots import Shot, photographed

from tackside.bench.store import Bench
from tackside.records import Reading, Stock, Trial
from tackside.workflow.trials import make_trial

STOCK = Stock(name="Harbour Satin 300", open_size_mm=(148.0, 210.0), surface="satin", base="photo")
PPI = 200.0
# Straight from above, nearly even light, sharp.
PLAIN = Shot(
    size=(2048, 1536), tilt_deg=6.0, turn_deg=40.0, k1=0.01, fills=0.9, falloff=0.2, blur_px=0.7, jpeg=92,
    fold=None, exposure=0.8, balance=(1.0, 1.0), veil=0.003, vignette=0.05, askew=(1.5, -2.0),
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Prints:
    """A bench, its new print and its known one; ``truth``: what an instrument reads of the new one."""

    bench: Bench
    new: Laid
    known: Laid
    truth: Reading


@cache
def work() -> Work:
    return draw_work(np.random.default_rng(11), "spectra")


def laid_out(folder: Path, *, ink: float = 1.0, is_known: bool = True) -> Prints:
    """``ink``: amounts of the new print's, times this. ``is_known``: whether the print beside it was measured."""
    bench = Bench.open(folder / "bench")
    bench.stocks.add(STOCK)
    bench.printers.add(PRINTER)
    trials = [make_trial(bench, STOCK.name, PRINTER.name, ppi=PPI).trial for _ in range(2)]
    rng = np.random.default_rng(5)
    good = Print(work().coated, sound_route(rng, work(), "coated", "srgb"))
    new = Laid(replace(good, card=work().coated.another(rng, 0.3), ink=ink), trials[0])
    known = Laid(good, trials[1])
    meter = draw_spectrophotometer(rng, 1)
    if is_known:
        bench.readings.add(read_one(rng, meter, known).model_copy(update={"trial": known.trial.id}))
    return Prints(bench, new, known, read_one(rng, meter, new))


def photograph(
    path: Path, prints: list[Laid], shot: Shot = PLAIN, *,
    bent: Callable[[Any], Any] | None = None, over: Callable[[Any, Any], Any] | None = None,
) -> Path:  # fmt: skip
    """The same camera and light each time."""
    if bent or over:
        return _photographed(path, prints, shot, bent, over)
    path.write_bytes(_plain(tuple(prints), shot))
    return path


@cache
def _plain(prints: tuple[Laid, ...], shot: Shot) -> bytes:
    """What several tests photograph alike is photographed once."""
    with tempfile.TemporaryDirectory() as folder:
        return _photographed(Path(folder) / "shot.jpg", list(prints), shot, None, None).read_bytes()


def _photographed(
    path: Path,
    prints: list[Laid],
    shot: Shot,
    bent: Callable[[Any], Any] | None,
    over: Callable[[Any, Any], Any] | None,
) -> Path:
    rng = np.random.default_rng(23)
    camera, lights = draw_camera(rng), draw_lights(rng, shot.falloff)
    return photographed(rng, prints, shot, path, camera, lights, bent, over)


def trial_of(laid: Laid) -> Trial:
    return laid.trial
