"""Judging a print: all that is known of it put together in one place, its verdict given and kept."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records import Reading, Trial, Verdict
from tackside.records.verdict import ProfileOf
from tackside.verdict.causes.weigh import comparable, same_card_other_side
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tackside.verdict.measures.paper import paper_classes, tint_of

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Prediction
    from tackside.verdict.sides import Drag, SideFinding


@dataclass(frozen=True)
class Judged:
    """A verdict, what it was given on, and which side takes ink where anything was told of the other one."""

    verdict: Verdict
    known: KnownPrint
    side: SideFinding | None = None

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
        return prediction is not None and comparable(self.known.reading, prediction.reading)


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
    """The verdict on a trial's reading, by default its newest, kept on the bench.

    ``against``: a trial known to be good. ``other_side``: a trial of the same sheet on the card's other side; with it,
    or with what a damp finger found on either side, the printable side is named too. ``profile``: a printer profile in
    place of a good print, of this very card or of its class; it is kept on the bench too. Raises NotFound,
    BadRequest, BadProfile.
    """
    known = known_print(
        bench, bench.trials.get(trial), reading, against=against, other_side=other_side, profile=profile,
        profile_of=profile_of,
    )  # fmt: skip
    verdict = judge(known)
    if profile is not None:
        kept = {"profile_sha256": bench.keep_file(profile), "profile_of": profile_of}
        verdict = verdict.model_copy(update=kept)
    verdict = bench.verdicts.add(verdict)
    return Judged(verdict, known, _printable_side(known, drag_this_side, drag_other_side))


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
    reading = reading or bench.readings.latest(trial.id)
    reference = _beside(bench, against)
    if reference is not None and reference.trial is not None and reference.trial.id == trial.id:
        raise BadRequest("judge.against-itself", trial=trial.id)
    other = _beside(bench, other_side)
    if other is not None and other.trial is not None and not same_card_other_side(trial, other.trial):
        raise BadRequest(
            "judge.not-the-other-side", trial=trial.id, stock=trial.stock, printer=trial.printer,
            other=other.trial.id, other_stock=other.trial.stock, other_side=Message(f"panel.{other.trial.side}"),
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


def judge_file(data: Path, *, profile: Path | None = None, profile_of: ProfileOf = "class") -> Judged:
    """The verdict on a bare instrument file, which belongs to no trial and is not kept. Raises BadInstrumentFile."""
    from tackside.reading.instrument.file import read_instrument_file

    reading = read_instrument_file(data)
    known = KnownPrint(reading, prediction=_predicted(profile, profile_of, reading, None))
    return Judged(judge(known), known)


def _beside(bench: Bench, trial: str | None) -> KnownPrint | None:
    """The newest reading of another trial, to stand beside the one that is judged."""
    if not trial:
        return None
    found = bench.trials.get(trial)
    return KnownPrint(
        bench.readings.latest(found.id),
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
