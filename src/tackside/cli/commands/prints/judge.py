"""``tackside judge``: how good a print is, and why."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views.verdict_page import verdict_page
from tackside.errors import BadRequest
from tackside.profile.icc.files import read_profile_file
from tackside.reading.instrument.file import read_instrument_file
from tackside.records import Reading, Trial, Verdict
from tackside.verdict.causes.by_profile import Foretold, ProfileOf, foretell
from tackside.verdict.causes.weigh import same_card_other_side
from tackside.verdict.judge import judge as give_verdict
from tackside.verdict.measures.paper import paper_classes, tint_words
from tackside.verdict.sides import Drag, SideFinding, find_side


def judge(
    trial: Annotated[str | None, Parameter(help="Id of the trial, as printed on its sheet.")] = None,
    *,
    against: Annotated[
        str | None, Parameter(help="A trial to compare with: a print known to be good.")
    ] = None,
    other_side: Annotated[
        str | None,
        Parameter(
            help="A trial of the same sheet on the other side of the card, to tell which side is coated."
        ),
    ] = None,
    drag_this_side: Annotated[
        Drag | None, Parameter(help="Does a damp finger drag on a clear corner of the printed side?")
    ] = None,
    drag_other_side: Annotated[Drag | None, Parameter(help="And on the other side?")] = None,
    data: Annotated[Path | None, Parameter(help="Judge this instrument file (CGATS or CxF) alone.")] = None,
    profile: Annotated[
        Path | None,
        Parameter(help="Compare with what this printer profile foretells, where no good print is at hand."),
    ] = None,
    profile_of: Annotated[
        ProfileOf,
        Parameter(help="Whether the profile was made for this very card or for a card of its class."),
    ] = "class",
) -> Outcome:
    """Say how good a print is, and why.

    Judges the latest reading of a trial and keeps the verdict on the bench, or judges a bare instrument file. With a
    trial of the other side, or a damp finger's word, it also names the printable side.

    The causes are weighed beside a reference: a good print (--against), a printer profile (--profile), or else what
    is typical of such card.
    """
    if profile is not None and against is not None:
        raise BadRequest(
            "--against and --profile both name a reference", "leave one out: a good print tells more"
        )
    if (trial is None) == (data is None):
        raise BadRequest(
            "judge takes either a trial or --data FILE",
            "name one of them, as: tackside judge TRIAL, or tackside judge --data chart.txt",
        )
    sides = SideEvidence(other_side, drag_this_side, drag_other_side)
    if data is not None:
        if against is not None:
            raise BadRequest(
                "--against compares trials, and a bare file is none", "judge the file without --against"
            )
        if sides.is_given:
            raise BadRequest(
                "the sides of a card belong to a trial, and a bare file is none", "name the trial"
            )
        reading = read_instrument_file(data)
        foretold = _foretold(profile, profile_of, reading, None)
        verdict = give_verdict(reading, foretold=foretold)
        return _outcome(
            verdict, reading, f"Verdict on {data.name}", reference=reference_document(foretold, verdict)
        )
    return _judge_trial(trial or "", against, sides, profile, profile_of)


def _judge_trial(
    name: str, against: str | None, sides: SideEvidence, profile: Path | None, profile_of: ProfileOf
) -> Outcome:
    bench = Bench.open(bench_folder(), create=False)
    trial, reading = _trial_and_reading(bench, name)
    reference_trial, reference = _trial_and_reading(bench, against) if against is not None else (None, None)
    if reference_trial is not None and reference_trial.id == trial.id:
        raise BadRequest(f"--against names {trial.id} itself", "name another trial")
    other_trial, other = (
        _trial_and_reading(bench, sides.other_side) if sides.other_side is not None else (None, None)
    )
    if other_trial is not None:
        sides.require(trial, other_trial)
    foretold = _foretold(profile, profile_of, reading, trial)
    verdict = bench.verdicts.add(
        give_verdict(
            reading,
            trial=trial,
            stock=bench.stocks.get(trial.stock, trial.stock_revision),
            printer=bench.printers.get(trial.printer, trial.printer_revision),
            reference=reference,
            reference_trial=reference_trial,
            other_side=other,
            other_side_trial=other_trial,
            foretold=foretold,
        )
    )
    title = f"Verdict on trial {trial.id}: {trial.stock}, {trial.side} side"
    found = sides.find(trial, reading, other) if sides.is_given else None
    told = reference_document(foretold, verdict)
    if reference_trial is not None:
        told = {"kind": "print", "trial": reference_trial.id}
    return _outcome(verdict, reading, title, found, told)


def _foretold(profile: Path | None, of: ProfileOf, reading: Reading, trial: Trial | None) -> Foretold | None:
    if profile is None:
        return None
    return foretell(read_profile_file(profile), reading, trial=trial, of=of)


def reference_document(foretold: Foretold | None, verdict: Verdict) -> dict[str, Any] | None:
    """What the print was set beside, as plain data; None where it was nothing but the class's typical behaviour."""
    if foretold is None:
        return None
    return {
        "kind": "profile",
        "profile": foretold.description,
        "of": foretold.of,
        "intent": foretold.intent,
        "black_point_compensation": foretold.black_point_compensation,
        "assumed": foretold.assumed,
        "de00": foretold.reading.uncertainty.de00,
        "used": foretold.sentence in verdict.reasons,
    }


