"""How the figures of a proof are said."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from tackside.messages.wording import documents
from tackside.workflow.pictures.proof import Proofed

HEADS = ("intent", "bpc", "ΔE00", "p95", "hue", "dark", "vivid", "grey")


def document_of(found: Proofed, files: list[str]) -> dict[str, Any]:
    """What ``--json`` prints."""
    figures, advice = found.taken.figures, found.advice
    return {
        "picture": str(found.picture.path),
        "profile": found.card.profile_name,
        "card": found.card.name,
        "intent": found.taken.variant.intent,
        "bpc": found.taken.variant.bpc,
        "out_of_gamut": found.gamut.share,
        "out_of_gamut_de00": found.gamut.mean,
        "de00": {"mean": figures.de00_mean, "median": figures.de00_median, "p95": figures.de00_p95},
        "advice": {
            "intent": advice.variant.intent,
            "bpc": advice.variant.bpc,
            "why": str(advice.why),
            **advice.why.as_data(),
            "close": advice.close,
        },
        "intents": [
            {**asdict(each.variant), "cost": each.cost, **asdict(each.figures)} for each in found.weighed
        ],
        "white_lab": [float(value) for value in found.device.white_lab],
        "black_lab": [float(value) for value in found.device.black_lab],
        "files": files,
        "warnings": documents(found.warnings),
    }


def rows_of(found: Proofed) -> tuple[tuple[str, ...], ...]:
    """The figures of every way, in the order of HEADS."""
    return tuple(
        (
            each.variant.intent,
            "yes" if each.variant.bpc else "no",
            f"{each.figures.de00_mean:.1f}",
            f"{each.figures.de00_p95:.1f}",
            _or_dash(each.figures.hue_shift_deg, "{:.1f}°"),
            _or_dash(each.figures.lost_shadow, "{:.0%}"),
            _or_dash(each.figures.lost_saturated, "{:.0%}"),
            _or_dash(each.figures.grey_balance, "{:.1f}"),
        )
        for each in found.weighed
    )


def _or_dash(value: float | None, form: str) -> str:
    return "–" if value is None else form.format(value)
