"""Judging a print: all that is known of it put together in one place, its verdict given and kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.records import Reading, Trial, Verdict
from tackside.records.verdict import ProfileOf, ThreeLines
from tackside.verdict.causes.weigh import same_card_other_side
from tackside.verdict.explain.head import head_of
from tackside.verdict.explain.words import paper_classes, tint_of
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Prediction
    from tackside.verdict.sides import Drag, SideFinding


@dataclass(frozen=True)
class Judged:
    """A verdict, what it was given on, and which side takes ink where anything was told of the other one.

    ``by_eye``: the verdict on answers by eye, which stands beside that on a scan or an instrument's reading.
    """

    verdict: Verdict
    known: KnownPrint
    side: SideFinding | None = None
    by_eye: Verdict | None = None

    @property
    def head(self) -> ThreeLines:
        """The verdict in three lines."""
        return three_lines(self.verdict, self.known.trial)

    @property
    def paper(self) -> tuple[str, tuple[str, ...]] | None:
        """The paper's tint and the classes of card that it may be of, by its measured white; None without one."""
        measured = self.verdict.measures.get("paper_lab")
        if measured is None or not isinstance(measured.value, tuple):
            return None
        return str(tint_of(measured.value)), tuple(str(each) for each in paper_classes(measured.value))

    @property
    def uses_profile(self) -> bool:
        """Whether the profile served as the reference: it does not where the reading's colours are a scanner's own."""
        prediction = self.known.prediction
        return prediction is not None and self.known.reading.is_read_like(prediction.reading)


def three_lines(verdict: Verdict, trial: Trial | None) -> ThreeLines:
    """What the print is good for, why, and the one thing to do next; ``trial``: None for a bare file."""
    head = head_of(verdict, trial)
    if trial is None or not trial.practice:
        return head
    # No card is to be made, and no sheet printed, on the strength of a practice print.
    then = Message("practice.then")
    return head.model_copy(update={"then": then, "does": then.code, "door": None})


def judge_print(
    bench: Bench,
    trial: str,
    *,
    reading: Reading | None = None,
    against: str | None = None,
    other_side: str | None = None,
    drag_this_side: Drag | None = None,
    drag_other_side: Drag | None = None,
    profile: Path | None = None,
    profile_of: ProfileOf = "class",
) -> Judged:
    """The verdict on a trial's reading, by default the one that stands, kept on the bench.

    Where that was measured, the newest answers by eye are judged beside it once, and kept apart. Of a trial's verdicts
    that on an instrument's reading stands before one on a scan, and this before one by eye.

    ``against``: a trial known to be good; for a photograph's reading by default the one that lay beside it.
    ``other_side``: a trial of the same sheet on the card's other side; with it,
    or with what a damp finger found on either side, the printable side is named too. ``profile``: a printer profile in
    place of a good print, of this very card or of its class; it is kept on the bench too. Raises NotFound,
    BadRequest, BadProfile.
    """
    known = known_print(
        bench, bench.trials.get(trial), reading, against=against, other_side=other_side, profile=profile,
        profile_of=profile_of,
    )  # fmt: skip
    verdict = keep_verdict(bench, judge(known), profile, profile_of)
    by_eye = None if reading is not None else answers_beside(bench, known.reading)
    return Judged(verdict, known, _printable_side(known, drag_this_side, drag_other_side), by_eye)


def answers_beside(bench: Bench, standing: Reading) -> Verdict | None:
    """The verdict on the newest answers by eye beside the reading that stands; it is given and kept where there was
    none. None where there are no answers beside it, or too few for a grade."""
    trial = standing.trial
    if trial is None or standing.kind == "eye":
        return None
    answers = next((each for each in reversed(bench.readings.list(trial)) if each.kind == "eye"), None)
    if answers is None:
        return None
    given = [each for each in bench.verdicts.list(trial) if each.reading == answers.id]
    if given:
        return given[-1]
    try:
        return bench.verdicts.add(judge(known_print(bench, bench.trials.get(trial), answers)))
    except BadRequest:  # too few answers
        return None


def said_by_eye(verdict: Verdict) -> Message:
    """What answers by eye say beside the verdict that stands."""
    grade = Message(f"verdict.grade.{verdict.grade}")
    return Message(
        "judge.by-eye-apart", reading=verdict.reading, grade=grade, cause=Message(f"cause.{verdict.cause}")
    )


