"""A live proof as its page shows it: which cards and ways there are, and where their tables and pictures lie."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.web.shell.navigation import _
from tackside.web.views.pictures.choice import ChoiceView
from tackside.workflow.prepared.proof_scales import FULL, scale_of
from tackside.workflow.prepared.proof_ways import PROFILE, STEM

MOST_CARDS, MOST_PROFILES = 5, 4
INTENTS = {
    "perceptual": _("Perceptual"), "relative": _("Media-relative colorimetric"), "saturation": _("Saturation"),
    "absolute": _("ICC-absolute colorimetric"),
}  # fmt: skip
# What may stand on the picture, and the words of its scale.
SHOWN = {
    "print": _("The print"), "outside": _("What the card cannot hold"), "difference": _("How far colours move"),
    "lost-contrast": _("Where contrast is lost"),
}  # fmt: skip
SCALE_STOPS = 9


@dataclass(frozen=True)
class ProofAsked:
    """What is looked at: a card, the way to it, with the card's own white or not, and the map that stands on it."""

    card: str
    intent: str
    bpc: bool
    paper: bool
    show: str = "print"


@dataclass(frozen=True)
class Scale:
    """A map's scale to be drawn: ``stops`` are colours (CSS) from nothing to full, ``ticks`` the place of each figure,
    0 to 1, and the figure."""

    name: str
    unit: str
    stops: tuple[tuple[float, str], ...]
    ticks: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class ProofView:
    """``plain`` is the picture that shows the same without scripts; ``data`` is what the script needs, as JSON.

    ``absent`` are profiles that came since it was prepared.
    """

    cards: tuple[tuple[str, str], ...]
    profiles: tuple[tuple[str, str], ...]
    absent: tuple[str, ...]
    left_out: tuple[tuple[str, Message], ...]
    intents: tuple[tuple[str, str], ...]
    shown: tuple[tuple[str, str], ...]
    scales: tuple[Scale, ...]
    seen: ProofAsked
    plain: str
    original: str
    size: tuple[int, int]
    data: str


def cards_asked(choice: ChoiceView) -> list[dict[str, str]]:
    """The cards that a live proof is made on: the best few."""
    return [{"card": each.trial, "name": each.name} for each in choice.cards[:MOST_CARDS]]


def profiles_asked(bench: Bench) -> list[dict[str, str]]:
    """The bench's printer profiles, the newest few, as a live proof takes them beside the cards."""
    kept, _total = bench.profiles.list(ListAsked(sort="newest", count=4 * MOST_PROFILES))
    printers = [each.file for each in kept if each.file.kind == "output"]
    return [{"card": f"{PROFILE}{each.sha256}", "name": each.title} for each in printers[:MOST_PROFILES]]


def proof_view(
    proof: dict[str, Any], base: str, seen: ProofAsked, profiles: Sequence[dict[str, str]] = ()
) -> ProofView:
    """``base`` is the address under which the proof's files are served; ``profiles`` are those that could be in it."""
    ways = proof["ways"]
    way = ways[_nearest(ways, seen)]
    show = seen.show if seen.show in SHOWN else "print"
    shown = ProofAsked(way["card"], way["intent"], way["bpc"], seen.paper, show)
    intents = tuple(dict.fromkeys(each["intent"] for each in ways))
    data = {
        "base": base,
        "original": proof["original"],
        "ways": [{**each, "lost": f"way-{each['key'][:STEM]}-lost.png"} for each in ways],
        "maps": {name: {"scale": _colours(name, 3), "full": full} for name, full in FULL.items()},
    }
    plain = ("paper" if seen.paper else "plain") if show == "print" else show
    named = tuple((each["card"], each["name"]) for each in proof["cards"])
    tried = {each["card"] for each in (*proof["cards"], *proof["left_out"])}
    return ProofView(
        cards=tuple(each for each in named if not each[0].startswith(PROFILE)),
        profiles=tuple(each for each in named if each[0].startswith(PROFILE)),
        absent=tuple(each["name"] for each in profiles if each["card"] not in tried),
        left_out=tuple((each["name"], Message.of_data(each["why"])) for each in proof["left_out"]),
        intents=tuple((each, INTENTS[each]) for each in INTENTS if each in intents),
        shown=tuple(SHOWN.items()),
        scales=_SCALES,
        seen=shown,
        plain=f"{base}/way-{way['key'][:STEM]}-{plain}.jpg",
        original=f"{base}/original.jpg",
        size=(proof["size"][0], proof["size"][1]),
        data=json.dumps(data),
    )


def _nearest(ways: list[dict[str, Any]], seen: ProofAsked) -> int:
    """The way that is asked for, or the one nearest to it: card before intent, intent before compensation."""
    scores = [
        4 * (each["card"] == seen.card) + 2 * (each["intent"] == seen.intent) + (each["bpc"] == seen.bpc)
        for each in ways
    ]
    return scores.index(max(scores))


def _colours(name: str, count: int) -> list[list[float]]:
    """So many colours of a map's scale from nothing to full, sRGB, 0 to 1."""
    return [[round(each, 4) for each in colour] for colour in scale_of(name, count)]


def _scale(name: str, unit: str, full: float, figures: tuple[float, ...]) -> Scale:
    colours = _colours(name, SCALE_STOPS)
    stops = tuple(
        (n / (SCALE_STOPS - 1), "#" + "".join(f"{round(255 * each):02x}" for each in colour))
        for n, colour in enumerate(colours)
    )
    last = len(figures) - 1
    ticks = tuple(
        (each / full, f"{each:g}" + ("+" if n == last and unit != "%" else ""))
        for n, each in enumerate(figures)
    )
    return Scale(name, unit, stops, ticks)


_SCALES = (
    _scale("outside", "ΔE00", FULL["outside"], (0, 5, 10, 15, 20)),
    _scale("difference", "ΔE00", FULL["difference"], (0, 3, 6, 9, 12, 15)),
    _scale("lost-contrast", "%", 100 * FULL["lost-contrast"], (0, 25, 50, 75, 100)),
)
