"""The grading rules, as data: what each looks at, where its grades end, which messages it gives.

The scheme: every rule says which grade its measure allows at best; the grade of the print is the worst that
any *critical* rule allows. An advisory rule only speaks. A rule whose measure was not made says nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tackside.records.verdict import GRADES, Grade

Better = Literal["lower", "higher", "nearer-zero"]


@dataclass(frozen=True)
class Rule:
    """One rule. ``limits``: the worst values that still allow sell, send, draft; ``better`` says which way.

    ``met`` is the code of what is said where the measure allows ``sell``, ``missed`` of what is said at each lesser
    grade; where the limits come from stands under ``rule.ID.source``, and that a call is close under
    ``rule.ID.close-call``. Their values: ``value``, the figure over ``divisor``; ``limit``, the first limit over it;
    ``what``, the colour that the measure names. A rule of ``path_only`` speaks only of prints of a sheet that went the
    whole way from file to paper, where greys and shadows have an aim. ``counts``: its measure is a whole number, which
    is no close call. ``missed_below`` is said in place of ``missed`` of a figure that is too far below zero.
    """

    id: str
    measure: str
    better: Better
    limits: tuple[float, float, float]
    met: str
    missed: dict[Grade, str]
    critical: bool = True
    path_only: bool = False
    counts: bool = False
    divisor: float = 1.0
    missed_below: str | None = None

    def allows(self, value: float) -> Grade:
        """The best grade that this value allows."""
        for grade, limit in zip(GRADES, self.limits, strict=False):
            if self._reaches(value, limit):
                return grade
        return "reject"

    def says(self, value: float) -> str:
        """The code of what the rule says of this value."""
        grade = self.allows(value)
        if self.missed_below is not None and grade in self.missed and value < 0:
            return self.missed_below
        return self.missed.get(grade, self.met)

    def _reaches(self, value: float, limit: float) -> bool:
        if self.better == "higher":
            return value >= limit
        return (abs(value) if self.better == "nearer-zero" else value) <= limit


BLACK = Rule(
    id="black",
    measure="black_l",
    better="lower",
    # docs/sources.md, S26 to S28. sell: pearl cards, the weakest class with a coating, reach 19; one more for the
    # reading. send: past that, yet deeper than any card with no coating (27 at best; 2 less, since that figure is
    # an estimate). draft: to the middle of the class with no coating, Dmax 1.15, which is L* 32.
    limits=(20.0, 25.0, 32.0),
    met="rule.black.met",
    missed={
        "send": "rule.black.weak",
        "draft": "rule.black.washed-out",
        "reject": "rule.black.washed-out",
    },
)

RANGE = Rule(
    id="range",
    measure="l_range",
    better="higher",
    # The darkest standard paper white, 88 less its tolerance of 3, over the three limits of black.
    limits=(65.0, 60.0, 53.0),
    met="rule.range.met",
    missed={"send": "rule.range.narrow", "draft": "rule.range.flat", "reject": "rule.range.flat"},
)

GAMUT = Rule(
    id="gamut",
    measure="gamut_corners",
    better="higher",
    # By the same eight colours offset solids span 353 000 (FOGRA39L) and 305 000 (TR 003) on coated paper, and
    # 171 000 (FOGRA29L) on uncoated (docs/sources.md, S28). Solids 5 ΔE*ab duller (S37) leave 307 000 of the first
    # and 143 000 of the last. send: about the geometric mean of the two, 246 000.
    limits=(300e3, 240e3, 135e3),
    met="rule.gamut.met",
    missed={"send": "rule.gamut.quieter", "draft": "rule.gamut.dull", "reject": "rule.gamut.lost"},
    divisor=1000.0,
)

HUES = Rule(
    id="hues",
    measure="weakest_solid",
    better="higher",
    limits=(0.6, 0.5, 0.35),
    met="rule.hues.met",
    missed={"send": "rule.hues.weak", "draft": "rule.hues.weak", "reject": "rule.hues.missing"},
)

GREYS = Rule(
    id="greys",
    measure="grey_balance_mean",
    better="lower",
    limits=(3.5, 5.0, 8.0),
    met="rule.greys.met",
    missed={
        "send": "rule.greys.tinted",
        "draft": "rule.greys.plainly-tinted",
        "reject": "rule.greys.ruled-by-tint",
    },
    path_only=True,
)

SHADOWS = Rule(
    id="shadows",
    measure="shadow_opens_at",
    better="lower",
    limits=(0.10, 0.16, 0.24),
    met="rule.shadows.met",
    missed={
        "send": "rule.shadows.closed",
        "draft": "rule.shadows.detail-lost",
        "reject": "rule.shadows.detail-lost",
    },
    path_only=True,
)

TONE_ORDER = Rule(
    id="tone-order",
    counts=True,
    measure="reversals",
    better="lower",
    limits=(0.0, 1.0, 3.0),
    met="rule.tone-order.met",
    missed=dict.fromkeys(GRADES[1:], "rule.tone-order.reversed"),
)

TRUE_SIZE = Rule(
    id="true-size",
    measure="size_error",
    better="nearer-zero",
    limits=(0.5, 1.5, 3.0),
    met="rule.true-size.met",
    missed=dict.fromkeys(GRADES[1:], "rule.true-size.too-large"),
    missed_below="rule.true-size.too-small",
    critical=False,
)

RULES: tuple[Rule, ...] = (BLACK, RANGE, GAMUT, HUES, GREYS, SHADOWS, TONE_ORDER, TRUE_SIZE)
