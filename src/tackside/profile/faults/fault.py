"""One fault, and how much it matters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["wrong", "doubtful", "note"]
SEVERITIES: tuple[Severity, ...] = ("wrong", "doubtful", "note")
MEANS: dict[Severity, str] = {
    "wrong": "against the standard: programs may differ in what they make of it, or colours will be off",
    "doubtful": "allowed or harmless to most programs, but hardly meant so",
    "note": "good to know",
}


@dataclass(frozen=True)
class Fault:
    """``where`` is a tag's signature, ``header`` or ``list``; ``says`` is a sentence without a full stop."""

    severity: Severity
    where: str
    says: str
