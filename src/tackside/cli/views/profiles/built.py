"""How a built profile looks at the terminal and in JSON: what it is, how good, and what to choose to print with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import RenderableType

from tackside.cli.session import Outcome
from tackside.cli.views import facts
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL, documents
from tackside.records.assets import ProfileQuality
from tackside.workflow.profiles.build import BuiltProfile
from tackside.workflow.profiles.told import instructions, quality_told


def outcome_of(built: BuiltProfile) -> Outcome:
    """What ``profile build`` and ``refine`` hand back."""
    own, card = built.own, built.own.evidence.card
    trial = own.evidence.trials[0] if own.evidence.trials else None
    steps = instructions(own.description, trial, own.evidence.media)
    told = {
        "file": str(built.file) if built.file else None,
        "description": own.description,
        "kept": built.kept.sha256 if built.kept else None,
        "card": None if card is None else {"stock": card.stock, "side": card.side, "printer": card.printer},
        "trials": list(own.evidence.trials),
        "readings": list(own.evidence.readings),
        **quality_document(own.quality),
        "notices": documents(own.notices),
        "to_print": documents(steps),
    }
    return Outcome(told, _text(built, steps))


def quality_document(quality: ProfileQuality) -> dict[str, Any]:
    """The figures for scripts; ``de00_*`` are those of the fit."""
    plain = quality.model_dump(mode="json")
    return {
        "de00_median": plain.pop("fit_median"),
        "de00_p95": plain.pop("fit_p95"),
        "roundtrip_median": plain.pop("round_trip_median"),
        "roundtrip_p99": plain.pop("round_trip_p99"),
        **plain,
    }


def quality_facts(quality: ProfileQuality, readings: int) -> RenderableType:
    return facts.facts(
        (TERMINAL.text(label), TERMINAL.text(told)) for label, told in quality_told(quality, readings)
    )


def _text(built: BuiltProfile, steps: Sequence[Message]) -> RenderableType:
    own = built.own
    notices: list[RenderableType] = (
        ["", facts.sentences(TERMINAL.texts(own.notices), "!", "yellow")] if own.notices else []
    )
    return facts.page(
        f"{own.description}: {built.file}",
        quality_facts(own.quality, own.evidence.count),
        *notices,
        "",
        TERMINAL.text(Message("own-profile.quality.drawn", file=str(built.file))),
        "",
        TERMINAL.text(Message("own-profile.use.head")),
        facts.sentences(TERMINAL.texts(steps), "•", "dim"),
    )
