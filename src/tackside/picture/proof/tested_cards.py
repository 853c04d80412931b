"""Which of a picture's colours no tested card can hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_lch
from tackside.messages.message import Message
from tackside.picture.check.finding import PictureFinding, Severity, percent
from tackside.picture.choose.cards import printed_lab
from tackside.picture.file.colours import cell_lab, colours_of
from tackside.profile.device.device import Device

HOLDS = 3.5  # ΔE00: the upper end of a usual commercial limit, 2 to 3.5 (several secondary sources)
LEAST_SHARE = 0.01
MUCH = 0.05
SHADOW_L = 25.0
NEUTRAL_C = 12.0
# Hue angles of CIELAB at which one colour's name gives way to the next (docs/sources.md, S39).
HUES = (
    (20, "reds"),
    (60, "oranges"),
    (100, "yellows"),
    (165, "greens"),
    (230, "cyans"),
    (300, "blues"),
    (345, "purples"),
)


@dataclass(frozen=True)
class ReadCard:
    """A card that was printed and read: its name and how it takes colour."""

    name: str
    device: Device


def on_tested_cards(path: Path, cards: Sequence[ReadCard]) -> list[PictureFinding]:
    """A finding where a share of the picture lies outside every card by more than ΔE00 3.5. Raises BadImage."""
    colours = colours_of(path)
    lab = cell_lab(colours.space)[colours.cells]
    off = np.stack([shown_off(lab, card.device) for card in cards])
    outside = off.min(axis=0) > HOLDS
    share = float(colours.weights[outside].sum())
    if share < LEAST_SHARE:
        return []
    means = off @ colours.weights
    closest = cards[int(np.argmin(means))].name
    severity: Severity = "mend" if share >= MUCH else "note"
    told = Message(
        "picture.outside-every-card" if len(cards) > 1 else "picture.outside-the-one-card",
        share=percent(share),
        colours=_which(lab[outside], colours.weights[outside]),
        card=closest,
    )
    return [PictureFinding("outside-every-card", severity, told, round(share, 5), "of the pixels")]


def shown_off(lab: Floats, device: Device) -> Floats:
    """ΔE00 (n,) between colours (n, 3), media-relative, and the nearest that the device shows of them."""
    return delta_e_2000(lab, printed_lab(device, device, lab, "relative", bpc=False))


def _which(lab: Floats, weights: Floats) -> Message:
    """The kind of colour that most of them are."""
    lch = lab_to_lch(lab)
    dark = (lch[:, 0] < SHADOW_L) & (lch[:, 1] < NEUTRAL_C * 2)
    names = np.where(dark, "deep-shadows", [_hue_name(hue) for hue in lch[:, 2]])
    kinds = np.unique(names)
    most = kinds[np.argmax([weights[names == kind].sum() for kind in kinds])]
    return Message(f"picture.colours.{most}")


def _hue_name(hue: float) -> str:
    return next((name for limit, name in HUES if hue < limit), "reds")
