"""A live proof as its page shows it: which cards and ways there are, and where their tables and pictures lie."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np

from tackside.colour.rgb_spaces import SRGB, lab_to_rgb
from tackside.picture.maps import FULL_DE00, FULL_OUTSIDE, HUES, STEPS, ramp
from tackside.web.places import _
from tackside.web.views.choice import ChoiceView

MOST_CARDS = 5
INTENTS = {
    "perceptual": _("Perceptual"), "relative": _("Media-relative colorimetric"),
    "absolute": _("ICC-absolute colorimetric"),
}  # fmt: skip


@dataclass(frozen=True)
class Seen:
    """What is looked at: a card by its trial, the way to it, with the card's own white or not."""

    card: str
    intent: str
    bpc: bool
    paper: bool


@dataclass(frozen=True)
class ProofView:
    """``plain`` is the picture that shows the same without scripts; ``data`` is what the script needs, as JSON."""

    cards: tuple[tuple[str, str], ...]
    intents: tuple[tuple[str, str], ...]
    seen: Seen
    plain: str
    original: str
    size: tuple[int, int]
    data: str


def cards_asked(choice: ChoiceView) -> list[dict[str, str]]:
    """The cards that a live proof is made on: the best few."""
    return [{"trial": each.trial, "name": each.name} for each in choice.cards[:MOST_CARDS]]


def proof_view(proof: dict[str, Any], base: str, seen: Seen) -> ProofView:
    """``base`` is the address under which the proof's files are served."""
    ways = proof["ways"]
    number = _nearest(ways, seen)
    way = ways[number]
    shown = Seen(way["trial"], way["intent"], way["bpc"], seen.paper)
    intents = tuple(dict.fromkeys(each["intent"] for each in ways))
    data = {
        "base": base,
        "size": proof["size"],
        "original": proof["original"],
        "ways": ways,
        "cards": proof["cards"],
        "maps": {
            "difference": {"scale": _scale("de00"), "full": FULL_DE00},
            "outside": {"scale": _scale("outside"), "full": FULL_OUTSIDE},
        },
    }
    return ProofView(
        cards=tuple((each["trial"], each["name"]) for each in proof["cards"]),
        intents=tuple((each, INTENTS[each]) for each in intents),
        seen=shown,
        plain=f"{base}/way-{number}-{'paper' if seen.paper else 'plain'}.jpg",
        original=f"{base}/original.jpg",
        size=(proof["size"][0], proof["size"][1]),
        data=json.dumps(data),
    )


def _nearest(ways: list[dict[str, Any]], seen: Seen) -> int:
    """The way that is asked for, or the one nearest to it: card before intent, intent before compensation."""
    scores = [
        4 * (each["trial"] == seen.card) + 2 * (each["intent"] == seen.intent) + (each["bpc"] == seen.bpc)
        for each in ways
    ]
    return scores.index(max(scores))


def _scale(name: str) -> list[list[float]]:
    """The first, the middle and the last colour of a map's scale, sRGB, 0 to 1."""
    rgb = np.clip(lab_to_rgb(ramp(HUES[name])[[0, STEPS // 2, STEPS - 1]], SRGB), 0, 1)
    return [[round(float(each), 4) for each in colour] for colour in rgb]
