"""The likelihood of each state by the two ways there are: the trained weights, and the forward models.

The trained ones speak of prints like those that they were trained on, and there they know best; the farther a print
lies from these, the more the forward models count, which claim less.
"""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Stock
from tackside.records.reading import Reading
from tackside.records.verdict import Cause
from tackside.verdict.classifier.answer_features import answer_features
from tackside.verdict.classifier.features import features, sampled_lab
from tackside.verdict.classifier.trained import BY_EYE, STATES, Weights, trained_weights
from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.model.cards import Known


@dataclass(frozen=True)
class Likelihoods:
    """Log likelihoods, up to one constant, of each fault of the path on ``coated`` and on ``bare`` card, and of a
    fault that nobody knows. ``trained_share``: how far they come from the trained weights.
    """

    coated: dict[Cause, float]
    bare: dict[Cause, float]
    unknown: float
    trained_share: float

    @classmethod
    def forward(
        cls, coated: dict[Cause, float], bare: dict[Cause, float], unknown: float, weight: float
    ) -> Likelihoods:
        """What forward models, or answers, say, counted by ``weight``."""
        return cls(
            {cause: weight * value for cause, value in coated.items()},
            {cause: weight * value for cause, value in bare.items()},
            weight * unknown,
            0.0,
        )

    def over(self, drawn: Likelihoods) -> Likelihoods:
        """These by their trained share, ``drawn`` for the rest, of the causes that ``drawn`` has."""
        share = self.trained_share

        def mixed(mine: float, theirs: float) -> float:
            return share * mine + (1.0 - share) * theirs

        return Likelihoods(
            {cause: mixed(self.coated[cause], value) for cause, value in drawn.coated.items()},
            {cause: mixed(self.bare[cause], value) for cause, value in drawn.bare.items()},
            mixed(self.unknown, drawn.unknown),
            share,
        )


def trained_likelihoods(
    reading: Reading,
    table: PatchTable,
    *,
    known: Known,
    stock: Stock | None,
    space: str,
    beside: PatchTable | None,
) -> Likelihoods | None:
    """What the trained weights say of a print; None where it lacks numbers, paper, black or one of the six solids."""
    lab = sampled_lab(table)
    if lab is None:
        return None
    other = sampled_lab(beside) if known != "typical" and beside is not None else None
    row = features(
        lab,
        other,
        known=known,
        base=stock.base if stock else None,
        space=space,
        colorimetric=reading.uncertainty.comparable_with == "colorimetric",
        de00=table.de00,
    )
    return _likelihoods(trained_weights(), row)


def trained_likelihoods_by_eye(reading: Reading) -> Likelihoods:
    """What the weights trained on invented people's answers say of a form."""
    return _likelihoods(trained_weights(BY_EYE), answer_features(reading))


def _likelihoods(weights: Weights, row: Floats) -> Likelihoods:
    logs = weights.log_likelihoods(row).tolist()
    found = dict(zip(STATES, logs, strict=True))
    return Likelihoods(
        {cause: value for (cause, on_bare), value in found.items() if not on_bare and cause != "unknown"},
        {cause: value for (cause, on_bare), value in found.items() if on_bare},
        found["unknown", False],
        weights.likeness(row),
    )
