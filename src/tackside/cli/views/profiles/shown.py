"""What ``tackside profile show`` shows: the summary as JSON, as text and as a page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rich.console import RenderableType

from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest
from tackside.files.atomic import write_text
from tackside.messages.message import Message
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.icc.intents import IntentUse, TableUse
from tackside.profile.icc.summary import ProfileColours, ProfileSummary
from tackside.report import profile_words as words
from tackside.report.pages.profile_page import render_profile
from tackside.workflow.pictures.profiles import look_into

MARKS = {"wrong": ("✗", "red"), "doubtful": ("!", "yellow"), "note": ("·", "dim")}


def show(file: Path, page: Path | None) -> Outcome:
    """The outcome of the command; the page is written where one is asked for."""
    if page is not None and page.suffix.lower() not in (".html", ".htm"):
        raise BadRequest("profile.page-name", file=page.name)
    seen = look_into(file)
    summary, embedded = seen.summary, seen.embedded
    if page is not None:
        write_text(page, render_profile(summary, source=file.name, embedded=embedded))
    document = {
        "file": str(file),
        "embedded": embedded,
        **_document(summary),
        **({} if page is None else {"page": str(page)}),
    }
    return Outcome(document, _text(summary, page))


def _document(summary: ProfileSummary) -> dict[str, Any]:
    """Keys that have no value for this profile are null, so that scripts find them all."""
    header, colours = summary.header, summary.colours
    return {
        "description": summary.description,
        "class": header.profile_class,
        "colour_space": header.colour_space,
        "connection_space": header.connection_space,
        "version": ".".join(map(str, header.version)),
        "created": None if summary.created is None else summary.created.isoformat() + "Z",
        "size": summary.size,
        "header_intent": summary.header_intent,
        "unusable": None if summary.unusable is None else str(summary.unusable),
        "code": None if summary.unusable is None else summary.unusable.code,
        "values": None if summary.unusable is None else summary.unusable.as_data()["values"],
        **_colours(colours),
        "faults": [_fault(fault) for fault in summary.faults],
    }


def _colours(colours: ProfileColours | None) -> dict[str, Any]:
    if colours is None:
        keys = (
            "white_lab", "white_lab_relative", "black_lab", "black_lab_relative", "black_l", "gamut_volume",
            "gamut_method", "intents", "neutral", "smoothness",
        )  # fmt: skip
        return dict.fromkeys(keys)
    greys = colours.neutral
    return {
        "white_lab": _lab(colours.white.absolute),
        "white_lab_relative": _lab(colours.white.media_relative),
        "black_lab": _lab(colours.black.absolute),
        "black_lab_relative": _lab(colours.black.media_relative),
        "black_l": _lab(colours.black.absolute)[0],
        "gamut_volume": round(colours.gamut_volume),
        "gamut_method": colours.gamut_method,
        "intents": [_intent(use) for use in colours.intents],
        "neutral": {
            "asked": greys.asked,
            "level": [round(float(level), 4) for level in greys.level],
            "lab": [_lab(lab) for lab in greys.lab],
            "largest_cast": round(greys.largest_cast, 3),
        },
        "smoothness": {
            ramp.name: {"max": round(ramp.largest, 3), "rms": round(ramp.rms, 3)} for ramp in colours.ramps
        },
    }


def _intent(use: IntentUse) -> dict[str, Any]:
    return {
        "intent": use.intent,
        "to_colours": _table(use.to_colours),
        "to_device": None if use.to_device is None else _table(use.to_device),
        "round_trip_de00_median": None if use.round_trip_median is None else round(use.round_trip_median, 3),
        "round_trip_de00_p95": None if use.round_trip_p95 is None else round(use.round_trip_p95, 3),
    }


def _table(use: TableUse) -> dict[str, Any]:
    return {"tag": use.tag, "repeats": use.repeats, "same_data": use.exact}


def _fault(fault: ProfileFault) -> dict[str, Any]:
    return {"severity": fault.severity, "where": fault.where, "says": str(fault.says), **fault.says.as_data()}


def _lab(lab: Floats) -> list[float]:
    return [round(float(value), 2) + 0.0 for value in lab]  # + 0.0: no minus before a zero


def _text(summary: ProfileSummary, page: Path | None) -> RenderableType:
    rows: list[tuple[str, RenderableType | None]] = [
        _worded(label, value) for label, value in words.identity(summary)
    ]
    parts: list[RenderableType] = []
    if summary.colours is not None:
        rows += _colour_rows(summary.colours)
    elif summary.unusable is not None:
        rows.append(
            _worded(Message("profile.label.colours"), Message("profile.no-colours", reason=summary.unusable))
        )
    parts.append(facts.facts(rows))
    if summary.colours is not None:
        parts += [
            "",
            facts.listing(
                [str(each) for each in words.INTENT_HEADS],
                [[str(cell) for cell in row] for row in words.intent_rows(summary.colours.intents)],
            ),
        ]
    parts.append("")
    for severity, (mark, style) in MARKS.items():
        said = [f"{fault.says} ({fault.where})." for fault in summary.faults if fault.severity == severity]
        if said:
            parts.append(facts.sentences(said, mark, style))
    if not summary.faults:
        parts.append("No fault found against ISO 15076-1.")
    if page is not None:
        parts += ["", f"The page with plots is {page}."]
    return facts.page(summary.description, *parts)


def _colour_rows(colours: ProfileColours) -> list[tuple[str, RenderableType | None]]:
    told = {
        "white": words.tone(colours.white),
        "black": words.tone(colours.black),
        "gamut": words.gamut(colours),
        "greys": words.greys(colours.neutral),
        "smoothness": words.smoothness(colours.ramps),
    }
    return [_worded(Message(f"profile.label.{name}"), said) for name, said in told.items()]


def _worded(label: Message, value: Message | str | None) -> tuple[str, RenderableType | None]:
    return str(label), None if value is None else str(value)
