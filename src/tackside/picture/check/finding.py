"""A finding: one thing about a picture that matters before it is printed, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

# stop: it cannot be printed as it is; mend: it will show in the print; note: good to know.
Severity = Literal["stop", "mend", "note"]
SEVERITIES: tuple[Severity, ...] = ("stop", "mend", "note")


@dataclass(frozen=True)
class Finding:
    """``id`` is a name that stays. ``figure`` is the number behind the finding, in ``unit``, None where there is none.

    ``message`` says what is the matter, ``mend`` what to do; both are plain words without a final full stop.
    """

    id: str
    severity: Severity
    message: str
    mend: str
    figure: float | None = None
    unit: str | None = None


def percent(share: float) -> str:
    """A share of 0 to 1 for people."""
    if 0 < share < 0.0005:
        return "under 0.1 %"
    return f"{100 * share:.0f} %" if share >= 0.1 else f"{100 * share:.1f} %"


def worst_first(findings: list[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity)))
