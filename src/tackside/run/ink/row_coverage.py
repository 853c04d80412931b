"""The ink of a personalised card: every row of a short list, a random sample of a long one, with how far that holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from tackside.card.file.design import Card, variables_in
from tackside.card.pixels.resample import expect
from tackside.card.series.row_faults import Rows, naming
from tackside.card.series.rows import in_its_column, personalised
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.run.ink.coverage import Coverage, coverage_of
from tackside.run.ink.ink import MetColours
from tackside.run.ink.kept_tones import KeptTones

# So many rows are made small in about a second and a half.
MOST_COUNTED = 16
# Student's t for 95 % with 15 degrees of freedom (any table of the distribution).
T_95 = 2.131
_SEED = 20260301  # the same rows each time


@dataclass(frozen=True)
class RowsCoverage:
    """``mean`` is that of the rows counted. ``doubt``: the mean of all rows lies within so great a share of it, with
    95 % probability; 0 where all were counted. ``basis``: how many were, None where there are no rows."""

    mean: Coverage
    doubt: float
    basis: Message | None


def coverage_of_rows(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    *,
    path: PrintPath = UNKNOWN_PATH,
    known: KeptTones | None = None,
) -> RowsCoverage:
    """``path`` and ``known`` are as for ``coverage_of``. Raises what it does, the row named."""
    count = len(rows.rows)
    chosen = _chosen(count)
    some = Rows(rows.file, rows.names, tuple(rows.rows[place] for place in chosen))
    found: list[Coverage] = []
    met = MetColours(card.space)
    expect(card.folder / part.file for part in card.pictures if not variables_in(part.file))
    try:
        for row, each in zip(some.rows, personalised(card, some), strict=True):
            with naming(rows.file, row.number), in_its_column(card, row, rows.names):
                found.append(coverage_of(each, stock, printer, path=path, known=known, met=met))
    finally:
        expect(())
    mean = _mean(found)
    if len(chosen) == count:
        return RowsCoverage(mean, 0.0, Message("ink.all-rows", rows=count))
    doubt = _doubt([each.tones_m2 for each in found], count)
    return RowsCoverage(mean, doubt, Message("ink.some-rows", counted=len(chosen), rows=count, doubt=doubt))


def _chosen(count: int) -> list[int]:
    if count <= MOST_COUNTED:
        return list(range(count))
    drawn = np.random.default_rng(_SEED).choice(count, MOST_COUNTED, replace=False)
    return sorted(int(each) for each in drawn)


def _mean(found: Sequence[Coverage]) -> Coverage:
    return Coverage(
        tones_m2=sum(each.tones_m2 for each in found) / len(found),
        faces=max(each.faces for each in found),
        warnings=tuple(dict.fromkeys(said for each in found for said in each.warnings)),
    )


def _doubt(tones: Sequence[float], of: int) -> float:
    """Half the 95 % interval of the mean of all ``of`` rows, as a share: t s/√n √(1 − n/N), W. G. Cochran, Sampling
    Techniques, 3rd ed., eq. 2.24 (docs/sources.md, S97)."""
    count, mean = len(tones), sum(tones) / len(tones)
    if mean == 0:
        return 0.0
    sd = float(np.std(tones, ddof=1))
    return T_95 * sd / sqrt(count) * sqrt(1 - count / of) / mean
