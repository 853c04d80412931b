"""Which patches, lines or edges each reason of a verdict rests on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from tackside.messages.message import Message

PAPER = "paper"


@dataclass(frozen=True)
class EvidencePlaces:
    """Patches by their roles on the sheet (a role may end in ``*``), targets by their kind."""

    roles: frozenset[str] = field(default_factory=frozenset)
    targets: frozenset[str] = field(default_factory=frozenset)

    def holds(self, roles: Iterable[str]) -> bool:
        stems = tuple(role[:-1] for role in self.roles if role.endswith("*"))
        return any(role in self.roles or (stems and role.startswith(stems)) for role in roles)


def _of(*roles: str, targets: tuple[str, ...] = ()) -> EvidencePlaces:
    return EvidencePlaces(frozenset(roles), frozenset(targets))


# Rule of the verdict → what it was read from.
RULES: dict[str, EvidencePlaces] = {
    "black": _of("black", "solid-k"),
    "range": _of("white", "black"),
    "gamut": _of("white", "black", "solid-*"),
    "hues": _of("solid-c", "solid-m", "solid-y", "solid-r", "solid-g", "solid-b"),
    "greys": _of("grey"),
    "shadows": _of("shadow", "black"),
    "highlights": _of("highlight", "white"),
    "tone-order": _of("grey"),
    "true-size": _of(targets=("ruler",)),
    "lines": _of(targets=("line",)),
    "edges": _of(targets=("edge",)),
    "text": _of(targets=("text",)),
    "smudge": _of(targets=("smudge",)),
    PAPER: _of("white"),
}


# Code of the figure that a cause's evidence names → the reason whose patches, lines or edges it was read from.
FIGURES: dict[str, str] = {
    "evidence.figure.black": "black",
    "evidence.figure.middle-grey-lightness": "greys",
    "evidence.figure.middle-grey-a": "greys",
    "evidence.figure.middle-grey-b": "greys",
    "evidence.figure.solids-chroma": "gamut",
    "evidence.figure.line-growth": "lines",
    "evidence.figure.doubled-edges": "lines",
    "evidence.figure.size-error": "true-size",
}


# What the verdict says of the paper.
_OF_PAPER = ("measure.paper-white", "measure.paper-white-like")


def key_of_reason(said: Message) -> str:
    """The key in RULES of what a verdict's reason was read from; "" where that is no single thing."""
    if said.code in _OF_PAPER:
        return PAPER
    rule = said.value("rule")
    return rule if isinstance(rule, str) and rule in RULES else ""


def keys_of_patch(roles: Iterable[str]) -> tuple[str, ...]:
    """The reasons that a patch speaks for."""
    held = tuple(roles)
    return tuple(key for key, evidence in RULES.items() if evidence.holds(held))


def keys_of_target(kind: str) -> tuple[str, ...]:
    return tuple(key for key, evidence in RULES.items() if kind in evidence.targets)
