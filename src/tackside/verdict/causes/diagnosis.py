"""The causes of one reading: its colours, its lines and lengths brought together into probabilities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tackside.records import Stock, Trial
from tackside.records.reading import Reading
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.causes.posterior import Posterior, weigh_states
from tackside.verdict.causes.traits import weigh_traits
from tackside.verdict.classifier.features import Circumstances, Known, numbers_in, sampled_lab
from tackside.verdict.classifier.likelihoods import likelihoods_of_colours
from tackside.verdict.measures.patch_table import Floats, PatchTable

# What the teacher calls the uncertainty of a scanner that nobody characterised.
AS_IT_COMES_DE00 = 3.0


@dataclass(frozen=True)
class Standard:
    """What the print is held against: a good print's table, or what a profile predicts, and how it is ``known``.

    ``space``: of the numbers of its sheet, None for bare device numbers. ``misused``: what the profile says of faults
    of the path.
    """

    table: PatchTable
    known: Known
    space: Space | None
    reading: Reading | None = None
    misused: Mapping[Cause, Sequence[PatchTable]] | None = None


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """The posterior and what it was weighed from: colours (36, 3) at SAMPLED_AT of the print and of the standard."""

    posterior: Posterior
    circumstances: Circumstances
    lab: Floats
    beside: Floats | None


def diagnose(
    reading: Reading,
    table: PatchTable | None,
    odds: dict[Cause, float],
    *,
    trial: Trial,
    stock: Stock | None = None,
    standard: Standard | None = None,
) -> Diagnosis | None:
    """What the reading says of the causes; None where it lacks RGB numbers, paper, black or one of the six solids.

    ``standard``: a good print read alike (same scanner and settings, or instruments both) or a profile's prediction.
    """
    lab = None if table is None else sampled_lab(table)
    if lab is None:
        return None
    beside = None if standard is None else _same_colours(standard, trial)
    of = circumstances(
        reading, trial, stock, "typical" if beside is None or standard is None else standard.known
    )
    foretold: dict[Cause, list[Floats]] = {}
    if standard is not None and beside is not None and standard.misused:
        for cause, ways in standard.misused.items():
            foretold[cause] = [shown for way in ways if (shown := sampled_lab(way)) is not None]
    said = likelihoods_of_colours(lab, beside, of, {cause: ways for cause, ways in foretold.items() if ways})
    traits = weigh_traits(reading, standard.reading if standard is not None else None)
    return Diagnosis(weigh_states(odds, said.coated, said.bare, said.unknown, traits), of, lab, beside)


def _same_colours(standard: Standard, trial: Trial) -> Floats | None:
    """The standard's colours (36, 3) where its sheet asks for what SAMPLED_AT asks for on the trial's. None where
    nothing says which those are: of the two sheets one holds colours of a space, and the other bare device numbers."""
    own = space_of(trial)
    if is_another_kind(standard, trial):
        return None
    if own is None or standard.space is None or own == standard.space:
        return sampled_lab(standard.table)
    return sampled_lab(standard.table, numbers_in(standard.space, own))


def is_another_kind(standard: Standard, trial: Trial) -> bool:
    """Whether of the two sheets one holds a space's colours and the other bare device numbers."""
    return (standard.space is None) != (space_of(trial) is None)


def space_of(trial: Trial) -> Space | None:
    """The space of the sheet's numbers; None for bare device numbers."""
    return (trial.sheet.space or "srgb") if trial.sheet.purpose == "path" else None


def circumstances(reading: Reading, trial: Trial, stock: Stock | None, known: Known) -> Circumstances:
    """What is known of the print besides its colours."""
    path = trial.sheet.purpose == "path"
    noted = trial.settings if path else None
    return Circumstances(
        known=known,
        space=space_of(trial),
        base=stock.base if stock else None,
        intent=noted.intent if noted else None,
        # It changes a relative rendering alone: perceptual tables lead black to black by themselves.
        compensated=noted.black_point_compensation if noted and noted.intent == "relative" else None,
        colorimetric=reading.uncertainty.comparable_with == "colorimetric",
        # The weights were taught on scanners as they come by one figure; more is left to the trust in a reading.
        de00=min(reading.uncertainty.de00, AS_IT_COMES_DE00),
        cut=any(flaw.weakens_only for flaw in reading.flaws),
    )
