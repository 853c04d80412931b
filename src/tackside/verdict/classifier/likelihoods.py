"""The likelihood of each state by the two ways there are: the weights that were taught, and the forward models.

The taught ones speak of prints like those that they were taught on, and there they know best; the farther a print
lies from these, the more the forward models count, which claim less.
"""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Stock
from tackside.records.reading import Reading
from tackside.records.verdict import Cause
from tackside.verdict.classifier.answer_features import answers_view
from tackside.verdict.classifier.features import sight, view
from tackside.verdict.classifier.trained import BY_EYE, STATES, Weights, taught
from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.model.cards import Known


@dataclass(frozen=True)
class Told:
    """Log likelihoods, up to one constant, of each fault of the path on ``coated`` and on ``bare`` card, and of a
    fault that nobody knows. ``trust``: how far they come from the taught weights.
    """

    coated: dict[Cause, float]
    bare: dict[Cause, float]
    unknown: float
    trust: float

    @classmethod
    def forward(
        cls, coated: dict[Cause, float], bare: dict[Cause, float], unknown: float, weight: float
    ) -> Told:
        """What forward models, or answers, say, counted by ``weight``."""
        return cls(
            {cause: weight * value for cause, value in coated.items()},
            {cause: weight * value for cause, value in bare.items()},
            weight * unknown,
            0.0,
        )

    def over(self, drawn: Told) -> Told:
        """These as far as they are trusted, ``drawn`` for the rest, of the causes that ``drawn`` has."""
        share = self.trust

        def mixed(mine: float, theirs: float) -> float:
            return share * mine + (1.0 - share) * theirs

        return Told(
            {cause: mixed(self.coated[cause], value) for cause, value in drawn.coated.items()},
            {cause: mixed(self.bare[cause], value) for cause, value in drawn.bare.items()},
            mixed(self.unknown, drawn.unknown),
            share,
        )


def told_by(
    reading: Reading,
    table: PatchTable,
    *,
    known: Known,
    stock: Stock | None,
    space: str,
    beside: PatchTable | None,
) -> Told | None:
    """What the taught weights say of a print; None where it lacks numbers, paper, black or one of the six solids."""
    seen = sight(table)
    if seen is None:
        return None
    other = sight(beside) if known != "typical" and beside is not None else None
    row = view(
        seen,
        other,
        known=known,
        base=stock.base if stock else None,
        space=space,
        colorimetric=reading.uncertainty.comparable_with == "colorimetric",
        de00=table.de00,
    )
    return _told(taught(), row)


def told_by_eye(reading: Reading) -> Told:
    """What the weights taught by invented people's answers say of a form."""
    return _told(taught(BY_EYE), answers_view(reading))


def _told(weights: Weights, row: Floats) -> Told:
    logs = weights.log_likelihoods(row).tolist()
    found = dict(zip(STATES, logs, strict=True))
    return Told(
        {cause: value for (cause, on_bare), value in found.items() if not on_bare and cause != "unknown"},
        {cause: value for (cause, on_bare), value in found.items() if on_bare},
        found["unknown", False],
        weights.trust(row),
    )
