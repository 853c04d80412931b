"""How a verdict looks on the terminal: three lines with a little evidence; in full the reasons, figures and causes."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.cli.views import facts
from tackside.cli.views.facts import Row, TenLines, laid_out
from tackside.cli.views.onward import command_for
from tackside.messages.message import Message
from tackside.records import Trial
from tackside.records.verdict import Cause, Grade, Measure, ThreeLines, Verdict
from tackside.verdict.explain.words import cause_named
from tackside.workflow.judge import three_lines

GRADE_STYLES: dict[Grade, str] = {
    "sell": "bold black on green",
    "send": "bold black on cyan",
    "draft": "bold black on yellow",
    "reject": "bold white on red",
}
LABELS = {
    "paper_lab": "Paper white, L*a*b*",
    "black_l": "Black",
    "dmax": "Dmax",
    "l_range": "Lightness range",
    "gamut_volume": "Gamut volume",
    "gamut_hull": "  by the convex hull",
    "gamut_corners": "  by its eight corners",
    "path_gamut": "  by all its colours",
    "chroma_c": "Chroma, cyan",
    "chroma_m": "Chroma, magenta",
    "chroma_y": "Chroma, yellow",
    "chroma_r": "Chroma, red",
    "chroma_g": "Chroma, green",
    "chroma_b": "Chroma, blue",
    "grey_balance_mean": "Grey balance, mean",
    "grey_balance_max": "Grey balance, worst",
    "shadow_opens_at": "Shadows open at",
    "shadow_steps": "Steps near black",
    "highlight_steps": "Steps near white",
    "reversals": "Reversed steps",
    "line_gain": "Growth of lines",
    "size_error": "Off true size",
    "share_l_range": "Range beside reference",
    "share_chroma": "Chroma beside reference",
    "share_gamut_volume": "Volume beside reference",
}
_DIGITS = {"D": 2, "device": 2, "share": 2, "ΔE³": 0, "steps": 0}
_UNITS = {"share": "", "CIELAB": "", "steps": "", "device": "device, 0 to 1"}
_BAR_CELLS = 24
_LEAST_BAR = 0.02
# What the first line says already.
_ESTIMATES = ("verdict.from-a-scan", "verdict.from-a-photo", "verdict.by-eye")
_FOR_ALL = "--full shows all reasons and figures, and what else would tell"


def verdict_lines(
    verdict: Verdict, title: str, trial: Trial | None, said: Sequence[Message] = ()
) -> TenLines:
    """The verdict in ten lines; ``said``: what else is said of the print, such as which side takes ink."""
    head = three_lines(verdict, trial)
    asked = [one for one in verdict.notices if one.code.startswith("verdict.contradicts.")]
    more: list[Row] = [
        *(("Also", str(one)) for one in (*said, *asked)),
        *(("Seen", str(one)) for _, one in head.seen),
        *(("Mind", str(one)) for one in verdict.notices if one not in asked and one.code not in _ESTIMATES),
    ]
    named = Text.assemble(_badge(verdict), " ", (title, "bold"))
    return TenLines(named, _head(head, trial), more, _FOR_ALL)


def verdict_page(
    verdict: Verdict, title: str, side: Sequence[Message] = (), trial: Trial | None = None
) -> Group:
    """The whole verdict, ready to print; ``side``: what the side finder says."""
    reasons = verdict.reasons[1:]  # the first is the grade
    head = three_lines(verdict, trial)
    apart = [part.sentence for part in (verdict.card, verdict.path) if part is not None]
    told_apart: list[RenderableType] = [facts.sentences(apart, "▸", "bold"), ""] if apart else []
    parts: list[RenderableType] = [
        _badge(verdict),
        "",
        laid_out(_head(head, trial)),
        "",
        *told_apart,
        facts.sentences(reasons, "•", "dim"),
        *_measured(verdict.measures),
        *_headed("Likely causes", _causes(verdict.causes)),
    ]
    if verdict.evidence:
        spoken = [f"{one.sentence} (× {10**one.weight:.2g})" for one in verdict.evidence]
        parts += _headed("What speaks for and against them", facts.sentences(spoken, "•", "dim"))
    if head.steps:
        steps = [step.sentence for step in head.steps]
        parts += _headed(
            "What else would tell, that which settles most for its cost first",
            facts.sentences(steps, "→", "cyan"),
        )
    if side:
        parts += _headed("Which side takes ink", facts.sentences(side, "•", "dim"))
    if verdict.notices:
        parts += _headed("To bear in mind", facts.sentences(verdict.notices, "!", "yellow"))
    return facts.page(title, *parts)


def _badge(verdict: Verdict) -> Text:
    return Text(f" {verdict.grade} ", style=GRADE_STYLES[verdict.grade])


def _head(head: ThreeLines, trial: Trial | None) -> list[Row]:
    """The three lines, and the command that begins what the third says."""
    command = command_for(head.door, trial)
    return [
        ("", str(head.good_for)),
        ("Why", str(head.why)),
        ("Next", str(head.then)),
        *([("", command)] if command else []),
    ]


def _headed(head: str, body: RenderableType) -> list[RenderableType]:
    return ["", Text(head, style="dim"), Padding(body, (0, 0, 0, 1))]


def _measured(measures: dict[str, Measure]) -> list[RenderableType]:
    if not measures:
        return []
    return [
        *_headed("What was measured (± one standard uncertainty)", _measures(measures)),
        Padding(Text(_methods(measures), style="dim italic"), (0, 0, 0, 2)),
    ]


def _measures(measures: dict[str, Measure]) -> Table:
    table = Table(box=box.SIMPLE, show_header=False, pad_edge=False)
    table.add_column(no_wrap=True)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(justify="right", no_wrap=True, style="dim")
    table.add_column(style="dim", no_wrap=True)
    for name, label in LABELS.items():
        measure = measures.get(name)
        if measure is not None:
            table.add_row(label, _figure(measure), _spread(measure), _unit(measure))
    return table


def _methods(measures: dict[str, Measure]) -> str:
    """How the figures whose method can differ were found."""
    told = (("Black", "black_l"), ("Volume", "gamut_volume"), ("Greys", "grey_balance_mean"))
    return "; ".join(
        f"{label}: {found.method}" for label, name in told if (found := measures.get(name)) and found.method
    )


def _figure(measure: Measure) -> str:
    if isinstance(measure.value, tuple):
        return " ".join(f"{part:.1f}" for part in measure.value).replace("-", "−")
    return f"{measure.value:,.{_digits(measure)}f}".replace(",", " ")


def _spread(measure: Measure) -> str:
    return "" if not measure.sd else f"± {measure.sd:,.{_digits(measure)}f}".replace(",", " ")


def _unit(measure: Measure) -> str:
    return _UNITS.get(measure.unit, measure.unit)


def _digits(measure: Measure) -> int:
    return 0 if measure.of is not None else _DIGITS.get(measure.unit, 1)


def _causes(causes: dict[Cause, float]) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(no_wrap=True)
    table.add_column(no_wrap=True, width=_BAR_CELLS)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(style="dim")
    for cause, chance in sorted(causes.items(), key=lambda item: -item[1]):
        if chance >= _LEAST_BAR:
            bar = "█" * max(1, round(chance * _BAR_CELLS))
            table.add_row(cause, Text(bar, style="cyan"), f"{100 * chance:.0f} %", str(cause_named(cause)))
    return table
