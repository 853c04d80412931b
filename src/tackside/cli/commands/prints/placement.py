"""``tackside placement``: where prints fall on the sheet, and what output is corrected by."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Annotated, Any, Literal

from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.fit.placement.measured import UNMEASURED, MeasuredPlacement, Way
from tackside.workflow.placement import FoundPlacement, placement_of

CORNERS = ("top left", "top right", "bottom left", "bottom right")


def placement(
    stock: Annotated[str, Parameter(help="Name of the stock.")],
    printer: Annotated[str, Parameter(help="Name of the printer.")],
    *,
    feed: Annotated[str | None, Parameter(help="The feed used; by default the best one.")] = None,
    side: Annotated[Literal["front", "back"], Parameter(help="The side of the card to print.")] = "front",
) -> Outcome:
    """Show where prints land on the sheet, from the test sheets read back, and what output is corrected by.

    Each printer, feed, stock, side and orientation is measured separately. One test sheet gives the correction, three
    or more also give the spread of this printer.
    """
    found = placement_of(Bench.open(bench_folder(), create=False), stock, printer, feed=feed, side=side)
    return Outcome(document(found.way, found.measured, found.others), text(found))


def document(
    way: Way, found: MeasuredPlacement | None, others: Sequence[tuple[Way, MeasuredPlacement]]
) -> dict[str, Any]:
    """The placement as plain data; ``measured`` tells whether it is the printer's own or the trade's default."""
    return {
        "way": way.model_dump(mode="json"),
        "measured": found is not None,
        **_plain(found or UNMEASURED),
        "others": [{"way": other.model_dump(mode="json"), **_plain(measured)} for other, measured in others],
    }


def text(placed: FoundPlacement) -> RenderableType:
    """For people: the figures, where each corner falls, and what is left after correction."""
    fit, found, others = placed.fit, placed.measured, placed.others
    shown = found or UNMEASURED
    rows = [
        ("Way", _way(fit.feed or "", fit.side, fit.size_mm, borderless=fit.borderless)),
        ("Measured on", ", ".join(shown.trials) or "nothing yet"),
        *(_figures(shown) if found else []),
        (
            "Left over",
            f"{shown.residual_mm:.2f} mm at the worst corner, 95 prints in 100 within {shown.within_95_mm:.1f} mm",
        ),
        ("Safe border", f"{ceil(shown.safe_border_mm * 10) / 10:g} mm or more, and as far from a crease"),
    ]
    parts: list[RenderableType] = [facts.facts(rows), ""]
    if found:
        parts += [facts.listing(("corner of the sheet", "is printed", "and"), _corners(placed))]
        parts += [Text("card make takes this back. Test sheets are never corrected.", style="dim"), ""]
    parts.append(facts.sentences((shown.basis, *shown.notices), "·", "dim"))
    if found is None:
        other = " --side back" if fit.side == "back" else ""
        first = f'tackside sheet "{fit.stock}" "{fit.printer}"{other} --out sheet.tif: print at 100 %, scan, read.'
        parts.append(facts.sentences([first], "→", "dim"))
    if others:
        heads = ("other ways measured", "offset", "trials")
        parts += ["", facts.listing(heads, [_other(way, measured) for way, measured in others])]
    return facts.page(f"Placement of {fit.stock} on {fit.printer}", *parts)


def _plain(measured: MeasuredPlacement) -> dict[str, Any]:
    """Rounded to what means something: tenths of a micrometre, millionths of a scale."""
    return {
        name: _rounded(value)
        for name, value in measured.model_dump(mode="json").items()
        if name != "correction"
    } | {"correction": {"matrix": [list(row) for row in measured.correction.matrix]}}


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 6) + 0.0  # no minus zero
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    return value


def _figures(found: MeasuredPlacement) -> list[tuple[str, str]]:
    x, y = found.offset_mm
    spread = found.spread
    rows = [
        ("Offset", f"{_across(x)}, {_along(y)}"),
        ("Scale", f"{found.scale_x:.4f} across, {found.scale_y:.4f} along the feed"),
        ("Turn", f"{found.rotation_deg + 0.0:.2f}° clockwise, skew {found.skew_deg + 0.0:.2f}°"),
    ]
    if spread:
        rows.append(
            (
                "Spread",
                f"{spread.offset_mm[0]:.2f} and {spread.offset_mm[1]:.2f} mm, {spread.scale_x:.4f} and "
                f"{spread.scale_y:.4f}, {spread.rotation_deg:.2f}° (standard deviations)",
            )
        )
    if found.enlargement_mm:
        across, along = found.enlargement_mm
        rows.append(
            ("Enlargement", f"{_mm(across)} past the left and right edge, {_mm(along)} past top and bottom")
        )
    return rows


def _corners(found: FoundPlacement) -> list[tuple[str, str, str]]:
    return [
        (name, _across(right), _along(down))
        for name, (right, down) in zip(CORNERS, found.corner_shifts_mm, strict=True)
    ]


def _other(way: Way, measured: MeasuredPlacement) -> tuple[str, str, str]:
    x, y = measured.offset_mm
    return (
        _way(way.feed, way.side, way.size_mm, borderless=way.borderless),
        f"{_across(x)}, {_along(y)}",
        ", ".join(measured.trials),
    )


def _way(feed: str, side: str, size_mm: tuple[float, float], *, borderless: bool) -> str:
    return f"feed {feed}, {side} printed, {facts.size(size_mm)}, {'borderless' if borderless else 'with margins'}"


def _across(shift: float) -> str:
    return f"{_mm(abs(shift))} too far {'left' if shift < 0 else 'right'}"


def _along(shift: float) -> str:
    return f"{_mm(abs(shift))} too {'high' if shift < 0 else 'low'}"


def _mm(length: float) -> str:
    return f"{round(length, 2) + 0.0:.2f} mm"
