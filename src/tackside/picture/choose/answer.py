"""The answer to "which card should I use?": one sentence, and a reason for each way."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.messages.message import Message
from tackside.picture.choose.choose import RankedWay
from tackside.picture.proof.figures import Figures
from tackside.picture.proof.ways import PrintWay

ALIKE, CLOSE = 1.0, 3.0  # points of the score: no difference that anyone would see, and a small one
SEEN_LOSS = 0.08  # a twelfth of a part's local contrast
SEEN_HUE_DEG = 3.0
SEEN_GREY = 2.0
SEEN_LIGHTNESS, SEEN_CHROMA = 3.0, 3.0  # of L* and C*ab, on average
SEEN_STRONG = (
    6.5  # of C*ab: twice what is just seen at C*ab 50, by the weights of CIE 116 (docs/sources.md, S76)
)
FAR = 8.0  # mean ΔE00 beyond which a print is a different picture


def best_of_each_stock(ranking: Sequence[RankedWay]) -> list[RankedWay]:
    """The best way to each stock, best first."""
    best: dict[str, RankedWay] = {}
    for each in ranking:
        best.setdefault(each.way.stock, each)
    return list(best.values())


def answer(ranking: Sequence[RankedWay], pictures: int, *, comparable: bool = True) -> Message:
    """One sentence, with a full stop: the stock, how to convert, how near, and what comes next.

    ``comparable``: whether all cards were read alike. Where they were not, the answer itself says that it is a hint.
    """
    stocks = best_of_each_stock(ranking)
    first = stocks[0]
    told = {
        "count": pictures,
        "stock": first.way.stock,
        "way": how(first.way),
        "result": near(first.figures),
    }
    if len(stocks) == 1:
        return Message("choose.only", **told)
    second = stocks[1]
    if not comparable:
        return Message("choose.hint", **told, second=second.way.stock)
    behind = first.score - second.score
    if behind < ALIKE:
        return Message("choose.alike", **told, second=second.way.stock)
    if behind < CLOSE:
        return Message("choose.close", **told, second=second.way.stock)
    told |= {"second": second.way.stock, "mean": second.figures.de00_mean}
    worse = _worse(first, second)
    return (
        Message("choose.clear-and-loses", **told, worse=worse) if worse else Message("choose.clear", **told)
    )


def how(way: PrintWay) -> Message:
    """How to convert for a way, within a sentence."""
    if way.profile is None:
        return Message("choose.by-reading", intent=way.variant.name)
    return Message("choose.by-profile", profile=way.profile, intent=way.variant.name)


def near(figures: Figures) -> Message:
    """How near the colours come, within a sentence."""
    far = figures.de00_mean > FAR
    return Message("choose.result-far-off" if far else "choose.result", mean=figures.de00_mean)


def why(ranked: RankedWay) -> Message:
    """What is lost by this way, or what holds, as one sentence without a full stop. Each word rests on its own figure:
    what the pictures hold too little of to tell is not named."""
    figures = ranked.figures
    told = {"mean": figures.de00_mean, "p95": figures.de00_p95}
    losses = _losses(figures)
    if losses:
        return Message("choose.loses", **told, losses=losses)
    if figures.de00_mean > FAR:
        return Message("choose.far", **told)
    held = _held(figures)
    return Message("choose.holds", **told, held=held) if held else Message("choose.figures-alone", **told)


def _losses(figures: Figures) -> tuple[Message, ...]:
    """What is seen to be lost."""
    found = []
    if (figures.lost_shadow or 0) >= SEEN_LOSS:
        found.append(Message("choose.loss.shadow", share=figures.lost_shadow))
    if (figures.lost_saturated or 0) >= SEEN_LOSS:
        found.append(Message("choose.loss.saturated", share=figures.lost_saturated))
    if abs(figures.chroma) >= SEEN_CHROMA:
        code = "choose.loss.weaker" if figures.chroma < 0 else "choose.loss.stronger"
        found.append(Message(code, step=abs(figures.chroma)))
    elif (figures.chroma_saturated or 0) <= -SEEN_STRONG:
        found.append(Message("choose.loss.strong-weaker", step=-(figures.chroma_saturated or 0)))
    if abs(figures.lightness) >= SEEN_LIGHTNESS:
        code = "choose.loss.darker" if figures.lightness < 0 else "choose.loss.lighter"
        found.append(Message(code, step=abs(figures.lightness)))
    if (figures.hue_shift_deg or 0) >= SEEN_HUE_DEG:
        found.append(Message("choose.loss.hue", degrees=figures.hue_shift_deg))
    if (figures.grey_balance or 0) >= SEEN_GREY:
        found.append(Message("choose.loss.grey", drift=figures.grey_balance))
    return tuple(found)


def _held(figures: Figures) -> tuple[Message, ...]:
    """What there is of in the pictures, where nothing is lost."""
    there = (
        ("shadow", figures.lost_shadow),
        ("saturated", figures.lost_saturated),
        ("hue", figures.hue_shift_deg),
        ("grey", figures.grey_balance),
    )
    return tuple(Message(f"choose.held.{name}") for name, figure in there if figure is not None)


def _worse(first: RankedWay, second: RankedWay) -> tuple[Message, ...]:
    """What the second loses that the first keeps."""
    more = {
        name: (getattr(second.figures, f"lost_{name}") or 0) - (getattr(first.figures, f"lost_{name}") or 0)
        for name in ("shadow", "saturated")
    }
    return tuple(
        Message(f"choose.more-loss.{name}", share=share) for name, share in more.items() if share >= SEEN_LOSS
    )