def keep_verdict(bench: Bench, verdict: Verdict, profile: Path | None, profile_of: ProfileOf) -> Verdict:
    """The verdict as the bench keeps it, with the profile that it was given beside."""
    if profile is not None:
        kept = {"profile_sha256": bench.keep_file(profile), "profile_of": profile_of}
        verdict = verdict.model_copy(update=kept)
    return bench.verdicts.add(verdict)


def known_print(
    bench: Bench,
    trial: Trial,
    reading: Reading | None = None,
    *,
    against: str | None = None,
    other_side: str | None = None,
    profile: Path | None = None,
    profile_of: ProfileOf = "class",
) -> KnownPrint:
    """All that the bench knows of a print, and what is to stand beside it, as ``judge_print`` is asked for it."""
    if against and profile is not None:
        raise BadRequest("judge.two-references")
    reading = reading or bench.readings.standing(trial.id)
    if against is None and profile is None:
        against = _photographed_beside(bench, reading)
    reference = _beside(bench, against)
    if reference is not None and reference.trial is not None and reference.trial.id == trial.id:
        raise BadRequest("judge.against-itself", trial=trial.id)
    other = _beside(bench, other_side)
    beside = [each.trial for each in (reference, other) if each is not None and each.trial is not None]
    require_alike((trial, *beside))
    if other is not None and other.trial is not None and not same_card_other_side(trial, other.trial):
        raise BadRequest(
            "judge.not-the-other-side", trial=trial.id, stock=trial.stock, printer=trial.printer,
            other=other.trial.id, other_stock=other.trial.stock, other_side=Message(f"fit.face-{other.trial.side}"),
            other_printer=other.trial.printer,
        )  # fmt: skip
    return KnownPrint(
        reading,
        trial=trial,
        stock=bench.stocks.get(trial.stock, trial.stock_revision),
        reference=reference,
        other_side=other,
        prediction=_predicted(profile, profile_of, reading, trial),
    )


def _photographed_beside(bench: Bench, reading: Reading) -> str | None:
    """The trial whose print lay in the same photograph, unless it or its readings were withdrawn since."""
    if reading.beside is None:
        return None
    try:
        bench.trials.standing(reading.beside)
        bench.readings.standing(reading.beside)
    except (NotFound, BadRequest):
        return None
    return reading.beside


def judge_file(data: Path, *, profile: Path | None = None, profile_of: ProfileOf = "class") -> Judged:
    """The verdict on a bare instrument file, which belongs to no trial and is not kept. Raises BadInstrumentFile."""
    from tackside.reading.instrument.file import read_instrument_file

    reading = read_instrument_file(data)
    known = KnownPrint(reading, prediction=_predicted(profile, profile_of, reading, None))
    return Judged(judge(known), known)


def _beside(bench: Bench, trial: str | None) -> KnownPrint | None:
    """The reading of another trial that stands, to be set beside the one that is judged."""
    if not trial:
        return None
    found = bench.trials.get(trial)
    return KnownPrint(
        bench.readings.standing(found.id),
        trial=found,
        stock=bench.stocks.get(found.stock, found.stock_revision),
    )


def _predicted(
    profile: Path | None, of: ProfileOf, reading: Reading, trial: Trial | None
) -> Prediction | None:
    if profile is None:
        return None
    from tackside.profile.icc.files import read_profile_file  # only where a profile is asked
    from tackside.verdict.causes.by_profile import predict

    return predict(read_profile_file(profile), reading, trial=trial, of=of)


def _printable_side(known: KnownPrint, drag_here: Drag | None, drag_there: Drag | None) -> SideFinding | None:
    """Which side takes ink, where anything is known of the other one."""
    if known.other_side is None and drag_here is None and drag_there is None:
        return None
    from tackside.verdict.sides import find_side

    other = None if known.other_side is None else known.other_side.reading
    if known.trial is not None and known.trial.side == "back":
        return find_side(other, known.reading, drag_front=drag_there, drag_back=drag_here)
    return find_side(known.reading, other, drag_front=drag_here, drag_back=drag_there)


def require_alike(trials: Iterable[Trial]) -> None:
    """Practice stands beside practice only, real prints beside real ones. Raises BadRequest, which names both."""
    known = tuple(trials)
    practice = [each.id for each in known if each.practice]
    real = [each.id for each in known if not each.practice]
    if practice and real:
        raise BadRequest("practice.beside-real", practice=practice[0], real=real[0])
