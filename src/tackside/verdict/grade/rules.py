"""The grading rules, as data: what each looks at, where its grades end, what it says, where that comes from.

The scheme: every rule says which grade its measure allows at best; the grade of the print is the worst that
any *critical* rule allows. An advisory rule only speaks. A rule whose measure was not made says nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from tackside.records.verdict import GRADES, Grade

Better = Literal["lower", "higher", "nearer-zero"]
OWN = "the limits are this project's own"
OPEN = "open characterisation data FOGRA39L, TR 003 and FOGRA29L"


@dataclass(frozen=True)
class Rule:
    """One rule. ``limits``: the worst values that still allow sell, send, draft; ``better`` says which way.

    ``met`` is said where the measure allows ``sell``, else ``missed`` and, where there is one, the ``effect``
    of that grade. In them ``{value}`` is the figure divided by ``divisor``, ``{percent}`` the figure in per
    cent, ``{what}`` the measure's method. A rule of ``path_only`` speaks only of prints of a sheet that went
    the whole way from file to paper, where greys and shadows have an aim.
    """

    id: str
    measure: str
    better: Better
    limits: tuple[float, float, float]
    met: str
    missed: str
    source: str
    effect: dict[Grade, str] = field(default_factory=dict)
    critical: bool = True
    path_only: bool = False
    counts: bool = False
    digits: int = 0
    divisor: float = 1.0

    def allows(self, value: float) -> Grade:
        """The best grade that this value allows."""
        for grade, limit in zip(GRADES, self.limits, strict=False):
            if self._reaches(value, limit):
                return grade
        return "reject"

    def _reaches(self, value: float, limit: float) -> bool:
        if self.better == "higher":
            return value >= limit
        return (abs(value) if self.better == "nearer-zero" else value) <= limit


_WASHED_OUT = (
    "The print will look washed out, and if this side has no coating, no setting will bring the depth back."
)

BLACK = Rule(
    id="black",
    measure="black_l",
    better="lower",
    # docs/sources.md, S26 to S28. sell: pearl cards, the weakest class with a coating, reach 19; one more for the
    # reading. send: past that, yet deeper than any card with no coating (27 at best; 2 less, since that figure is
    # an estimate). draft: to the middle of the class with no coating, Dmax 1.15, which is L* 32.
    limits=(20.0, 25.0, 32.0),
    met="Black reaches L* {value}, as deep as a coated card should go (20 or lower).",
    missed="Black reaches only L* {value}; a coated card reaches 19 or lower.",
    effect={"send": "Shadows will look a little weak.", "draft": _WASHED_OUT, "reject": _WASHED_OUT},
    source="Classes of inkjet card by black L* and Dmax: several secondary sources agree for coated "
    "card, one weak source for card with no coating; black ink alone in offset printing is at L* 16 and "
    f"18 on coated paper and at 32 on uncoated ({OPEN}); {OWN}",
    digits=1,
)

RANGE = Rule(
    id="range",
    measure="l_range",
    better="higher",
    # The darkest standard paper white, 88 less its tolerance of 3, over the three limits of black.
    limits=(65.0, 60.0, 53.0),
    met="From paper to black the print spans {value} L*, enough for a full picture (65 or more).",
    missed="From paper to black the print spans only {value} L*; a full picture wants 65 or more.",
    effect={"draft": "It will look flat.", "reject": "It will look flat."},
    source=f"ISO 12647-2 paper white (88, tolerance 3) over the limits of the black rule; {OWN}",
)

GAMUT = Rule(
    id="gamut",
    measure="gamut_corners",
    better="higher",
    # By the same eight colours offset solids span 353 000 (FOGRA39L) and 305 000 (TR 003) on coated paper, and
    # 171 000 (FOGRA29L) on uncoated (docs/sources.md, S28). Solids 5 ΔE*ab duller (S37) leave 307 000 of the first
    # and 143 000 of the last. send: about the geometric mean of the two, 246 000.
    limits=(300e3, 240e3, 135e3),
    met="Paper, black and the six solids span {value} thousand cubic units of colour, as on coated paper "
    "(300 or more).",
    missed="Paper, black and the six solids span only {value} thousand cubic units of colour; on coated "
    "paper they span 300 or more.",
    effect={
        "send": "Strong colours will look a little quieter.",
        "draft": "Strong colours will look dull.",
        "reject": "Strong colours are lost.",
    },
    source="Paper, black and solids of offset printing, coated and uncoated, the solids up to 5 ΔE*ab duller "
    f"({OPEN}); {OWN}",
    divisor=1000.0,
)

HUES = Rule(
    id="hues",
    measure="weakest_solid",
    better="higher",
    limits=(0.6, 0.5, 0.35),
    met="Every solid colour is there; the weakest, {what}, has {percent} % of the chroma that offset "
    "inks reach on uncoated paper.",
    missed="The solid {what} is weak: it has {percent} % of the chroma that offset inks reach on "
    "uncoated paper.",
    effect={"reject": "That hue is all but missing."},
    source="Chroma of the solids of offset printing on uncoated paper (open characterisation data FOGRA29L); "
    "the shares are this project's own",
    digits=2,
)

GREYS = Rule(
    id="greys",
    measure="grey_balance_mean",
    better="lower",
    limits=(3.5, 5.0, 8.0),
    met="Greys stay within {value} ΔCh of their aim on average (3.5 or less).",
    missed="Greys are {value} ΔCh off their aim on average; beyond 3.5 a tint shows.",
    effect={"draft": "Here it is plain.", "reject": "Here it rules the picture."},
    source=f"2 to 3.5 ΔE00 is a usual commercial limit: several secondary sources agree; past it {OWN}",
    path_only=True,
    digits=1,
)

SHADOWS = Rule(
    id="shadows",
    measure="shadow_opens_at",
    better="lower",
    limits=(0.10, 0.16, 0.24),
    met="Shadows open early: the first step above black that can be told from it is {percent} % (10 or "
    "less).",
    missed="Shadows are closed: no step above black can be told from it before {percent} % (10 or less "
    "is good).",
    effect={"draft": "Dark detail is lost.", "reject": "Dark detail is lost."},
    source=f"common practice; {OWN}",
    path_only=True,
    digits=3,
)

TONE_ORDER = Rule(
    id="tone-order",
    counts=True,
    measure="reversals",
    better="lower",
    limits=(0.0, 1.0, 3.0),
    met="Every grey step is at least as light as the one before it.",
    missed="Grey steps that are darker than the one before them: {value}. Smooth tones will band.",
    source=f"common practice; {OWN}",
)

TRUE_SIZE = Rule(
    id="true-size",
    measure="size_error",
    better="nearer-zero",
    limits=(0.5, 1.5, 3.0),
    met="The print has its true size, to {value} %.",
    missed="The print is {value} % too {sense}: something on the way scales it, such as a fit or a "
    "borderless factor.",
    source=f"common practice; {OWN}",
    critical=False,
    digits=1,
)

RULES: tuple[Rule, ...] = (BLACK, RANGE, GAMUT, HUES, GREYS, SHADOWS, TONE_ORDER, TRUE_SIZE)
