"""Which rendering intent for this picture, and why; close calls are called close.

A variant's cost is a weighed sum of its figures, in the size of ΔE00. The weights are our own judgement, not a
standard's: they are meant to rank ways to the same card, and say nothing between cards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.picture.proof.figures import Figures
from tackside.profile.device.device import Intent

CLOSE = 0.08  # a cost within this share of the best is a close call
SAME = 0.02  # and within this no call at all


@dataclass(frozen=True)
class IntentVariant:
    """One way to the card."""

    intent: Intent
    bpc: bool

    @property
    def name(self) -> Message:
        """As in a sentence: ``relative colorimetric with black point compensation``."""
        return Message(f"proof.intent.{self.intent}{'-bpc' if self.bpc else ''}")


@dataclass(frozen=True)
class Weighed:
    """A variant with its figures and its cost."""

    variant: IntentVariant
    figures: Figures
    cost: float


@dataclass(frozen=True)
class IntentAdvice:
    """The variant to take, one sentence why (without a full stop), and whether it was close to the next intent."""

    variant: IntentVariant
    why: Message
    close: bool


# figure, weight, the figure's part of the picture.
_TERMS = (
    ("de00_mean", 1.0, None),
    ("de00_p95", 0.3, None),
    ("hue_shift_deg", 0.2, None),
    ("lost_shadow", 16.0, "shadow"),
    ("lost_saturated", 10.0, "saturated"),
    ("grey_balance", 0.5, None),
)
FULL_PART = 0.25  # a part of this share of the picture, or more, counts in full


def cost_of(figures: Figures) -> float:
    """The weighed sum; a part that the picture does not hold costs nothing."""
    return sum(_cost(figures, figure, weight, part) for figure, weight, part in _TERMS)


def _cost(figures: Figures, figure: str, weight: float, part: str | None) -> float:
    share = 1.0 if part is None else min(1.0, getattr(figures, part) / FULL_PART)
    return weight * share * (getattr(figures, figure) or 0.0)


def weigh(table: Sequence[tuple[IntentVariant, Figures]]) -> tuple[Weighed, ...]:
    """The variants with their costs, cheapest first. Absolute colorimetric stands last: it is for proofs."""
    weighed = [Weighed(variant, figures, cost_of(figures)) for variant, figures in table]
    return tuple(sorted(weighed, key=lambda each: (each.variant.intent == "absolute", each.cost)))


def advise(weighed: Sequence[Weighed]) -> IntentAdvice:
    """Advice from ``weigh``'s table, which holds at least one variant."""
    best = weighed[0]
    others = [each for each in weighed[1:] if each.variant.intent not in (best.variant.intent, "absolute")]
    name = best.variant.name
    if not others:
        return IntentAdvice(best.variant, Message("proof.advice.only", best=name), close=False)
    second = others[0]
    ahead = (second.cost - best.cost) / max(best.cost, 0.5)
    told = {"best": name, "second": second.variant.name}
    if ahead < SAME:
        return IntentAdvice(best.variant, Message("proof.advice.alike", **told), close=True)
    why = _difference(best.figures, second.figures)
    if ahead < CLOSE:
        return IntentAdvice(best.variant, Message("proof.advice.close", **told, why=why), close=True)
    return IntentAdvice(best.variant, Message("proof.advice.clear", **told, why=why), close=False)


def _difference(best: Figures, second: Figures) -> Message:
    """What speaks most for the best, with both figures, and what speaks most against it where that is not small."""
    gains = sorted(
        (_cost(second, figure, weight, part) - _cost(best, figure, weight, part), figure)
        for figure, weight, part in _TERMS
    )
    gain, figure = gains[-1]
    said = _both("gain", figure, best, second)
    loss, against = gains[0]
    if loss < -0.25 * gain:
        return Message("proof.at-the-price", gain=said, loss=_both("loss", against, best, second))
    return said


def _both(kind: str, figure: str, best: Figures, second: Figures) -> Message:
    values = (_said(figure, getattr(each, figure)) for each in (best, second))
    return Message(
        f"proof.{kind}.{figure.replace('_', '-')}", **dict(zip(("best", "second"), values, strict=True))
    )


def _said(figure: str, value: float | None) -> Message:
    if value is None:
        return Message("proof.figure.none")
    if figure.startswith("lost"):
        return Message("proof.figure.lost", value=value)
    if figure == "hue_shift_deg":
        return Message("proof.figure.hue", value=value)
    return Message("proof.figure.de00" if figure.startswith("de00") else "proof.figure.grey", value=value)
