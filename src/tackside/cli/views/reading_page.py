"""How a reading looks on the terminal: in ten lines, or whole with where the print fell and what was measured."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from tackside.cli.views import facts
from tackside.cli.views.facts import LineEach, Row, TenLines, laid_out
from tackside.records import Attribute, Placement, Reading, Trial

LABELS = {
    "line_gain": "Lines grew by",
    "line_blurriness": "Blurriness of lines",
    "line_raggedness": "Raggedness of lines",
    "line_contrast": "Contrast of lines",
}
_KINDS = {"scan": "scan", "instrument": "instrument file", "photo": "photograph", "eye": "answers by eye"}


def reading_lines(reading: Reading, trial: Trial) -> TenLines:
    """What was read, how far to trust it and what comes next, in ten lines; what makes it unfit before the rest."""
    sources = ", ".join((reading.source_name, *(source.name for source in reading.further_sources)))
    told = f"{_KINDS[reading.kind]} {sources}"
    if reading.kind != "eye":
        told = f"{len(reading.patches)} of {len(trial.sheet.patches)} patches, from {told}"
    trust = reading.uncertainty
    rows: list[Row] = [
        ("Read", told),
        ("Trust", f"colours to ± {trust.de00:g} ΔE00: {trust.basis}"),
        ("Next", "Judge it."),
        ("", f"tackside judge {trial.id}"),
    ]
    unfit = {flaw.code for flaw in reading.flaws}
    notices = sorted(reading.notices, key=lambda notice: notice.code not in unfit)
    placed = _placement(reading.placement) if reading.placement is not None else []
    more: list[Row] = [("Mind", str(notice)) for notice in notices]
    more[1:1] = [(label, value) for label, value in placed[:1] if isinstance(value, str)]
    title = f" Reading of trial {trial.id}: {trial.stock}, {trial.side} side, on {trial.printer}"
    return TenLines(
        Text(title, style="bold"), rows, more, "--full shows where the print fell, and all that was read"
    )


def reading_page(reading: Reading, trial: Trial) -> Group:
    """The whole reading but for its patches, ready to print."""
    sources = ", ".join((reading.source_name, *(source.name for source in reading.further_sources)))
    rows: list[tuple[str, RenderableType | None]] = [
        ("Trial", f"{trial.id}: {trial.stock}, {trial.side} side, on {trial.printer}"),
        ("From", f"{_KINDS[reading.kind]} {sources}"),
        ("Device", reading.device),
        ("Patches", f"{len(reading.patches)} of {len(trial.sheet.patches)}"),
    ]
    if reading.kind in ("scan", "photo"):
        rows.append(("Colour profile", reading.profile or "none, sRGB assumed"))
    else:
        rows.append(("Condition", reading.condition))
    if reading.placement is not None:
        rows += _placement(reading.placement)
    rows += [(_label(name), _figure(one)) for name, one in reading.attributes.items()]
    trust = reading.uncertainty
    rows.append(
        ("Uncertainty of colours", f"± {trust.de00:g} ΔE00 (one standard uncertainty): {trust.basis}")
    )
    parts: list[RenderableType] = [facts.facts(rows)]
    if reading.notices:
        parts += ["", facts.sentences(reading.notices, "!", "yellow")]
    parts += ["", f"Next: tackside judge {trial.id}"]
    return facts.page(f"Reading {reading.id}", *parts)


def readings_page(readings: Sequence[tuple[Reading, Trial]], *, full: bool) -> RenderableType:
    """Several readings, a line each and the next command; ``full``: each whole."""
    if not readings:
        return Text("  Nothing was read.")
    if full:
        return Group(*(reading_page(reading, trial) for reading, trial in readings))
    rows = [
        (
            trial.id,
            trial.stock if trial.side == "front" else f"{trial.stock}, {trial.side}",
            f"{len(reading.patches)} of {len(trial.sheet.patches)} patches",
            f"± {reading.uncertainty.de00:g} ΔE00" + (", with flaws" if reading.flaws else ""),
        )
        for reading, trial in readings
    ]
    title = Text(f" {len(readings)} readings" if len(readings) > 1 else " 1 reading", style="bold")
    then: list[Row] = [
        ("Next", "Judge them." if len(readings) > 1 else "Judge it."),
        ("", " ".join(("tackside judge", *(trial.id for _, trial in readings)))),
    ]
    if any(reading.flaws for reading, _ in readings):
        then.insert(0, ("Mind", "--full says what the flaws are"))
    return Group(title, LineEach(rows), Padding(laid_out(then), (0, 1)))


def _placement(placement: Placement) -> list[tuple[str, RenderableType | None]]:
    turned, shift = placement.rotation_deg, placement.offset_mm
    return [
        ("Scale", f"{100 * placement.scale_x:.2f} % across, {100 * placement.scale_y:.2f} % along the feed"),
        ("Turned on the sheet", None if turned is None else f"{turned:+.2f}° clockwise"),
        (
            "Shifted on the sheet",
            None if shift is None else f"{shift[0]:+.2f} mm to the right, {shift[1]:+.2f} mm down",
        ),
        ("Marks", f"{placement.marks_found} found, {placement.residual_um:.0f} µm off a flat sheet"),
    ]


def _label(name: str) -> str:
    """``line_gain_vertical`` in words."""
    kind, _, direction = name.rpartition("_")
    if kind in LABELS:
        return f"{LABELS[kind]}, {direction}"
    return name.replace("_", " ").capitalize()


def _figure(attribute: Attribute) -> str:
    unit = "" if attribute.unit == "1" else f" {attribute.unit}"
    digits = 0 if attribute.unit == "µm" else 2
    spread = "" if attribute.sd is None else f" ± {attribute.sd:.{digits}f}"
    return f"{attribute.value:.{digits}f}{spread}{unit}"
