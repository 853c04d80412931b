"""The error of a card that no feed takes."""

from __future__ import annotations

from tackside.errors import DoesNotFit
from tackside.fit.model import Fit
from tackside.messages.message import Message


def refused(found: Fit) -> DoesNotFit:
    """Why no feed takes the card of this fit, feed by feed, as its warnings say."""
    feeds = [
        Message("fit.because", **each.values) for each in found.warnings if each.code == "fit.feed-refuses"
    ]
    if feeds:
        return DoesNotFit("fit.refused", printer=found.printer, stock=found.stock, feeds=feeds)
    return DoesNotFit("fit.not-taken", printer=found.printer, stock=found.stock)
