"""``tackside judge``: how good a print is, and why."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Literal

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder, faults_document
from tackside.cli.views.onward import command_for, commands
from tackside.cli.views.together_page import together_lines, together_page
from tackside.cli.views.verdict_page import verdict_lines, verdict_page
from tackside.errors import BadRequest
from tackside.messages.message import WITH_WORDS, Message
from tackside.messages.wording import documents, say_in_words
from tackside.records.verdict import ProfileOf
from tackside.workflow.judge import Judged, judge_file, judge_print, said_by_eye
from tackside.workflow.judge_together import JudgedTogether, judge_prints
from tackside.workflow.leading.next_steps import steps_after

Drag = Literal["yes", "no", "unsure"]


def judge(
    *trials: Annotated[
        str,
        Parameter(
            name="trial",
            help="Id of the trial, as printed on its sheet; of several, those printed in one way are judged together.",
        ),
    ],
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
        Parameter(help="Compare with what this printer profile predicts, where no good print is at hand."),
    ] = None,
    profile_of: Annotated[
        ProfileOf,
        Parameter(help="Whether the profile was made for this very card or for a card of its class."),
    ] = "class",
    full: Annotated[
        bool, Parameter(negative=(), help="Show everything: reasons, figures, causes, what else would tell.")
    ] = False,
) -> Outcome:
    """Say how good a print is, and why.

    The answer is three lines, with a little evidence: what the print is good for, why, and the one thing to do next;
    --full shows the rest.

    Judges the reading of a trial that stands (an instrument's before a scan before answers by eye, and of one kind the
    last) and keeps the verdict on the bench, or judges a bare instrument file. With a
    trial of the other side, or a damp-finger check, it also names the printable side.

    The print is compared with a reference: a good print (--against), a printer profile (--profile), or else what
    is typical of such card.

    Of several trials, those that share printer and settings are also judged together: one fault of the path behind them
    is told once, with what each print says of it, and the cards are compared with that fault taken into account.
    """
    if bool(trials) == (data is not None):
        raise BadRequest("judge.trial-or-file")
    if data is not None:
        if against is not None:
            raise BadRequest("judge.file-against")
        if (other_side, drag_this_side, drag_other_side) != (None, None, None):
            raise BadRequest("judge.file-sides")
        judged = judge_file(data, profile=profile, profile_of=profile_of)
        return _outcome(judged, f"Verdict on {data.name}", full=full)
    bench = Bench.open(bench_folder(), create=False)
    if len(set(trials)) > 1:
        if (other_side, drag_this_side, drag_other_side) != (None, None, None):
            raise BadRequest("judge.several-sides")
        several = judge_prints(bench, trials, against=against, profile=profile, profile_of=profile_of)
        if not several.judged:
            raise several.faults[0][1]
        return Outcome(
            together_document(several),
            together_page(several) if full else together_lines(several),
            faults=tuple(error for _, error in several.faults),
        )
    judged = judge_print(
        bench, trials[0], against=against, other_side=other_side,
        drag_this_side=drag_this_side, drag_other_side=drag_other_side, profile=profile, profile_of=profile_of,
    )  # fmt: skip
    on = judged.known.trial
    kind = "practice trial" if on is not None and on.practice else "trial"
    title = f"Verdict on {kind} {on.id}: {on.stock}, {on.side} side" if on else "Verdict"
    return _outcome(judged, title, full=full)


def together_document(found: JudgedTogether) -> dict[str, Any]:
    """Groups with what each print says, which stand alone, and each verdict as it is for one trial."""
    groups = []
    for group in found.groups:
        plain = group.model_dump(mode="json", context=WITH_WORDS)
        say_in_words(plain, "sentence")
        for one in plain["prints"]:
            say_in_words(one, "sentence")
            one["black_l"] = None if one["black_l"] is None else one["black_l"]["value"]
            for each in one["evidence"]:
                say_in_words(each, "sentence")
                say_in_words(each, "figure")
        groups.append(plain)
    alone = [one.model_dump(mode="json", context=WITH_WORDS) for one in found.alone]
    verdicts = [document(each) | {"reference": reference_document(each)} for each in found.judged]
    return {
        "groups": groups, "alone": alone, "verdicts": verdicts, "faults": faults_document(found.faults, "trial"),
    }  # fmt: skip


def _outcome(judged: Judged, title: str, *, full: bool) -> Outcome:
    side, by_eye, trial = judged.side, judged.by_eye, judged.known.trial
    told = document(judged) | {"reference": reference_document(judged)}
    said = side.reasons if side is not None else ()
    also = (said_by_eye(by_eye),) if by_eye is not None else ()
    shown: RenderableType
    if full:
        shown = verdict_page(judged.verdict, title, (*said, *also), trial)
    else:
        shown = verdict_lines(judged.verdict, title, trial, (*said, *also))
    if side is not None:
        told["side"] = {**asdict(side), "reasons": documents(side.reasons)}
    if by_eye is not None:
        told["by_eye"] = {
            "verdict": by_eye.id, "reading": by_eye.reading, "grade": by_eye.grade, "cause": by_eye.cause,
        }  # fmt: skip
    if trial is None or not trial.practice:
        return Outcome(told, shown)
    onward = commands(steps_after("practice-verdict", trial=trial))
    return Outcome({**told, "practice": True}, shown, (Message("practice.marked"),), onward=onward)


def reference_document(judged: Judged) -> dict[str, Any] | None:
    """What the print was set beside, as plain data; None where it was nothing but the class's typical behaviour."""
    reference, prediction = judged.known.reference, judged.known.prediction
    if reference is not None and reference.trial is not None:
        return {"kind": "print", "trial": reference.trial.id}
    if prediction is None:
        return None
    return {
        "kind": "profile",
        "profile": prediction.description,
        "of": prediction.of,
        "intent": prediction.intent,
        "black_point_compensation": prediction.black_point_compensation,
        "assumed": prediction.assumed,
        "de00": prediction.reading.uncertainty.de00,
        "used": judged.uses_profile,
    }


