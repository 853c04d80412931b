"""A finding: one thing about a picture that matters before it is printed, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tackside.messages.message import Message

# stop: it cannot be printed as it is; mend: it will show in the print; note: good to know.
Severity = Literal["stop", "mend", "note"]
SEVERITIES: tuple[Severity, ...] = ("stop", "mend", "note")


@dataclass(frozen=True)
class PictureFinding:
    """``id`` is a name that stays. ``figure`` is the number behind the finding, in ``unit``, None where there is none.

    ``message`` is a fault: what is the matter, and what to do about it.
    """

    id: str
    severity: Severity
    message: Message
    figure: float | None = None
    unit: str | None = None


def percent(share: float) -> Message:
    """A share of 0 to 1 for people."""
    if 0 < share < 0.0005:
        return Message("picture.share-tiny", share=share)
    return Message("picture.share" if share >= 0.1 else "picture.share-small", share=share)


def worst_first(findings: list[PictureFinding]) -> tuple[PictureFinding, ...]:
    return tuple(sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity)))
