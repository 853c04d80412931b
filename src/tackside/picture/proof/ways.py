"""A way to a print: a card, the profile its picture is converted with (or the card's own reading), and an intent."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tackside.colour.spaces import Floats
from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.picture.choose.cards import CardProfile, CardReading, CardSource, printed_lab
from tackside.picture.proof.advice import IntentVariant

# Saturation is left out: it is for charts, and no reading alone can tell it from perceptual.
VARIANTS = (
    IntentVariant("perceptual", True),
    IntentVariant("relative", True),
    IntentVariant("relative", False),
)

NO_PROFILES: Mapping[str, CardProfile] = {}


@dataclass(frozen=True, eq=False)
class PrintWay:
    """``card`` shows what numbers look like once printed; ``converter`` makes the numbers from the picture's colours.

    They are one where the card's own reading, or one profile alone, serves for both. ``profile`` names the
    converting profile, None for the card's own reading. ``measured``: the card was read, so the print is predicted
    from this very card; else from what a profile says of the paper it was made for.
    """

    stock: str
    card: CardSource
    converter: CardSource
    variant: IntentVariant
    profile: str | None
    measured: bool

    @property
    def key(self) -> str:
        parts = (self.card.key, self.converter.key, self.variant.intent, str(self.variant.bpc))
        return hashlib.sha256(" ".join(parts).encode()).hexdigest()[:24]

    def printed(self, lab: Floats) -> Floats:
        """Media-relative CIELAB (n, 3) of the print of media-relative colours (n, 3)."""
        variant = self.variant
        return printed_lab(self.card.device, self.converter.device, lab, variant.intent, bpc=variant.bpc)


@dataclass(frozen=True)
class LeftOut:
    """A stock or profile that is not ranked, and why, without a full stop."""

    name: str
    why: Message


def ways_of(
    readings: Sequence[tuple[CardReading, bool]],
    profiles: Sequence[CardProfile],
    own: Mapping[str, CardProfile] = NO_PROFILES,
) -> tuple[list[PrintWay], list[LeftOut]]:
    """All ways to all cards.

    ``own``: by a card's name the profile that was built from its reading, which then stands for the reading.
    ``readings`` come with whether bare numbers were printed (purpose ``device``): only then can another profile's
    numbers be predicted on the card. Without readings each profile stands for the paper that it was made for.
    """
    ways: list[PrintWay] = []
    left: list[LeftOut] = []
    for card, bare in readings:
        try:
            channels = card.channels
            card.key  # noqa: B018  asked for so that a reading without device numbers shows here
        except TacksideError as error:
            left.append(LeftOut(card.name, error.message))
            continue
        built = own.get(card.name)
        if built is None:
            ways += [PrintWay(card.name, card, card, variant, None, True) for variant in VARIANTS]
        else:
            ways += [PrintWay(card.name, built, built, variant, built.name, True) for variant in VARIANTS]
        if bare:
            ways += [
                PrintWay(card.name, card, profile, variant, profile.name, True)
                for profile in profiles
                if profile.channels == channels
                for variant in VARIANTS
            ]
    if not readings:
        ways += [
            PrintWay(profile.name, profile, profile, variant, profile.name, False)
            for profile in profiles
            for variant in VARIANTS
        ]
    return ways, left
