"""Which side of a card takes ink, by all that the bench knows of either."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERTIP
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.records import Reading, Stock, Trial
from tackside.records.sheet_plan import Side
from tackside.verdict.sides import Drag, SideFinding, drags_answered, find_side
from tackside.workflow.practice.guard import require_real

SIDES: tuple[Side, Side] = ("front", "back")
Named = tuple[str | None, str | None]
Drags = tuple[Drag | None, Drag | None]


@dataclass(frozen=True)
class KnownSide:
    """What is known of one side: its reading of colours, the newest answers by eye, what a damp finger found."""

    trial: Trial | None = None
    reading: Reading | None = None
    answers: Reading | None = None
    drag: Drag | None = None


@dataclass(frozen=True)
class FoundSide:
    """Which side takes ink, and what it was told by: ``front`` and ``back``."""

    stock: Stock
    finding: SideFinding
    front: KnownSide
    back: KnownSide

    @property
    def by_prints(self) -> bool:
        """Whether a print was read, on either side; else a damp finger told alone."""
        return self.front.reading is not None or self.back.reading is not None


def printable_side(
    bench: Bench, stock: str, *, trials: Named = (None, None), drags: Drags = (None, None)
) -> FoundSide:
    """The side of a stock that takes ink, both, or neither.

    ``trials`` and ``drags`` are of front and back: by default the newest trials that were read, and what answers by
    eye say of the finger. Where the two sides were not read alike, an older pair that was is taken if there is one.
    Raises NotFound where nothing is known, BadRequest for a trial of another side.

    >>> printable_side(bench, "Plover Matt 230", drags=("yes", "no")).finding.printable
    'front'
    """
    card = bench.stocks.get(stock)
    front, back = _known(bench, card.name, trials)
    told = drags_answered(front.answers, back.answers)
    on_front, on_back = drags[0] or told[0], drags[1] or told[1]
    if front.reading is None and back.reading is None and on_front is None and on_back is None:
        raise NotFound("judge.sides-unknown", stock=card.name, caution=DAMP_FINGERTIP)
    found = find_side(front.reading, back.reading, drag_front=on_front, drag_back=on_back)
    return FoundSide(
        card,
        found,
        KnownSide(front.trial, front.reading, front.answers, on_front),
        KnownSide(back.trial, back.reading, back.answers, on_back),
    )


def _known(bench: Bench, stock: str, named: Named) -> tuple[KnownSide, KnownSide]:
    """Each side's newest reading, of a pair that was read alike where there is one."""
    read: dict[str, list[tuple[Trial, Reading]]] = {side: [] for side in SIDES}
    answers: dict[str, Reading] = {}
    for trial in _trials(bench, stock, named):
        for reading in bench.readings.list(trial.id):
            if reading.kind == "eye":
                answers[trial.side] = reading
            else:
                read[trial.side].append((trial, reading))
    newest = {side: sorted(each, key=lambda one: one[1].made_at, reverse=True) for side, each in read.items()}
    pairs = [
        (one, other)
        for one in newest["front"]
        for other in newest["back"]
        if one[1].is_read_like(other[1]) and one[0].printer == other[0].printer
    ]
    chosen: dict[str, tuple[Trial, Reading]] = {side: each[0] for side, each in newest.items() if each}
    if pairs:
        chosen = dict(zip(SIDES, pairs[0], strict=True))
    front, back = (_side(chosen.get(side), answers.get(side)) for side in SIDES)
    return front, back


def _side(chosen: tuple[Trial, Reading] | None, answers: Reading | None) -> KnownSide:
    trial, reading = chosen if chosen is not None else (None, None)
    return KnownSide(trial, reading, answers)


def _trials(bench: Bench, stock: str, named: Named) -> list[Trial]:
    trials = list(bench.trials.list(stock=stock))
    for side, name in zip(SIDES, named, strict=True):
        if name is None:
            continue
        trial = require_real(bench.trials.get(name))
        if (trial.stock, trial.side) != (stock, side):
            raise BadRequest(
                "judge.trial-of-another-side", trial=trial.id, other_stock=trial.stock, stock=stock,
                other_side=Message(f"fit.face-{trial.side}"), side=Message(f"fit.face-{side}"),
            )  # fmt: skip
        bench.readings.standing(trial.id)  # says what to do where it was not read yet
        trials = [each for each in trials if each.side != side or each.id == trial.id]
    return trials
