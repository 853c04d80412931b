"""All ways to all cards at work on pictures: a table for each space of numbers, made when first asked for."""

from __future__ import annotations

import os
import threading
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from pathlib import Path

import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadRequest, TacksideError
from tackside.picture.choose.samples import sampled
from tackside.picture.choose.way_table import Table, WayTable, node_lab
from tackside.picture.file.colours import Space, colours_of
from tackside.picture.proof.advice import cost_of
from tackside.picture.proof.figures import Figures
from tackside.picture.proof.ways import LeftOut, PrintWay
from tackside.profile.icc.working_space import working_space_profile

FIELDS = tuple(Figures.__dataclass_fields__)
COMMON_SPACE = Space(working_space_profile("srgb"))
# A card that is worked out ahead of need is so for pictures in these.
KNOWN_SPACES = (COMMON_SPACE, Space(working_space_profile("adobe-rgb")))
SAME = 0.25  # ΔE*ab: makers' profiles of one space differ by a few hundredths, spaces by ten and more


@lru_cache(maxsize=64)
def as_known(space: Space) -> Space:
    """The known space whose colours these numbers have, whoever wrote the profile; else the space itself.

    Raises BadProfile.
    """
    for known in KNOWN_SPACES:
        if space == known or np.abs(node_lab(space) - node_lab(known)).max() <= SAME:
            return known
    return space


class Workshop:
    """``ways`` that can be worked out, and those that are ``left_out``; threads may share it.

    ``cache`` is a folder for what was worked out of each card. ``samples`` (ways, 17³, 3) are those of sRGB where they
    are known already. Raises BadRequest where no way can be worked out.
    """

    def __init__(self, ways: Sequence[PrintWay], cache: Path | None, samples: Table | None = None) -> None:
        self._cache = cache
        self._lock = threading.Lock()
        self._tables: dict[Space, WayTable] = {}
        self.left_out: list[LeftOut] = []
        self.ways = tuple(ways)
        if samples is None:
            samples = self._first_samples()
        self._tables[COMMON_SPACE] = self._prepared(COMMON_SPACE, samples)

    @property
    def samples(self) -> Table:
        """The print by each way at the nodes of sRGB, (ways, 17³, 3) float32."""
        return self._tables[COMMON_SPACE].printed

    def table(self, space: Space) -> WayTable:
        """Raises BadProfile, BadRequest."""
        space = as_known(space)
        with self._lock:
            if space not in self._tables:
                samples = self._samples(space)
                errors = [each for each in samples if isinstance(each, TacksideError)]
                if errors:
                    raise errors[0]
                self._tables[space] = self._prepared(space, np.stack(samples))  # type: ignore[arg-type]  # no error
            return self._tables[space]

    def look_at(self, path: Path) -> tuple[Floats, Floats]:
        """The cost (ways,) and the figures (ways, 2 × fields) of one picture. Raises BadImage."""
        colours = colours_of(path)
        figures = self.table(colours.space).figures(colours)
        return np.array([cost_of(each) for each in figures]), np.array([_row(each) for each in figures])

    def _prepared(self, space: Space, samples: Table) -> WayTable:
        table = WayTable(self.ways, space, samples)
        table.prepare()
        return table

    def _first_samples(self) -> Table:
        kept, printed = [], []
        for way, sample in zip(self.ways, self._samples(COMMON_SPACE), strict=True):
            if isinstance(sample, TacksideError):
                self.left_out.append(LeftOut(way.stock, sample.message))
            else:
                kept.append(way)
                printed.append(sample)
        if not kept:
            if not self.left_out:
                raise BadRequest("choose.no-card")
            raise BadRequest("choose.none-weighed", reason=self.left_out[0].why)
        self.ways = tuple(kept)
        return np.stack(printed)

    def _samples(self, space: Space) -> list[Table | TacksideError]:
        """The print by each way, or why it cannot be worked out; the cards are shared between threads."""
        by_card: dict[int, list[PrintWay]] = {}
        for way in self.ways:
            by_card.setdefault(id(way.card), []).append(way)

        def work(ways: list[PrintWay]) -> list[Table | TacksideError]:
            return [_sample_or_error(way, space, self._cache) for way in ways]

        with ThreadPoolExecutor(os.cpu_count()) as pool:
            done = list(pool.map(work, by_card.values()))
        found = {
            id(way): sample
            for ways, samples in zip(by_card.values(), done, strict=True)
            for way, sample in zip(ways, samples, strict=True)
        }
        return [found[id(way)] for way in self.ways]


def mean_figures(total: Floats) -> Figures:
    """The means of figures that ``look_at`` gave, from their sum (2 × fields,)."""
    sums, counts = total[: len(FIELDS)], total[len(FIELDS) :]
    means = {name: float(sums[n] / counts[n]) if counts[n] else None for n, name in enumerate(FIELDS)}
    return Figures(**means)  # type: ignore[arg-type]  # fields that may not be None never are


def _row(figures: Figures) -> list[float]:
    """The figures, then 1 for each that is there: sums of both give means over the pictures that have one."""
    values = [getattr(figures, name) for name in FIELDS]
    return [value or 0.0 for value in values] + [float(value is not None) for value in values]


def _sample_or_error(way: PrintWay, space: Space, cache: Path | None) -> Table | TacksideError:
    try:
        return sampled(way, space, cache)
    except TacksideError as error:
        return error
