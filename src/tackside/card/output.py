"""How a card's files are to be written: colour, sharpening, quality; plain choices of the person who prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tackside.profile.device.device import Intent

OutputSpace = Literal["srgb", "adobe-rgb", "picture"]
Surface = Literal["semi-gloss", "matt", "cotton"]


@dataclass(frozen=True)
class Output:
    """``space`` is the space of the numbers in the file: a working space, that of the card's pictures
    (``picture``), or None for the card's own. ``profile``, a printer's ICC profile, is converted to instead,
    by ``intent`` and with black point compensation where ``bpc``.

    ``surface`` chooses the sharpening, None the stock's own; ``sharpen`` False leaves it out. ``quality`` is
    that of a JPEG, 1 to 100.
    """

    space: OutputSpace | None = None
    profile: bytes | None = None
    intent: Intent = "relative"
    bpc: bool = True
    sharpen: bool = True
    surface: Surface | None = None
    quality: int = 95
