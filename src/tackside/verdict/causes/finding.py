"""The causes of one print, by the best way that its reading allows, with evidence, next steps and what to bear in
mind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log2

from tackside.messages.message import Message
from tackside.records import Settings, Trial
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Combination, Evidence, Grade, Measure, NextStep, ProfileOf
from tackside.verdict.causes.answers import most_were_picked, weigh_answers
from tackside.verdict.causes.diagnosis import (
    Diagnosis,
    Standard,
    WeighedStates,
    before_reading,
    circumstances,
    diagnose,
    flattened,
    is_another_kind,
    of_causes,
    space_of,
    weigh_states,
)
from tackside.verdict.causes.next_step import next_steps
from tackside.verdict.causes.traits import weigh_traits
from tackside.verdict.causes.weigh import contradictions, likeliest, prior_odds, weigh_causes
from tackside.verdict.classifier.features import Known
from tackside.verdict.classifier.likelihoods import likelihoods_of_answers
from tackside.verdict.explain.answers import evidence_in_answers
from tackside.verdict.explain.evidence import evidence_in_figures
from tackside.verdict.grade.limits import lifted
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.measures.measure import number
from tackside.verdict.measures.patch_table import PatchTable

# Trust left in the likelihoods of evidence that is unfit to this degree or more, and the uncertainty of a scanner that
# nobody characterised, on which the weights were taught: from there on trust falls.
_UNFIT, _UNFIT_TRUST, _SOUND_DE00 = 0.5, 0.45, 5.0
_WORTH_NAMING = 0.05
# How much more odds a print has whose colours are sound: one that is accused weighs as much as two faults that are not
# named (this project's own), so a fault is named from twice the chance of a sound print on. Doubled lines and lengths
# are weighed as they are: they are measured by themselves, and nothing that a path does to colours looks like them.
# Where swatches were picked nothing is spared: there the weights are less sure than they could be, since screens differ
# more where they are taught.
SPARED: dict[Cause, float] = {"none": 2.0, "alignment": 2.0, "scaling": 2.0}
# A reference counts as good up to this black: the sell rule's limit and one more for the reading. A scanner's stray
# light lifts it.
GOOD_BLACK = 21.0


@dataclass(frozen=True)
class Beside:
    """A print beside the one that is judged, read alike: its reading, table, measures and trial.

    ``predicted_for``: it is no print, but what a profile says of this card or of its class, and ``misused`` what it
    says of faults of the path.
    """

    reading: Reading
    table: PatchTable
    measures: dict[str, Measure]
    trial: Trial | None
    predicted_for: ProfileOf | None = None
    misused: Mapping[Cause, Sequence[PatchTable]] | None = None

    @property
    def is_good(self) -> bool:
        black = number(self.measures, "black_l")
        most = lifted(GOOD_BLACK) if self.reading.by_plain_scanner else GOOD_BLACK
        return black is not None and black <= most


@dataclass(frozen=True)
class Finding:
    """What ``find_causes`` found; ``weighed`` and ``diagnosis``: from what, to be weighed again beside other prints."""

    causes: dict[Cause, float]
    weighed: WeighedStates
    diagnosis: Diagnosis | None = None
    evidence: tuple[Evidence, ...] = ()
    steps: tuple[NextStep, ...] = ()
    combined: tuple[Combination, ...] = ()
    notices: tuple[Message, ...] = ()

    @property
    def cause(self) -> Cause:
        return likeliest(self.causes)


def find_causes(
    known: KnownPrint,
    table: PatchTable | None,
    measures: dict[str, Measure],
    *,
    grade: Grade | None,
    reference: Beside | None = None,
    other_side: Beside | None = None,
) -> Finding:
    """Probabilities over the causes, from colours, lines and lengths where the reading has them, else from symptoms.

    ``reference`` and ``other_side`` are what of the ``known`` print's own was read alike with it; ``grade``: by the
    rules, None of answers by eye, whose grade takes the causes in.
    """
    reading, trial, stock = known.reading, known.trial, known.stock
    deeper = _deeper(measures, other_side)
    notices: list[Message] = []
    good = reference if reference is not None and reference.is_good else None
    if reference is not None and good is None and reference is not other_side:
        beside = "print" if reference.predicted_for is None else "profile"
        notices.append(Message(f"verdict.weak-{beside}-beside"))
    holds = _is_of_the_same_card(good, trial)
    odds = prior_odds(trial=trial, stock=stock, other_side=deeper, has_held_ink=holds)
    answers = weigh_answers(reading) if trial is not None and reading.kind == "eye" else None
    if answers is not None:
        # A coated side beneath a bare one is the fault "side"; none beneath is "stock".
        odds["side"] *= exp(answers.other_side_coated)
    # Where nothing was read that counts, the bare odds stand.
    spared = {} if answers is not None and most_were_picked(reading) else SPARED
    weighed = {cause: spared.get(cause, 1.0) * each for cause, each in odds.items()}
    diagnosis: Diagnosis | None = None
    if trial is not None and answers is not None:
        said = likelihoods_of_answers(
            reading,
            circumstances(reading, trial, stock, "typical"),
            answers.coated,
            answers.bare,
            answers.unknown,
        )
        posterior = weigh_states(weighed, said.coated, said.bare, said.unknown, answers.traits)
    else:
        if trial is not None:
            standard = _standard(good, trial)
            diagnosis = diagnose(reading, table, weighed, trial=trial, stock=stock, standard=standard)
            if standard is not None and is_another_kind(standard, trial):
                notices.append(Message("verdict.other-numbers-beside"))
        if diagnosis is not None:
            posterior = diagnosis.posterior
        else:
            by_symptoms = weigh_causes(measures, trial=trial, stock=stock, grade=grade, other_side=deeper)
            weighed = odds
            posterior = of_causes(_with_doubling(by_symptoms, reading), odds)
    trust, why = trust_in(reading, taught=diagnosis is not None)
    notices += why
    if trust == 1.0:
        unnoted = trial.model_copy(update={"settings": Settings()}) if trial is not None else None
        bare = prior_odds(trial=unnoted, stock=stock, other_side=deeper, has_held_ink=holds)
        notices += contradictions(trial, _weighed_again(posterior.causes, odds, bare))
    causes = posterior.causes if trust == 1.0 else flattened(posterior.causes, odds, trust)
    causes = _as_far_as_fit(causes, odds, fitness(reading))
    weight = trust * fitness(reading)
    done = {"known-card"} if good is not None and good.predicted_for is None else set()
    done |= {"other-side"} if other_side is not None else set()
    done |= {"measure-ruler"} if reading.placement is not None else set()
    by_path = trial is None or trial.sheet.purpose == "path"
    done |= {"manage-off"} if by_path else {"device-sheet", "manage-once", "keep-space"}
    done |= {"rescan"} if reading.kind != "scan" else set()
    together = {
        pair: chance * weight
        for pair, chance in sorted(posterior.pairs.items(), key=lambda item: -item[1])
        if chance * weight >= _WORTH_NAMING
    }
    return Finding(
        causes,
        WeighedStates(before_reading(weighed).states, posterior.states, trust, fitness(reading)),
        diagnosis,
        evidence_for(causes, reading, diagnosis, measures),
        next_steps(causes, together, done=frozenset(done)),
        tuple(Combination(causes=pair, probability=chance) for pair, chance in together.items()),
        tuple(notices),
    )


def evidence_for(
    causes: dict[Cause, float], reading: Reading, diagnosis: Diagnosis | None, measures: dict[str, Measure]
) -> tuple[Evidence, ...]:
    """What of a reading speaks for and against the likeliest of ``causes``."""
    if reading.kind == "eye":
        return evidence_in_answers(causes, reading)
    return evidence_in_figures(causes, diagnosis, reading, measures)


def _weighed_again(
    causes: dict[Cause, float], odds: dict[Cause, float], instead: dict[Cause, float]
) -> dict[Cause, float]:
    """The chances if other odds had stood before: what the odds moved is taken back."""
    weights = {
        cause: chance * (instead[cause] / odds[cause] if odds[cause] > 0 else 1.0)
        for cause, chance in causes.items()
    }
    total = sum(weights.values())
    return {cause: weight / total for cause, weight in weights.items()}


def _is_of_the_same_card(good: Beside | None, trial: Trial | None) -> bool:
    """Whether a print that is good lies beside it, on either face of the same card."""
    if good is None or good.predicted_for is not None or good.trial is None or trial is None:
        return False
    return good.trial.stock == trial.stock


def _standard(good: Beside | None, trial: Trial) -> Standard | None:
    if good is None:
        return None
    known: Known = "predicted"
    if good.predicted_for is None:
        same = good.trial is not None and (good.trial.stock, good.trial.side) == (trial.stock, trial.side)
        known = "same-card" if same else "other-card"
    # A profile's word is of the very sheet, and a good print without its trial is taken for one of such a sheet.
    space = space_of(good.trial or trial)
    return Standard(
        good.table, known, space, good.reading if good.predicted_for is None else None, good.misused
    )


def _as_far_as_fit(causes: dict[Cause, float], odds: dict[Cause, float], fit: float) -> dict[Cause, float]:
    """The chances when unfit evidence says nothing at all with probability 1 − ``fit``: then what was known beforehand
    stands, so that no cause is surer than that allows.
    """
    if fit == 1.0:
        return causes
    total = sum(odds.values())
    return {cause: fit * chance + (1.0 - fit) * odds[cause] / total for cause, chance in causes.items()}


def _with_doubling(causes: dict[Cause, float], reading: Reading) -> dict[Cause, float]:
    """The causes with what doubled edges say of the alignment, which the table of symptoms has not."""
    doubled = weigh_traits(reading, None).doubled
    weights = {**causes, "alignment": causes["alignment"] * exp(doubled[True] - doubled[False])}
    return {cause: weight / sum(weights.values()) for cause, weight in weights.items()}


def fitness(reading: Reading) -> float:
    """How fit the evidence is by what the reading states of itself, 0 (conclude nothing) to 1; its spread left aside.

    The attribute ``unfit`` says the same for readings kept before there were flaws.
    """
    degrees = [flaw.degree for flaw in reading.flaws if not flaw.weakens_only]
    unfit = reading.attributes.get("unfit")
    if unfit is not None:
        degrees.append(min(max(unfit.value, 0.0), 1.0))
    worst = max(degrees, default=0.0)
    return 1.0 - worst if worst < _UNFIT else min(1.0 - worst, _UNFIT_TRUST)


def unfit_notice(reading: Reading) -> Message | None:
    """The notice of the first flaw that makes the evidence unfit."""
    codes = [flaw.code for flaw in reading.flaws if not flaw.weakens_only]
    return next((notice for code in codes for notice in reading.notices if notice.code == code), None)


def trust_in(reading: Reading, *, taught: bool = False) -> tuple[float, list[Message]]:
    """How far the likelihoods of a reading are to be trusted, 0 to 1, and a notice where that is not whole.

    ``taught``: the likelihoods are of weights that know what a flaw that only weakens leaves of the colours.
    """
    trust = fitness(reading)
    if not taught and any(flaw.weakens_only for flaw in reading.flaws):
        trust = min(trust, _UNFIT_TRUST)
    if reading.kind != "eye" and reading.uncertainty.de00 > _SOUND_DE00:
        trust *= _SOUND_DE00 / reading.uncertainty.de00
    if trust == 1.0:
        return trust, []
    return trust, [Message("verdict.evidence-not-sound", weight=trust)]


def bits(causes: dict[Cause, float]) -> float:
    """How open the question is: entropy in bits."""
    return -sum(chance * log2(chance) for chance in causes.values() if chance > 0)


def _deeper(measures: dict[str, Measure], other: Beside | None) -> float | None:
    """How many L* deeper the black of the other side is."""
    here = number(measures, "black_l")
    there = number(other.measures, "black_l") if other is not None else None
    return None if here is None or there is None else here - there
