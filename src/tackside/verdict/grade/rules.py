"""The grading rules, as data: what each looks at, where its grades end, which messages it gives.

The scheme: every rule says which grade its measure allows at best; the grade of the print is the worst that
any *critical* rule allows. An advisory rule only speaks. A rule whose measure was not made says nothing.

RULES are those of a bare device sheet on a card about which nothing is known. ``rules_for`` makes of them the rules
for one print.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from tackside.records.verdict import GRADES, Grade, Measure
from tackside.verdict.grade.limits import (
    ANY_BLACK,
    CHROMA_SHARES,
    COMPENSATED,
    CORNERS,
    HUE_SHARES,
    SOLIDS,
    black_limits,
    coating_shown,
    gamut_limits,
    range_limits,
    shadow_limits,
    under_stray_light,
    way_of,
)
from tackside.verdict.known_print import Printed
from tackside.verdict.measures.measure import number

Better = Literal["lower", "higher", "nearer-zero"]


@dataclass(frozen=True)
class Rule:
    """One rule. ``limits``: the worst values that still allow sell, send, draft; ``better`` says which way.

    ``met`` is the code of what is said where the measure allows ``sell``, ``missed`` of what is said at each lesser
    grade, ``source`` of where the limits come from (``rule.ID.source`` unless it says otherwise); that a call is close
    stands under ``rule.ID.close-call``. Their values: ``value``, the figure over ``divisor``; ``limit``, the first
    limit over it; ``what``, the colour that the measure names. A rule of ``path_only`` speaks only of prints of a sheet
    that went the whole way from file to paper, where greys and shadows have an aim. ``counts``: its measure is a whole
    number, which is no close call. ``missed_below`` is said in place of ``missed`` of a figure that is too far below
    zero.
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
    source: str | None = None

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
    limits=ANY_BLACK,
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

CHROMA = Rule(
    id="chroma",
    measure="path_chroma",
    better="higher",
    limits=CHROMA_SHARES,
    met="rule.chroma.met",
    missed={
        "send": "rule.chroma.duller",
        "draft": "rule.chroma.dull",
        "reject": "rule.chroma.dull",
    },
    path_only=True,
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
    limits=COMPENSATED,
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

RULES: tuple[Rule, ...] = (BLACK, RANGE, GAMUT, HUES, CHROMA, GREYS, SHADOWS, TONE_ORDER, TRUE_SIZE)

# The one rule that looks at what all colours together say of the path (``grading.management_outcome``).
MANAGEMENT = "colour-management"

# What a print says of the card under it, and what of the path that led to it; true size is advice on the feed.
OF_THE_CARD, OF_THE_PATH = (
    frozenset({"black", "range", "gamut"}),
    frozenset({"hues", "chroma", "greys", "shadows", "tone-order", MANAGEMENT}),
)

_PATH_GAMUT = replace(
    GAMUT,
    measure="path_gamut",
    met="rule.gamut.path-met",
    missed={
        "send": "rule.gamut.path-quieter",
        "draft": "rule.gamut.path-dull",
        "reject": "rule.gamut.path-lost",
    },
    source="rule.gamut.path-source",
)
_PATH_HUES = replace(
    HUES,
    measure="path_hue",
    met="rule.hues.path-met",
    missed={
        "send": "rule.hues.path-weak",
        "draft": "rule.hues.path-weak",
        "reject": "rule.hues.path-missing",
    },
    source="rule.hues.path-source",
)
_HIDDEN_SHADOWS = replace(
    SHADOWS,
    measure="path_shadows",
    source="rule.shadows.path-source",
    missed={
        "send": "rule.shadows.uncompensated",
        "draft": "rule.shadows.detail-lost",
        "reject": "rule.shadows.detail-lost",
    },
)


def rules_for(printed: Printed, measures: dict[str, Measure]) -> tuple[Rule, ...]:
    """The rules that speak of one print, with its own limits, in the order of RULES.

    Of ``measures`` two things matter: whether black shows a coating, and which of the path's measures were made.
    """
    black = replace(BLACK, limits=black_limits(printed))
    if printed.lifted:
        black = replace(black, missed={**BLACK.missed, "send": "rule.black.lifted"})
    span = replace(RANGE, limits=range_limits(printed))
    if not printed.path:
        corners = replace(GAMUT, limits=under_stray_light(GAMUT.limits, printed))
        return black, span, corners, HUES, TONE_ORDER, TRUE_SIZE
    return (
        black,
        span,
        *_colours(printed, measures),
        *([CHROMA] if way_of(printed) == "clipped" else []),
        replace(GREYS, measure="grey_balance_mean" if printed.intent == "relative" else "path_greys"),
        replace(SHADOWS if printed.held_to_open_shadows else _HIDDEN_SHADOWS, limits=shadow_limits(printed)),
        TONE_ORDER,
        TRUE_SIZE,
    )


def _colours(printed: Printed, measures: dict[str, Measure]) -> tuple[Rule, Rule]:
    """What is asked of gamut and hues, by all colours of the sheet where it holds a cube, else by its solids."""
    coated = 1.0 if printed.lifted else coating_shown(number(measures, BLACK.measure))
    gamut = replace(GAMUT, limits=CORNERS)
    if "path_gamut" in measures:
        limits = gamut_limits(printed, GAMUT.limits, coated=coated)
        gamut = replace(_PATH_GAMUT, limits=under_stray_light(limits, printed))
    hues = replace(HUES, limits=SOLIDS)
    if "path_hue" in measures:
        hues = replace(_PATH_HUES, limits=HUE_SHARES[printed.space])
    return gamut, hues