def _trial_and_reading(bench: Bench, name: str) -> tuple[Trial, Reading]:
    trial = bench.trials.get(name)
    return trial, bench.readings.latest(trial.id)


def _outcome(
    verdict: Verdict,
    reading: Reading,
    title: str,
    side: SideFinding | None = None,
    reference: dict[str, Any] | None = None,
) -> Outcome:
    told = document(verdict, reading) | {"reference": reference}
    if side is not None:
        told["side"] = {**asdict(side), "reasons": list(side.reasons)}
    return Outcome(told, verdict_page(verdict, title, side.reasons if side is not None else ()))


@dataclass(frozen=True)
class SideEvidence:
    """What was said of the card's sides on the command line."""

    other_side: str | None
    drag_this_side: Drag | None
    drag_other_side: Drag | None

    @property
    def is_given(self) -> bool:
        return any(one is not None for one in (self.other_side, self.drag_this_side, self.drag_other_side))

    def require(self, trial: Trial, other: Trial) -> None:
        """Raises BadRequest where the other trial is not the other side of the same card on the same printer."""
        if not same_card_other_side(trial, other):
            raise BadRequest(
                f"{other.id} is {other.stock}, {other.side} side, on {other.printer}: not the other side of {trial.id}",
                f"name a trial of {trial.stock} on {trial.printer}, printed on the other side",
            )

    def find(self, trial: Trial, reading: Reading, other: Reading | None) -> SideFinding:
        """The printable side."""
        front = trial.side == "front"
        readings = (reading, other) if front else (other, reading)
        drags = (self.drag_this_side, self.drag_other_side)
        on_front, on_back = drags if front else drags[::-1]
        return find_side(*readings, drag_front=on_front, drag_back=on_back)


def document(verdict: Verdict, reading: Reading) -> dict[str, Any]:
    """The verdict as plain data: bare measures; their uncertainties and methods under the same names."""
    plain = verdict.model_dump(mode="json")
    measures = plain.pop("measures")
    paper = verdict.measures.get("paper_lab")
    white = paper.value if paper is not None and isinstance(paper.value, tuple) else None
    return {
        "verdict": plain.pop("id"),
        **plain,
        "source": reading.source_name,
        "measures": {name: measure["value"] for name, measure in measures.items()},
        "units": {name: measure["unit"] for name, measure in measures.items()},
        "uncertainties": {name: measure["sd"] for name, measure in measures.items()},
        "methods": {name: measure["method"] for name, measure in measures.items()},
        "paper": {"tint": tint_words(white), "classes": list(paper_classes(white))} if white else None,
    }
