"""How prints judged together look on the terminal: the common fault in a sentence, then a line for each card."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.cli.views import facts
from tackside.cli.views.verdict_page import GRADE_STYLES
from tackside.records import Measure, Verdict
from tackside.records.together import PrintAmongOthers, PrintsTogether, StandsAlone
from tackside.workflow.judge import Judged
from tackside.workflow.judge_together import JudgedTogether

_LEAST = 0.02
_SPEAKS = {"for": "for it", "against": "against it", "neither": "says little"}


def together_lines(found: JudgedTogether) -> Group:
    """The common fault in a sentence, then a line for each print, the likeliest to be good first; what comes next."""
    judged = {one.known.trial.id: one for one in found.judged if one.known.trial}
    told = {one.trial: str(one.sentence) for group in found.groups for one in group.prints}
    ids = [*told, *(one.trial for one in found.alone)]
    rows = [
        (
            trial,
            _badge(judged[trial].verdict),
            _card(judged[trial]),
            told.get(trial) or str(judged[trial].head.why),
        )
        for trial in ids
    ]
    then = [
        *(("Shared", str(group.sentence)) for group in found.groups),
        ("Next", " ".join(("tackside report", *ids, "--out cards.html"))),
        ("More", "--full shows what each reading says; tackside judge TRIAL shows one verdict"),
    ]
    count = "1 trial" if len(ids) == 1 else f"{len(ids)} trials"
    title = Text(f" Verdicts on {count}", style="bold")
    return Group(title, facts.LineEach(rows), Padding(facts.laid_out(then), (0, 1)))


def _badge(verdict: Verdict) -> Text:
    return Text(f" {verdict.grade} ", GRADE_STYLES[verdict.grade])


def _card(one: Judged) -> str:
    trial = one.known.trial
    assert trial is not None
    return trial.stock if trial.side == "front" else f"{trial.stock}, {trial.side}"


def together_page(found: JudgedTogether) -> Group:
    """All groups and those that stand alone, with chances and factors."""
    verdicts = {judged.known.trial.id: judged.verdict for judged in found.judged if judged.known.trial}
    parts: list[RenderableType] = []
    for group in found.groups:
        parts += [*_group(group), ""]
    if found.alone:
        parts += [Text("Judged alone", style="dim"), _alone(found.alone, verdicts), ""]
    parts.append(Text("Each verdict by itself: tackside judge TRIAL", style="dim"))
    return facts.page(f"Verdicts on {len(found.judged)} trials", *parts)


def _group(group: PrintsTogether) -> Iterable[RenderableType]:
    yield Text(str(group.way), style="dim")
    yield Text(str(group.sentence), style="bold")
    yield ""
    yield facts.sentences(group.reasons, "•", "dim")
    yield _table(group.prints)
    yield Text("What each reading says of it", style="dim")
    yield Padding(_evidence(group.prints), (0, 0, 0, 1))
    yield ""
    yield _chances(group)


def _chances(group: PrintsTogether) -> RenderableType:
    likely = [(cause, chance) for cause, chance in group.faults.items() if chance >= _LEAST]
    told = ", ".join(
        f"{cause} {100 * chance:.0f} %" for cause, chance in sorted(likely, key=lambda it: -it[1])
    )
    return Text(
        f"Common to all: {told}. Together they count as {group.speaking:.1f} independent prints.", style="dim"
    )


def _table(prints: Iterable[PrintAmongOthers]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, header_style="dim", pad_edge=False)
    for head in ("Trial", "Card", "As printed", "Black L*", "With that fault taken into account"):
        table.add_column(
            head,
            overflow="fold",
            no_wrap=head == "Trial",
            justify="right" if head == "Black L*" else "left",
        )
    for one in prints:
        table.add_row(
            one.trial,
            one.stock if one.side == "front" else f"{one.stock}, back",
            Text(f" {one.grade} ", GRADE_STYLES[one.grade]),
            _black(one.black_l),
            str(one.sentence),
        )
    return table


def _black(black: Measure | None) -> str:
    return "" if black is None or isinstance(black.value, tuple) else f"{black.value:.1f}"


def _evidence(prints: Iterable[PrintAmongOthers]) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(no_wrap=True)
    table.add_column(no_wrap=True, style="cyan")
    table.add_column(ratio=1)
    for one in prints:
        said = [str(each.sentence) for each in one.evidence]
        factor = 10**one.weight
        shown = f" (× {factor:.0f})" if factor >= 10 else f" (× {factor:.2g})"
        table.add_row(one.trial, _SPEAKS[one.speaks] + shown, Text("\n".join(said)))
    return table


def _alone(alone: Iterable[StandsAlone], verdicts: Mapping[str, Verdict]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column()
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for one in alone:
        verdict = verdicts[one.trial]
        grade = Text(f" {verdict.grade} ", GRADE_STYLES[verdict.grade])
        table.add_row(one.trial, one.stock, grade, Text(str(one.why)))
    return table
