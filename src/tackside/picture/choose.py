"""Which card, profile and intent suit these pictures: every picture by every way, each picture decoded once."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadImage, BadRequest, TacksideError
from tackside.picture.advice import cost_of
from tackside.picture.colours import Space, colours_of
from tackside.picture.figures import Figures
from tackside.picture.samples import sampled
from tackside.picture.way_table import Table, WayTable
from tackside.picture.ways import LeftOut, Way
from tackside.profile import working_space_profile

HALF_SCORE_COST = 10.0
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Ranked:
    """A way with its mean figures over the pictures. ``score`` runs from 100 (the print is the picture) towards 0."""

    way: Way
    cost: float
    score: float
    figures: Figures
    best_of: int


@dataclass(frozen=True)
class PictureChoice:
    """One picture: the way that suits it best, None with the ``fault`` where it cannot be opened."""

    path: Path
    way: Way | None
    score: float | None
    fault: str | None


@dataclass(frozen=True, eq=False)
class Choice:
    """``ranking`` best first; ``pictures`` in the order given; ``tables`` by space, to draw proofs from."""

    ranking: tuple[Ranked, ...]
    pictures: tuple[PictureChoice, ...]
    left_out: tuple[LeftOut, ...]
    tables: dict[Space, WayTable]


def score_of(cost: float) -> float:
    """100 where nothing is lost, 50 at a cost of 10 (about ΔE00 6 on average), falling towards 0."""
    return 100 * HALF_SCORE_COST / (HALF_SCORE_COST + cost)


def choose(
    paths: Sequence[Path],
    ways: Sequence[Way],
    *,
    cache: Path | None = None,
    progress: Progress | None = None,
) -> Choice:
    """Rank ways for pictures. A picture that cannot be opened is said so of and does not stop the others.

    ``cache`` is a folder for what was worked out of each card. Memory does not grow with the pictures but for a
    line each. Raises BadImage where no picture can be opened, BadRequest where no way can be worked out.
    """
    workshop = _Workshop(ways, cache)
    workshop.table(Space(working_space_profile("srgb")))
    count = len(workshop.ways)
    total, wins, seen = np.zeros((count, len(_FIELDS) * 2)), np.zeros(count, dtype=int), 0
    costs = np.zeros(count)
    pictures = []
    for number, (path, found) in enumerate(_in_turn(workshop.look_at, paths), start=1):
        if progress is not None:
            progress(number, len(paths))
        if isinstance(found, BadImage):
            pictures.append(PictureChoice(path, None, None, f"{found.what}; {found.mend}"))
            continue
        cost, figures = found
        best = int(np.argmin(cost))
        pictures.append(PictureChoice(path, workshop.ways[best], score_of(float(cost[best])), None))
        costs += cost
        total += figures
        wins[best] += 1
        seen += 1
    if seen == 0:
        raise BadImage(
            "none of the pictures can be opened" if len(paths) > 1 else pictures[0].fault or "no picture",
            "look at them with tackside picture check",
        )
    ranking = [
        _ranked(way, float(costs[n] / seen), _mean_figures(total[n]), int(wins[n]))
        for n, way in enumerate(workshop.ways)
    ]
    ranking.sort(key=lambda each: each.cost)
    return Choice(tuple(ranking), tuple(pictures), tuple(workshop.left_out), workshop.tables)


def _ranked(way: Way, cost: float, figures: Figures, best_of: int) -> Ranked:
    return Ranked(way, cost, score_of(cost), figures, best_of)


class _Workshop:
    """The tables, one a space, made when a picture of that space first comes by."""

    def __init__(self, ways: Sequence[Way], cache: Path | None) -> None:
        self._cache = cache
        self._lock = threading.Lock()
        self.tables: dict[Space, WayTable] = {}
        self.left_out: list[LeftOut] = []
        self.ways = tuple(ways)

    def table(self, space: Space) -> WayTable:
        with self._lock:
            if space not in self.tables:
                self.tables[space] = self._made(space)
            return self.tables[space]

    def look_at(self, path: Path) -> tuple[Floats, Floats] | BadImage:
        """The cost (ways,) and the figures (ways, 2 × fields) of one picture."""
        try:
            colours = colours_of(path)
        except BadImage as error:
            return error
        figures = self.table(colours.space).figures(colours)
        return np.array([cost_of(each) for each in figures]), np.array([_row(each) for each in figures])

    def _made(self, space: Space) -> WayTable:
        first = not self.tables
        kept, printed = [], []
        for way, sample in zip(self.ways, self._samples(space), strict=True):
            if not isinstance(sample, TacksideError):
                kept.append(way)
                printed.append(sample)
            elif first:
                self.left_out.append(LeftOut(way.stock, sample.what))
            else:
                raise sample
        if not kept:
            reason = self.left_out[0].why if self.left_out else "there is no card to choose from"
            raise BadRequest(f"no card can be weighed up: {reason}", "read a test sheet of each card first")
        self.ways = tuple(kept)
        table = WayTable(self.ways, space, np.stack(printed))
        table.prepare()
        return table

    def _samples(self, space: Space) -> list[Table | TacksideError]:
        """The print by each way at the nodes, or why it cannot be worked out; the cards are shared between threads."""
        by_card: dict[int, list[Way]] = {}
        for way in self.ways:
            by_card.setdefault(id(way.card), []).append(way)

        def work(ways: list[Way]) -> list[Table | TacksideError]:
            return [_sample_or_error(way, space, self._cache) for way in ways]

        with ThreadPoolExecutor(os.cpu_count()) as pool:
            done = list(pool.map(work, by_card.values()))
        found = {
            id(way): sample
            for ways, samples in zip(by_card.values(), done, strict=True)
            for way, sample in zip(ways, samples, strict=True)
        }
        return [found[id(way)] for way in self.ways]


def _sample_or_error(way: Way, space: Space, cache: Path | None) -> Table | TacksideError:
    try:
        return sampled(way, space, cache)
    except TacksideError as error:
        return error


def _in_turn(
    work: Callable[[Path], tuple[Floats, Floats] | BadImage], paths: Sequence[Path]
) -> Iterator[tuple[Path, tuple[Floats, Floats] | BadImage]]:
    """Results in the order of the paths, with only a few pictures under way at once."""
    workers = os.cpu_count() or 1
    waiting = iter(paths)
    with ThreadPoolExecutor(workers) as pool:
        under_way: list[tuple[Path, Future[tuple[Floats, Floats] | BadImage]]] = [
            (path, pool.submit(work, path)) for path in islice(waiting, 2 * workers)
        ]
        while under_way:
            path, future = under_way.pop(0)
            result = future.result()
            under_way += [(each, pool.submit(work, each)) for each in islice(waiting, 1)]
            yield path, result


_FIELDS = tuple(Figures.__dataclass_fields__)


def _row(figures: Figures) -> list[float]:
    """The figures, then 1 for each that is there: sums of both give means over the pictures that have one."""
    values = [getattr(figures, name) for name in _FIELDS]
    return [value or 0.0 for value in values] + [float(value is not None) for value in values]


def _mean_figures(total: Floats) -> Figures:
    sums, counts = total[: len(_FIELDS)], total[len(_FIELDS) :]
    means = {name: float(sums[n] / counts[n]) if counts[n] else None for n, name in enumerate(_FIELDS)}
    return Figures(**means)  # type: ignore[arg-type]  # fields that may not be None never are
