"""What is known of one print, as one record: its reading, what it was printed on and how, and what stands beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from tackside.records import Reading, Stock, Trial

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Prediction


@dataclass(frozen=True, eq=False)
class KnownPrint:
    """A print that is to be judged, or one that stands beside it; None for what is not known.

    ``reference``: a print known to be good, at best of the same card. ``other_side``: the same print on the card's
    other side. Of these two only reading and trial are looked at. ``prediction``: what a profile says of the patches
    (``by_profile.predict``); it stands in for a reference.
    """

    reading: Reading
    trial: Trial | None = None
    stock: Stock | None = None
    reference: KnownPrint | None = None
    other_side: KnownPrint | None = None
    prediction: Prediction | None = None
