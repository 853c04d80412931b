"""The fit for people: the sheet beside its facts, the post, then what to mind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tackside.cli.views import facts
from tackside.cli.views.sheet_diagram import sheet_diagram
from tackside.fit.model import Envelope, FullFit, PanelMargins, PostCheck

FOLDS = {
    "flat": "flat, no fold",
    "side": "folds at the side",
    "top": "folds at the top",
    "gate": "gate fold, two wings",
    "accordion": "accordion in three",
    "roll": "roll fold, with a flap inside",
    "quarter": "quarter fold",
    "other": "creases of its own",
}


def fit_page(found: FullFit) -> RenderableType:
    rows = facts.facts(
        [
            ("Feed", found.feed or Text("none takes it", style="bold red")),
            ("Way round", str(found.way_round)),
            ("Open sheet", _named(facts.size(found.size_mm), found.size_name)),
            ("Page size", f"custom, {found.custom_size}" if found.custom_size else found.size_name),
            ("Print reaches", _reach(found)),
            *([("Equal borders", _equal_borders(found.folded_margins))] if not found.borderless else []),
            (
                "Folded card",
                f"{_named(facts.size(found.folded_size_mm), found.folded_size_name)}, {FOLDS[found.fold]}",
            ),
            ("Thickness", facts.figure(found.thickness_mm, "mm when folded")),
            ("Mass", facts.figure(found.mass_g, "g")),
            ("Envelope", _envelopes(found.envelopes)),
        ]
    )
    parts: list[RenderableType] = [_beside(sheet_diagram(found), rows), ""]
    if found.warnings:
        parts += [facts.sentences(found.warnings, "!", "bold yellow"), ""]
    if found.borderless_ways:
        ways = [way.sentence for way in found.borderless_ways]
        parts += [Text("To print to the edge", style="bold"), facts.sentences(ways, "→", "dim"), ""]
    if found.post:
        parts += [Text("As a letter", style="bold"), *_letters(found), ""]
    parts.append(facts.sentences(found.notes, "·", "dim"))
    return facts.page(f"{found.stock} on {found.printer}", *parts)


def _beside(left: RenderableType, right: RenderableType) -> Table:
    table = Table.grid(padding=(0, 3), expand=False)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1, vertical="middle")
    table.add_row(left, right)
    return table


def _named(words: str, name: str | None) -> str:
    return f"{words}, {name}" if name else words


def _reach(found: FullFit) -> str:
    if found.borderless:
        grows = (
            "by an unknown amount" if found.enlargement_mm is None else f"{found.enlargement_mm:g} mm an edge"
        )
        return f"every edge (borderless, the image grows {grows})"
    margins = found.margins_mm
    assumed = ", a safe guess" if found.margins_assumed else ""
    return (
        f"all but {margins.top:g} mm at the top, {margins.bottom:g} mm at the bottom, {margins.left:g} mm "
        f"left, {margins.right:g} mm right{assumed}"
    )


def _equal_borders(margins: tuple[PanelMargins, ...]) -> str:
    widths = {each.equal_border_mm for each in margins}
    if len(widths) == 1:
        return f"{widths.pop():g} mm or more, on each panel"
    return ", ".join(f"{each.panel} {each.equal_border_mm:g} mm or more" for each in margins) or "none"


def _envelopes(envelopes: tuple[Envelope, ...]) -> RenderableType:
    if not envelopes:
        return "none of the common ones"
    lines: list[RenderableType] = []
    for envelope in envelopes:
        lines.append(Text(f"{envelope.name}, {facts.size(envelope.size_mm)}"))
        if envelope.remark:
            lines.append(Padding(Text(str(envelope.remark), style="dim"), (0, 0, 0, 2)))
    return Group(*lines)


def _letters(found: FullFit) -> list[RenderableType]:
    letter = found.mailed
    if letter is None:
        return []
    mass = facts.figure(letter.mass_g, "g") or "mass not known"
    thickness = facts.figure(letter.thickness_mm, "mm") or "thickness not known"
    head = f"{letter.envelope}, {facts.size(letter.size_mm)}, {thickness}, {mass}"
    return [
        Text(head),
        facts.sentences(_countries(found.post), "·", "dim"),
        Text(
            "Limits change: your local post decides. Your own limits and envelopes go into post.toml in the bench "
            "folder.",
            style="dim",
        ),
    ]


def _countries(checks: Iterable[PostCheck]) -> Iterator[str]:
    """A line a country: the smallest letter that it goes as; where that is not the first, why not as the first."""
    for _, found in groupby(checks, lambda each: each.country):
        services = tuple(found)
        goes = next((each for each in services if each.goes), None)
        if goes is None:
            yield "; ".join(_letter(each) for each in services)
        elif goes is services[0]:
            yield _letter(goes)
        else:
            yield f"{_letter(goes)}; not as {services[0].service}: {'; '.join(map(str, services[0].reasons))}"


def _letter(check: PostCheck) -> str:
    verdict = "goes" if check.goes else "does not go"
    why = "; ".join(map(str, (*check.reasons, *([check.surcharge] if check.surcharge else []))))
    unchecked = f"; its {' and '.join(check.unchecked)} could not be checked" if check.unchecked else ""
    said = f"{check.country}, {check.service}: {verdict}{': ' if why else ''}{why}{unchecked}"
    return f"{said} (noted {check.noted:%Y-%m-%d})"
