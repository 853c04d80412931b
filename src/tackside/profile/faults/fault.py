"""One fault, and how much it matters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tackside.messages.message import Message

Severity = Literal["wrong", "doubtful", "note"]
SEVERITIES: tuple[Severity, ...] = ("wrong", "doubtful", "note")
MEANS: dict[Severity, Message] = {
    "wrong": Message("profile-fault.means-wrong"),
    "doubtful": Message("profile-fault.means-doubtful"),
    "note": Message("profile-fault.means-note"),
}


@dataclass(frozen=True)
class ProfileFault:
    """``where`` is a tag's signature, ``header`` or ``list``; ``says`` is a sentence without a full stop."""

    severity: Severity
    where: str
    says: Message
