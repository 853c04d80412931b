"""Which ways a live proof is made for: cards by their readings that stand, profiles by what they say of themselves."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tackside.bench.store import Bench
from tackside.picture.choose.cards import CardProfile, CardReading, CardSource
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.proof import variants_of
from tackside.profile.icc.files import read_profile_file
from tackside.workflow.pictures.read_cards import reading_of
from tackside.workflow.profiles.kept import kept_profile_of

FORM = 5  # raised when the form of what lies in the cache changes
STEM = 16  # signs of a way's key that its pictures are named by
PROFILE = "profile-"  # before a profile's hash, where a card has its trial


@dataclass(frozen=True)
class WayToCard:
    """One of the ways a table is made for: the card, by its trial or ``profile-`` and a hash, and the variant."""

    card: str
    source: CardSource
    variant: IntentVariant

    def key(self, profile: bytes) -> str:
        """The name of its table, the same for all pictures of one space."""
        parts = (str(FORM), self.source.key, self.variant.intent, str(self.variant.bpc))
        return hashlib.sha256(" ".join(parts).encode() + profile).hexdigest()


def source_of(bench: Bench, asked: dict[str, str]) -> CardSource:
    """The card that is asked for by ``card`` and ``name``. Raises NotFound, BadRequest, BadProfile where it is asked
    further."""
    card, name = asked["card"], asked["name"]
    if card.startswith(PROFILE):
        return CardProfile(name, read_profile_file(bench.file(card.removeprefix(PROFILE))))
    built = kept_profile_of(bench, card)
    if built is not None:
        return CardProfile(name, read_profile_file(bench.file(built.sha256)))
    return CardReading(name, reading_of(bench, card).reading)


def ways_to(card: str, source: CardSource) -> Iterator[WayToCard]:
    """Every way to a card that differs. Raises BadProfile, BadRequest where the card cannot be worked out."""
    for variant in variants_of(source.device):
        yield WayToCard(card, source, variant)


def said(way: WayToCard, profile: bytes) -> dict[str, Any]:
    """What the page is told of a way to a card, for pictures of this ``profile``."""
    return {"card": way.card, "key": way.key(profile), "intent": way.variant.intent, "bpc": way.variant.bpc}
