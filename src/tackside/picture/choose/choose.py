"""Which card, profile and intent suit these pictures: every picture by every way, each picture decoded once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.picture.choose.choose_work import asked_of_all, asked_of_pictures, at_hand, key_of, weigh
from tackside.picture.choose.way_table import WayTable
from tackside.picture.choose.workshop import FIELDS, Workshop, mean_figures
from tackside.picture.file.colours import Space
from tackside.picture.proof.figures import Figures
from tackside.picture.proof.ways import LeftOut, PrintWay
from tackside.tasks.parallel import spread
from tackside.tasks.workers import Plain

HALF_SCORE_COST = 10.0
# Up to so many pictures are looked at by threads of this process: others would take longer to start than they save.
FEW = 1000
# Pictures go out one by one where they are few, so that all cores have work to the end; else many at once.
PIECES, MOST_AT_ONCE = 400, 32
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class RankedWay:
    """A way with its mean figures over the pictures. ``score`` runs from 100 (the print is the picture) towards 0."""

    way: PrintWay
    cost: float
    score: float
    figures: Figures
    best_of: int


@dataclass(frozen=True)
class PictureChoice:
    """One picture: the way that suits it best, None with the ``fault`` where it cannot be opened."""

    path: Path
    way: PrintWay | None
    score: float | None
    fault: Message | None


@dataclass(frozen=True, eq=False)
class Choice:
    """``ranking`` best first; ``pictures`` in the order given; ``table`` gives that of a space, to draw proofs from."""

    ranking: tuple[RankedWay, ...]
    pictures: tuple[PictureChoice, ...]
    left_out: tuple[LeftOut, ...]
    table: Callable[[Space], WayTable]


def score_of(cost: float) -> float:
    """100 where nothing is lost, 50 at a cost of 10 (about ΔE00 6 on average), falling towards 0."""
    return 100 * HALF_SCORE_COST / (HALF_SCORE_COST + cost)


def choose(
    paths: Sequence[Path],
    ways: Sequence[PrintWay],
    *,
    cache: Path | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
) -> Choice:
    """Rank ways for pictures. A picture that cannot be opened is said so of and does not stop the others.

    ``cache`` is a folder for what was worked out of each card, and for what was finished: a choice that was stopped
    goes on from there, and a picture is not looked at twice until it changes. Pictures are looked at by threads of this
    process; where they are more than FEW, or on so many ``workers``, by processes of this machine; with ``cluster`` by
    the workers of a Dask scheduler, which must reach the pictures under the same paths. Memory does not grow with the
    pictures but for a line each. Raises BadImage where no picture can be opened, BadRequest where no way can be worked
    out or the cluster cannot be used, StorageTrouble.
    """
    workshop = Workshop(ways, cache)
    count = len(workshop.ways)
    total, wins, seen = np.zeros((count, len(FIELDS) * 2)), np.zeros(count, dtype=int), 0
    costs = np.zeros(count)
    pictures: list[PictureChoice] = []
    for some, found in _weighed(workshop, paths, cache, workers, cluster):
        costs += found["cost"]
        total += found["figures"]
        for path, one in zip(some, found["pictures"], strict=True):
            pictures.append(_of_picture(workshop, path, one))
            if one["fault"] is None:
                wins[one["best"]] += 1
                seen += 1
            if progress is not None:
                progress(len(pictures), len(paths))
    if seen == 0:
        if len(pictures) == 1 and pictures[0].fault is not None:
            raise BadImage.saying(pictures[0].fault)
        raise BadImage("choose.none-opened")
    ranking = [
        _ranked(way, float(costs[n] / seen), mean_figures(total[n]), int(wins[n]))
        for n, way in enumerate(workshop.ways)
    ]
    ranking.sort(key=lambda each: each.cost)
    return Choice(tuple(ranking), tuple(pictures), tuple(workshop.left_out), workshop.table)


def _weighed(
    workshop: Workshop, paths: Sequence[Path], cache: Path | None, workers: int | None, cluster: str | None
) -> Iterator[tuple[Sequence[Path], Plain]]:
    """Pictures by some at a time, with what was found of them. How many at a time hangs on their number alone, so that
    sums come out alike wherever they are made."""
    at_once = max(1, min(MOST_AT_ONCE, len(paths) // PIECES))
    parts = [paths[start : start + at_once] for start in range(0, len(paths), at_once)]
    elsewhere = workers is not None or cluster is not None or len(paths) > FEW
    with at_hand(workshop) as handle:
        found = spread(
            weigh,
            [asked_of_pictures(part) for part in parts],
            common=asked_of_all(workshop, None if cluster else cache) if elsewhere else handle,
            common_key=key_of(workshop.ways),
            workers=workers,
            cluster=cluster,
            few=0 if elsewhere else len(parts),
            finished=None if cache is None else cache / "choose",
            holds=_all_opened,
        )
        yield from zip(parts, found, strict=True)


def _all_opened(found: Plain) -> bool:
    """What keeps a picture shut may be gone without a change of the file: such a one is tried again."""
    return all(each["fault"] is None for each in found["pictures"])


def _of_picture(workshop: Workshop, path: Path, found: Plain) -> PictureChoice:
    if found["fault"] is not None:
        return PictureChoice(path, None, None, Message.of_data(found["fault"]))
    return PictureChoice(path, workshop.ways[found["best"]], score_of(found["cost"]), None)


def _ranked(way: PrintWay, cost: float, figures: Figures, best_of: int) -> RankedWay:
    return RankedWay(way, cost, score_of(cost), figures, best_of)
