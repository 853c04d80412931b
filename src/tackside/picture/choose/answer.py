"""The answer to "which card should I use?": one sentence, and a reason for each way."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.picture.choose.choose import Ranked
from tackside.picture.proof.figures import Figures
from tackside.picture.proof.ways import Way

ALIKE, CLOSE = 1.0, 3.0  # points of the score: no difference that anyone would see, and a small one
SEEN_LOSS = 0.08  # a twelfth of a part's local contrast
SEEN_HUE_DEG = 3.0
SEEN_GREY = 2.0
FAR = 8.0  # mean ΔE00 beyond which a print is a different picture


def best_of_each_stock(ranking: Sequence[Ranked]) -> list[Ranked]:
    """The best way to each stock, best first."""
    best: dict[str, Ranked] = {}
    for each in ranking:
        best.setdefault(each.way.stock, each)
    return list(best.values())


def answer(ranking: Sequence[Ranked], pictures: int) -> str:
    """One sentence, with a full stop: the stock, how to convert, how near, and what comes next."""
    stocks = best_of_each_stock(ranking)
    first = stocks[0]
    whom = "this picture" if pictures == 1 else f"these {pictures} pictures"
    said = f"For {whom} use {first.way.stock}, {how(first.way)}: {near(first.figures)}"
    if first.figures.de00_mean > FAR:
        said += ", which is far off, so see the proof before you print"
    if len(stocks) == 1:
        return f"{said}; it is the only card that was weighed up."
    second = stocks[1]
    behind = first.score - second.score
    if behind < ALIKE:
        return f"{said}; {second.way.stock} comes out alike, so take the cheaper or the one you like to hold."
    if behind < CLOSE:
        return f"{said}; {second.way.stock} is close behind."
    return f"{said}; next comes {second.way.stock} with {_figure(second.figures)}{_worse(first, second)}."


def how(way: Way) -> str:
    """How to convert for a way, within a sentence."""
    by = "converted by the card's own reading" if way.profile is None else f'with the profile "{way.profile}"'
    return f"{by}, {way.variant.name}"


def near(figures: Figures) -> str:
    return f"its colours come within {_figure(figures)}"


def why(ranked: Ranked) -> str:
    """What is lost by this way, worst first, as one sentence without a full stop."""
    figures = ranked.figures
    losses = _losses(figures)
    said = f"{_figure(figures)}, 95 % under {figures.de00_p95:.1f}"
    if not losses:
        return f"{said}; shadows, strong colours and greys hold"
    return f"{said}; {', '.join(losses)}"


def _figure(figures: Figures) -> str:
    return f"ΔE00 {figures.de00_mean:.1f} on average"


def _losses(figures: Figures) -> list[str]:
    found = []
    if (figures.lost_shadow or 0) >= SEEN_LOSS:
        found.append(f"{100 * (figures.lost_shadow or 0):.0f} % of shadow detail lost")
    if (figures.lost_saturated or 0) >= SEEN_LOSS:
        found.append(f"{100 * (figures.lost_saturated or 0):.0f} % of the detail in strong colours lost")
    if (figures.hue_shift_deg or 0) >= SEEN_HUE_DEG:
        found.append(f"hues turn by {figures.hue_shift_deg:.0f}°")
    if (figures.grey_balance or 0) >= SEEN_GREY:
        found.append(f"greys drift by {figures.grey_balance:.1f}")
    return found


def _worse(first: Ranked, second: Ranked) -> str:
    """What the second loses that the first keeps, in a few words."""
    pairs = (("lost_shadow", "shadow detail"), ("lost_saturated", "detail in strong colours"))
    more = [
        f"{100 * ((getattr(second.figures, name) or 0) - (getattr(first.figures, name) or 0)):.0f} % more {words} lost"
        for name, words in pairs
        if (getattr(second.figures, name) or 0) - (getattr(first.figures, name) or 0) >= SEEN_LOSS
    ]
    return f" and {' and '.join(more)}" if more else ""
