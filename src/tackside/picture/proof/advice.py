"""Which rendering intent for this picture, and why, in one sentence; close calls are called close.

A variant's cost is a weighed sum of its figures, in the size of ΔE00. The weights are our own judgement, not a
standard's: they are meant to rank ways to the same card, and say nothing between cards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.picture.proof.figures import Figures
from tackside.profile.device.device import Intent

CLOSE = 0.08  # a cost within this share of the best is a close call
SAME = 0.02  # and within this no call at all


@dataclass(frozen=True)
class Variant:
    """One way to the card."""

    intent: Intent
    bpc: bool

    @property
    def name(self) -> str:
        """As in a sentence: ``relative colorimetric with black point compensation``."""
        plain = {"relative": "relative colorimetric", "absolute": "absolute colorimetric"}
        words = plain.get(self.intent, self.intent)
        return f"{words} with black point compensation" if self.bpc else words


@dataclass(frozen=True)
class Weighed:
    """A variant with its figures and its cost."""

    variant: Variant
    figures: Figures
    cost: float


@dataclass(frozen=True)
class Advice:
    """The variant to take, one sentence why, and whether it was close to the next intent."""

    variant: Variant
    why: str
    close: bool


# figure, weight, the figure's part of the picture, what less and what more of it mean in a sentence.
_TERMS = (
    ("de00_mean", 1.0, None, "colour closer to the picture on the whole", "colour further off on the whole"),
    ("de00_p95", 0.3, None, "smaller worst differences", "larger worst differences"),
    ("hue_shift_deg", 0.2, None, "steadier hues", "hues that turn more"),
    ("lost_shadow", 16.0, "shadow", "more shadow detail", "shadow detail"),
    ("lost_saturated", 10.0, "saturated", "more detail in saturated colours", "detail in saturated colours"),
    ("grey_balance", 0.5, None, "cleaner greys", "less clean greys"),
)
FULL_PART = 0.25  # a part of this share of the picture, or more, counts in full


def cost_of(figures: Figures) -> float:
    """The weighed sum; a part that the picture does not hold costs nothing."""
    return sum(_cost(figures, figure, weight, part) for figure, weight, part, _, _ in _TERMS)


def _cost(figures: Figures, figure: str, weight: float, part: str | None) -> float:
    share = 1.0 if part is None else min(1.0, getattr(figures, part) / FULL_PART)
    return weight * share * (getattr(figures, figure) or 0.0)


def weigh(table: Sequence[tuple[Variant, Figures]]) -> tuple[Weighed, ...]:
    """The variants with their costs, cheapest first. Absolute colorimetric stands last: it is for proofs."""
    weighed = [Weighed(variant, figures, cost_of(figures)) for variant, figures in table]
    return tuple(sorted(weighed, key=lambda each: (each.variant.intent == "absolute", each.cost)))


def advise(weighed: Sequence[Weighed]) -> Advice:
    """Advice from ``weigh``'s table, which holds at least one variant."""
    best = weighed[0]
    others = [each for each in weighed[1:] if each.variant.intent not in (best.variant.intent, "absolute")]
    name = best.variant.name[0].upper() + best.variant.name[1:]
    if not others:
        return Advice(best.variant, f"{name} is the only way that was weighed", close=False)
    second = others[0]
    ahead = (second.cost - best.cost) / max(best.cost, 0.5)
    if ahead < SAME:
        return Advice(
            best.variant, f"{name} and {second.variant.name} come out alike: take either", close=True
        )
    why = _difference(best.figures, second.figures)
    if ahead < CLOSE:
        return Advice(best.variant, f"{name}, though {second.variant.name} is close: {why}", close=True)
    return Advice(best.variant, f"{name} rather than {second.variant.name}: {why}", close=False)


def _difference(best: Figures, second: Figures) -> str:
    """What speaks most for the best, with both figures, and what speaks most against it where that is not small."""
    gains = sorted(
        (_cost(second, figure, weight, part) - _cost(best, figure, weight, part), figure, less, more)
        for figure, weight, part, less, more in _TERMS
    )
    gain, figure, less, _ = gains[-1]
    said = f"{less} ({_both(figure, best, second)})"
    loss, against, _, more = gains[0]
    if loss < -0.25 * gain:
        said += f", at the price of {more} ({_both(against, best, second)})"
    return said


def _both(figure: str, best: Figures, second: Figures) -> str:
    return f"{_said(figure, getattr(best, figure))} against {_said(figure, getattr(second, figure))}"


def _said(figure: str, value: float | None) -> str:
    if value is None:
        return "none"
    if figure.startswith("lost"):
        return f"{value:.0%} lost"
    if figure == "hue_shift_deg":
        return f"{value:.1f}° of hue"
    return f"{'ΔE00' if figure.startswith('de00') else 'a*b*'} {value:.1f}"
