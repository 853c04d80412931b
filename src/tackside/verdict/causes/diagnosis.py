"""The causes of one reading: tone response, faults, cards and traits brought together into probabilities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tackside.records import Stock, Trial
from tackside.records.reading import Reading
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.causes.posterior import PATCH_WEIGHT, Posterior, by_cause, weigh_states
from tackside.verdict.causes.traits import Traits, weigh_traits
from tackside.verdict.classifier.features import SAMPLED_AT
from tackside.verdict.classifier.likelihoods import Likelihoods, trained_likelihoods
from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.model.cards import CardModel, Known, bare, coated, own_way
from tackside.verdict.model.class_typical import typical_evidence
from tackside.verdict.model.patch_likelihoods import (
    FLOOR,
    SHARE_EACH,
    PatchesRead,
    PatchEvidence,
    patch_evidence,
)
from tackside.verdict.model.path_faults import FaultyColours, draw, with_known
from tackside.verdict.model.tone_response import ToneResponse, from_table, typical

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import ProfileOf

_NEAR = 0.06
FEWEST = 20
# How likely a fault of the path is the very one that a profile predicts, and not a looser kind of it (an estimate).
BY_PROFILE = 0.7


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """The posterior and what it was weighed from."""

    posterior: Posterior
    known: Known
    rows: NDArray[np.intp]
    coated: PatchEvidence
    bare: PatchEvidence
    traits: Traits


def diagnose(
    reading: Reading,
    table: PatchTable | None,
    odds: dict[Cause, float],
    *,
    trial: Trial,
    stock: Stock | None = None,
    reference: PatchTable | None = None,
    reference_reading: Reading | None = None,
    reference_trial: Trial | None = None,
    predicted_for: ProfileOf | None = None,
    misused: Mapping[Cause, Sequence[PatchTable]] | None = None,
) -> Diagnosis | None:
    """What the reading says of the causes; None where its patches are too few to look at.

    ``reference``: a good print read alike (same scanner and settings, or instruments both). ``predicted_for``: it is no
    print but a profile's prediction for this card or its class, and errs by its own uncertainty; ``misused``: its
    predictions for faults of the path.
    """
    traits = weigh_traits(reading, reference_reading)
    rows = _rows(table) if table is not None else None
    if table is None or rows is None:
        return None
    space = trial.sheet.space or "srgb"
    response, known = _response(reference, trial, reference_trial, predicted_for)
    assert table.rgb is not None
    # A reading that is compared with one by the same scanner shares the scanner's error with it.
    shared = 0.5 if known != "typical" else table.de00
    if predicted_for is not None and reference is not None:
        shared = float(np.hypot(table.de00, reference.de00))
    read = PatchesRead(table.rgb[rows], table.lab[rows], np.hypot(table.noise[rows], 0.15), shared)
    path = trial.sheet.purpose == "path"
    trained = None
    if path and predicted_for is None:
        trained = trained_likelihoods(reading, table, known=known, stock=stock, space=space, beside=reference)
    if known == "typical":
        found = typical_evidence(read, space, stock, path=path)
        if found is None:
            return None
        on_coated, on_bare, strange = found
        return _weighed(odds, on_coated, on_bare, strange, traits, known, rows, trained)
    drawn = draw(response, read.asked, space, path=path)
    if misused:
        drawn = with_known(drawn, _shown(misused, read.asked, space), BY_PROFILE)
    floor, each = FLOOR[known], SHARE_EACH[known]
    on_coated = patch_evidence(
        read, response, drawn, coated(response, known, stock), floor, each, own_way(read.asked, known)
    )
    on_bare = patch_evidence(
        read,
        response,
        drawn,
        bare(response, known),
        max(floor, FLOOR["other-card"]),
        each,
        own_way(read.asked, "other-card" if known == "same-card" else known, 1.2),
    )
    unknown = patch_evidence(
        read, response, _first(drawn), _anything(), 3.0, each, own_way(read.asked, "typical")
    )
    strange = float(unknown.log_likelihood[0])
    return _weighed(odds, on_coated, on_bare, strange, traits, known, rows, trained)


def _weighed(
    odds: dict[Cause, float],
    on_coated: PatchEvidence,
    on_bare: PatchEvidence,
    unknown: float,
    traits: Traits,
    known: Known,
    rows: NDArray[np.intp],
    trained: Likelihoods | None,
) -> Diagnosis:
    weight = PATCH_WEIGHT[known]
    drawn = Likelihoods.forward(by_cause(on_coated, weight), by_cause(on_bare, weight), unknown, weight)
    both = drawn if trained is None else trained.over(drawn)
    posterior = weigh_states(odds, both.coated, both.bare, both.unknown, traits)
    return Diagnosis(posterior, known, rows, on_coated, on_bare, traits)


def _shown(
    misused: Mapping[Cause, Sequence[PatchTable]], asked: Floats, space: Space
) -> dict[Cause, list[Floats]]:
    """CIELAB (m, 3) at the numbers ``asked`` under each fault that a profile predicts."""
    responses = {cause: [from_table(table, space) for table in tables] for cause, tables in misused.items()}
    return {cause: [each.lab(asked) for each in its if each is not None] for cause, its in responses.items()}


def _first(drawn: FaultyColours) -> FaultyColours:
    """The response as it should be, alone."""
    return FaultyColours(
        drawn.causes[:1],
        drawn.log_shares[:1],
        drawn.lab[:1],
        drawn.numbers[:1],
        drawn.loose[:1],
        drawn.even[:1],
    )


def _anything() -> CardModel:
    """Any print at all: each corner, and the tones, may be anywhere within what prints show."""
    modes = []
    for corner in range(8):
        for axis, sd in enumerate((14.0, 22.0, 22.0)):
            mode = np.zeros((8, 3))
            mode[corner, axis] = sd
            modes.append(mode)
    return CardModel(None, 10.0, np.ones(8), 0.3, np.array(modes), (0.0, 0.2))


def _response(
    reference: PatchTable | None, trial: Trial, reference_trial: Trial | None, predicted_for: ProfileOf | None
) -> tuple[ToneResponse, Known]:
    if reference is None:
        return typical(), "typical"
    space = reference_trial.sheet.space if reference_trial is not None else None
    response = from_table(reference, space or trial.sheet.space or "srgb")
    if response is None:
        return typical(), "typical"
    if predicted_for is not None:
        return response, "same-card" if predicted_for == "card" else "other-card"
    same = reference_trial is not None and (reference_trial.stock, reference_trial.side) == (
        trial.stock,
        trial.side,
    )
    return response, "same-card" if same else "other-card"


def _rows(table: PatchTable) -> NDArray[np.intp] | None:
    """Rows nearest to the wanted numbers; None where the reading has too few of them."""
    if table.rgb is None:
        return None
    off = np.abs(table.rgb[None] - SAMPLED_AT[:, None]).max(axis=-1)
    nearest = off.argmin(axis=1)
    rows = np.unique(nearest[off.min(axis=1) <= _NEAR])
    return rows if len(rows) >= FEWEST else None
