"""Which patches, lines or edges each reason of a verdict rests on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

PAPER = "paper"


@dataclass(frozen=True)
class Evidence:
    """Patches by their roles on the sheet (a role may end in ``*``), targets by their kind."""

    roles: frozenset[str] = field(default_factory=frozenset)
    targets: frozenset[str] = field(default_factory=frozenset)

    def holds(self, roles: Iterable[str]) -> bool:
        stems = tuple(role[:-1] for role in self.roles if role.endswith("*"))
        return any(role in self.roles or (stems and role.startswith(stems)) for role in roles)


def _of(*roles: str, targets: tuple[str, ...] = ()) -> Evidence:
    return Evidence(frozenset(roles), frozenset(targets))


# Rule of the verdict → what it was read from.
RULES: dict[str, Evidence] = {
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


# Figure that a cause's evidence names → the reason whose patches, lines or edges it was read from.
FIGURES: dict[str, str] = {
    "black": "black",
    "the middle grey's lightness": "greys",
    "the middle grey's a*": "greys",
    "the middle grey's b*": "greys",
    "the solids' chroma": "gamut",
    "the growth of lines": "lines",
    "the doubling of vertical edges": "lines",
    "the error of size": "true-size",
}


def keys_of_patch(roles: Iterable[str]) -> tuple[str, ...]:
    """The reasons that a patch speaks for."""
    held = tuple(roles)
    return tuple(key for key, evidence in RULES.items() if evidence.holds(held))


def keys_of_target(kind: str) -> tuple[str, ...]:
    return tuple(key for key, evidence in RULES.items() if kind in evidence.targets)
