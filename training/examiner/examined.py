"""The prints of an examination, one after another: drawn, read, and laid beside others, with the truth of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tackside.errors import BadScan
from tackside.records import Reading
from tackside.records.verdict import Cause
from tackside.verdict.known_print import KnownPrint
from training.examiner.eye import read_by_eye
from training.examiner.figures import read_in_figures
from training.examiner.image import read_as_image
from training.examiner.prints import MOVED_DE00
from training.examiner.scenes import Beside, Scene, draw_scene
from training.examiner.sheets import SIZES
from training.examiner.works import FAMILIES, Family, Work, draw_work, missing

Way = Literal["figures", "eye", "image"]
BESIDE: tuple[Beside, ...] = ("same card", "known card", "none")
IMAGED = ((105.0, 148.0),)
_READERS: dict[
    Way, Callable[[np.random.Generator, Scene], tuple[Reading, Reading | None, Reading | None]]
] = {
    "figures": read_in_figures,
    "eye": read_by_eye,
    "image": read_as_image,
}
# What a ruler and a pair of good eyes show at best: doubled edges in µm, and a share of the length.
SEEN_UM, SEEN_SCALE = 120.0, 0.008
# Prints of one work before a new one is drawn.
OF_ONE_WORK = 12


@dataclass(frozen=True, eq=False)
class Examined:
    """One print and its truth. ``moved``: whether there is anything to see of the fault. ``moved_de00``: mean over the
    patches against the same print made soundly.

    ``sound_good``: nothing is wrong, on a good coated card: it must be graded ``send`` or better. ``uncoated_sound``:
    on bare card by a way that works, and nothing else is wrong: ``draft`` or below. ``known``: what the verdict gets.
    """

    truth: tuple[Cause, ...]
    moved: bool
    moved_de00: float
    known: KnownPrint
    family: Family
    work: str
    kind: Literal["coated", "uncoated"]
    beside: Beside
    way: Way
    by: str
    sound_good: bool
    uncoated_sound: bool


def shown_to_the_eye(scene: Scene, answers: Reading) -> bool:
    """Whether the fault is plain in colour, or in a question about lines or lengths that was answered at all."""
    made = scene.laid.made
    stretched = answers.placement is not None and max(abs(scale - 1.0) for scale in made.scale) >= SEEN_SCALE
    doubled = "eye_doubled_vertical" in answers.attributes and made.doubled_um >= SEEN_UM
    return scene.moved_de00 >= MOVED_DE00 or stretched or doubled


def at_hand(families: tuple[Family, ...] = FAMILIES) -> tuple[Family, ...]:
    """The families whose data are on this machine; ``works.missing`` names what to install for the others."""
    return tuple(family for family in families if missing(family) is None)


def examined(
    way: Way, beside: Beside | None, count: int, seed: int, families: tuple[Family, ...] = FAMILIES
) -> Iterator[Examined]:
    """``count`` prints, the same for the same seed; ``beside`` None: each kind at random. Families that are not at hand
    are left out, which draws other prints.
    """
    rng = np.random.default_rng([seed, 13])
    kinds = at_hand(families)
    work = None
    for number in range(count):
        if work is None or number % OF_ONE_WORK == 0:
            work = draw_work(rng, kinds[int(rng.integers(len(kinds)))])
        kind = beside if beside is not None else BESIDE[int(rng.integers(3))]
        # As an image the smallest of the sheets serves: an image of a large one takes minutes.
        sizes = IMAGED if way == "image" else SIZES
        yield _one(rng, work, kind, sizes, way)


def _one(
    rng: np.random.Generator, work: Work, kind: Beside, sizes: tuple[tuple[float, float], ...], way: Way
) -> Examined:
    while True:
        scene = draw_scene(rng, work, kind, 600.0, sizes)
        try:
            return _read(rng, scene, way)
        except BadScan:
            # A negative of the sheet has no marks that a reader finds: nothing comes to be judged.
            if "unknown" not in scene.truth:
                raise


def _read(rng: np.random.Generator, scene: Scene, way: Way) -> Examined:
    print_read, beside, behind = _READERS[way](rng, scene)
    reference = None
    if scene.reference is not None and beside is not None:
        reference = KnownPrint(beside, scene.reference.trial)
    other = None
    if scene.other_side is not None and behind is not None:
        other = KnownPrint(behind, scene.other_side.trial)
    coated = scene.laid.made.card.is_coated
    return Examined(
        truth=scene.truth,
        moved=scene.moved if way != "eye" else shown_to_the_eye(scene, print_read),
        moved_de00=scene.moved_de00,
        known=KnownPrint(print_read, scene.laid.trial, scene.stock, reference=reference, other_side=other),
        family=scene.work.family,
        work=scene.work.name,
        kind="coated" if coated else "uncoated",
        beside=scene.beside,
        way=way,
        by=print_read.kind,
        sound_good=scene.truth == ("none",) and coated,
        uncoated_sound=not coated and len(scene.truth) == 1,
    )
