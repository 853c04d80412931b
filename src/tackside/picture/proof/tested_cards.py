"""Which of a picture's colours no tested card can hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_lch
from tackside.messages.message import Message
from tackside.picture.check.finding import PictureFinding, Severity, percent
from tackside.picture.choose.cards import CardSource
from tackside.picture.choose.samples import sampled
from tackside.picture.choose.way_table import Table, between_for_cells
from tackside.picture.choose.workshop import as_known
from tackside.picture.file.colours import Space, cell_lab, colours_of
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.ways import PrintWay

NEAREST = IntentVariant("relative", False)

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


@dataclass(frozen=True, eq=False)
class ReadCard:
    """A card that was printed and read; ``cache`` is the folder where a choice keeps what is worked out of it."""

    card: CardSource
    cache: Path | None = None
    _shown: dict[Space, Table] = field(default_factory=dict, init=False, repr=False)

    @property
    def name(self) -> str:
        return self.card.name

    def shown(self, space: Space) -> Table:
        """The nearest that it shows of a space's colours, media-relative CIELAB at the nodes, (17³, 3).

        Raises BadProfile, BadRequest where no model can be made of its reading.
        """
        if space not in self._shown:
            way = PrintWay(self.name, self.card, self.card, NEAREST, None, True)
            self._shown[space] = sampled(way, space, self.cache)
        return self._shown[space]


def on_tested_cards(path: Path, cards: Sequence[ReadCard]) -> list[PictureFinding]:
    """A finding where a share of the picture lies outside every card by more than ΔE00 3.5.

    Raises BadImage, BadRequest.
    """
    colours = colours_of(path)
    space, to_cells = as_known(colours.space), between_for_cells(colours.cells)
    lab = cell_lab(space)[colours.cells]
    off = np.stack([delta_e_2000(lab, to_cells @ card.shown(space)) for card in cards])
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