def _bare(card: dict[str, Any]) -> None:
    """Its measures as bare figures, like those of the print."""
    gamut = card["gamut"] or {"value": None, "sd": None}
    card |= {
        "black_l": card["black_l"]["value"],
        "gamut_thousands": gamut["value"],
        "gamut_sd": gamut["sd"],
    }
    del card["gamut"]


def document(judged: Judged) -> dict[str, Any]:
    """The verdict as plain data: bare measures; their uncertainties and methods under the same names."""
    verdict, paper = judged.verdict, judged.paper
    plain = verdict.model_dump(mode="json", context=WITH_WORDS)
    for holder in (*plain["rules"], *plain["evidence"], *plain["next_steps"]):
        say_in_words(holder, "sentence")
    for rule in plain["rules"]:
        say_in_words(rule, "source")
    for each in plain["evidence"]:
        say_in_words(each, "figure")
    for part in (plain["card"], plain["path"]):
        if part is not None:
            say_in_words(part, "sentence")
    if plain["card"] is not None:
        _bare(plain["card"])
    measures = plain.pop("measures")
    head, trial = judged.head, judged.known.trial
    return {
        "verdict": plain.pop("id"),
        "head": documents(head.lines),
        "then": {"does": head.does, "door": head.door, "command": command_for(head.door, trial)},
        **plain,
        "source": judged.known.reading.source_name,
        "measures": {name: measure["value"] for name, measure in measures.items()},
        "units": {name: measure["unit"] for name, measure in measures.items()},
        "uncertainties": {name: measure["sd"] for name, measure in measures.items()},
        "methods": {name: measure["method"] for name, measure in measures.items()},
        "paper": None if paper is None else {"tint": paper[0], "classes": list(paper[1])},
    }
