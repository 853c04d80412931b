"""The data behind a report, for other programs: a trial's patches as CGATS.17 text, figures and patches as CSV.

CGATS.17 is ISO 28178; CSV is that of RFC 4180: commas, CRLF, quotes doubled, one line of headings.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tackside.report.entry import Entry

# What a spreadsheet would take for a formula when a cell begins with it.
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Attachment:
    """A file that goes with a report: a plain name, its media type, its bytes, and what it is in a few words."""

    name: str
    media_type: str
    data: bytes
    said: str


def attachments(entries: Sequence[Entry], labels: Sequence[str]) -> tuple[Attachment, ...]:
    """All data of some trials: two tables of all, and one CGATS file for each that has patches."""
    tables = (
        Attachment("figures.csv", "text/csv", figures_csv(entries, labels), "every figure of every card"),
        Attachment("patches.csv", "text/csv", patches_csv(entries, labels), "every patch of every card"),
    )
    read = [(entry, label) for entry, label in zip(entries, labels, strict=True) if entry.reading.patches]
    return tables + tuple(
        Attachment(
            f"{plain_name(entry.trial.id)}.txt", "text/plain", cgats_of(entry), f"the patches of {label}"
        )
        for entry, label in read
    )


def cgats_of(entry: Entry) -> bytes:
    """A reading as CGATS.17 text in ASCII: device RGB 0 to 255 where it is known, CIELAB D50 2°, ΔE*ab spread."""
    reading, patches = entry.reading, entry.reading.patches
    has_rgb, has_sd = all(each.rgb for each in patches), all(each.sd is not None for each in patches)
    fields = ["SAMPLE_ID"]
    fields += ["RGB_R", "RGB_G", "RGB_B"] if has_rgb else []
    fields += ["LAB_L", "LAB_A", "LAB_B"]
    fields += ["STDEV_DE"] if has_sd else []
    settings = entry.trial.settings
    said = (
        ("ORIGINATOR", "Tackside"),
        ("DESCRIPTOR", f"{entry.stock.name}, {entry.trial.side} side, trial {entry.trial.id}"),
        ("CREATED", f"{reading.made_at:%Y-%m-%d}"),
        ("MATERIAL", entry.stock.name),
        ("INSTRUMENTATION", reading.device or reading.kind),
        ("PRINT_CONDITIONS", f"{entry.printer.name}, {settings.media_setting or 'media setting not noted'}"),
    )
    lines = ["CGATS.17", *(f'{key}\t"{_ascii(value)}"' for key, value in said)]
    condition = f" ({reading.condition}, ISO 13655)" if reading.condition else ""
    lines.append(f'WEIGHTING_FUNCTION\t"D50, 2 degrees{condition}"')
    lines += [f"NUMBER_OF_FIELDS\t{len(fields)}", "BEGIN_DATA_FORMAT", "\t".join(fields), "END_DATA_FORMAT"]
    lines += [f"NUMBER_OF_SETS\t{len(patches)}", "BEGIN_DATA"]
    for patch in patches:
        cells = [f'"{_ascii(patch.name)}"']
        if has_rgb and patch.rgb is not None:
            cells += [f"{255 * value:.4f}" for value in patch.rgb]
        cells += [f"{value:.4f}" for value in patch.lab]
        if has_sd:
            cells.append(f"{patch.sd:.4f}")
        lines.append("\t".join(cells))
    lines.append("END_DATA")
    return ("\n".join(lines) + "\n").encode("ascii")


def figures_csv(entries: Sequence[Entry], labels: Sequence[str]) -> bytes:
    """One line for each figure: which trial, which measure, value, unit, one standard uncertainty, method."""
    head = (
        "card", "trial", "stock", "side", "printer", "media_setting", "comparable_with", "grade", "estimate", "cause",
        "measure", "value", "unit", "sd", "method",
    )  # fmt: skip
    lines: list[tuple[object, ...]] = []
    for entry, label in zip(entries, labels, strict=True):
        verdict, settings = entry.verdict, entry.trial.settings
        shared = (
            label, entry.trial.id, entry.stock.name, entry.trial.side, entry.printer.name,
            settings.media_setting or "", entry.reading.uncertainty.comparable_with, verdict.grade,
            "yes" if verdict.estimate else "no", verdict.cause,
        )  # fmt: skip
        for name, one in verdict.measures.items():
            if isinstance(one.value, tuple):
                for axis, value in zip("lab", one.value, strict=True):
                    lines.append((*shared, f"{name}_{axis}", value, one.unit, one.sd, one.method or ""))
            else:
                lines.append((*shared, name, one.value, one.unit, one.sd, one.method or ""))
        for name, attribute in entry.reading.attributes.items():
            lines.append((*shared, name, attribute.value, attribute.unit, attribute.sd, ""))
    return _csv(head, lines)


def patches_csv(entries: Sequence[Entry], labels: Sequence[str]) -> bytes:
    """One line for each patch: device RGB 0 to 1, CIELAB D50 2°, ΔE*ab spread inside it."""
    head = ("card", "trial", "patch", "rgb_r", "rgb_g", "rgb_b", "lab_l", "lab_a", "lab_b", "sd")
    return _csv(
        head,
        (
            (label, entry.trial.id, patch.name, *(patch.rgb or ("", "", "")), *patch.lab, patch.sd)
            for entry, label in zip(entries, labels, strict=True)
            for patch in entry.reading.patches
        ),
    )


def plain_name(text: str) -> str:
    """A name that is a file's on any system."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "card"


def _csv(head: Sequence[str], lines: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([_cell(value) for value in line] for line in lines)
    return text.getvalue().encode("utf-8")


def _cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, str) and value.startswith(_FORMULA):
        return f"'{value}"  # a name is a name, even in a spreadsheet
    return value


def _ascii(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text.replace("ß", "ss")).encode("ascii", "ignore").decode()
    return " ".join(plain.replace('"', "'").split())[:200]
