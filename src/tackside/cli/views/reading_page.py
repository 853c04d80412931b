"""How a reading looks on the terminal: what was found, where the print fell, how far to trust it."""

from __future__ import annotations

from rich.console import Group, RenderableType

from tackside.cli.views import facts
from tackside.records import Attribute, Placement, Reading, Trial

LABELS = {
    "line_gain": "Lines grew by",
    "line_blurriness": "Blurriness of lines",
    "line_raggedness": "Raggedness of lines",
    "line_contrast": "Contrast of lines",
}
_KINDS = {"scan": "scan", "instrument": "instrument file", "eye": "answers by eye"}


def reading_page(reading: Reading, trial: Trial) -> Group:
    """The whole reading but for its patches, ready to print."""
    sources = ", ".join((reading.source_name, *(source.name for source in reading.further_sources)))
    rows: list[tuple[str, RenderableType | None]] = [
        ("Trial", f"{trial.id}: {trial.stock}, {trial.side} side, on {trial.printer}"),
        ("From", f"{_KINDS[reading.kind]} {sources}"),
        ("Device", reading.device),
        ("Patches", f"{len(reading.patches)} of {len(trial.sheet.patches)}"),
    ]
    if reading.kind == "scan":
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
