"""The report's words: grades, causes, measures and settings, as a card maker says them."""

from __future__ import annotations

from tackside.cautions import BLADES, DAMP_FINGERS, HEAD_STRIKE
from tackside.records import Cause, Grade
from tackside.verdict.explain.words import CAUSE_WORDS

GRADE_SAYS: dict[Grade, str] = {
    "sell": "is fit to sell",
    "send": "is good enough to send",
    "draft": "will do for drafts",
    "reject": "does not hold a print",
}
GRADE_MEANS: dict[Grade, str] = {
    "sell": "a print that a customer may expect for money",
    "send": "a print to give or post, with limits that show beside a better one",
    "draft": "good for trying a layout or a colour, not for handing on",
    "reject": "this combination of card, side and settings does not hold a print",
}
# Causes that say nothing against the card: the print must be made again before the card is judged.
NOT_THE_CARD: frozenset[Cause] = frozenset(CAUSE_WORDS) - {"none", "stock", "unknown"}

# Measures in the order in which they are shown; any other follows under its own name.
MEASURE_SAYS: dict[str, str] = {
    "paper_lab": "Paper white, L* a* b*",
    "black_l": "Black, L*",
    "black_lab": "Black, L* a* b*",
    "dmax": "Deepest black, density",
    "l_range": "Range from white to black, L*",
    "gamut_volume": "Colours it can hold, gamut volume",
    "gamut_hull": "Gamut volume, convex hull",
    "gamut_corners": "Gamut volume, paper, black and solids",
    "chroma_c": "Chroma of the cyan solid",
    "chroma_m": "Chroma of the magenta solid",
    "chroma_y": "Chroma of the yellow solid",
    "chroma_r": "Chroma of the red solid",
    "chroma_g": "Chroma of the green solid",
    "chroma_b": "Chroma of the blue solid",
    "weakest_solid": "Weakest solid, share of uncoated offset",
    "grey_balance_mean": "Grey balance, mean off",
    "grey_balance_max": "Grey balance, worst off",
    "shadow_steps": "Steps told apart near black",
    "shadow_opens_at": "First step told from black, grey in the file",
    "highlight_steps": "Steps told apart near white",
    "highlight_opens_at": "First step told from white, grey off white",
    "reversals": "Grey steps out of order",
    "share_l_range": "Lightness range, share of the reference",
    "share_chroma": "Chroma, share of the reference",
    "share_gamut_volume": "Gamut volume, share of the reference",
    "size_error": "Size error, worse of both ways",
}
MAIN_MEASURES = frozenset(
    {
        "paper_lab",
        "black_l",
        "dmax",
        "l_range",
        "gamut_volume",
        "weakest_solid",
        "grey_balance_mean",
        "shadow_steps",
        "highlight_steps",
        "size_error",
        "share_l_range",
        "share_chroma",
        "share_gamut_volume",
    }
)
BASE_SAYS = {
    "photo": "photo base",
    "matt": "matt coated",
    "cotton": "cotton",
    "plain": "plain card",
    "unknown": "not known",
}
COATED_SAYS = {
    "front": "front only",
    "back": "back only",
    "both": "both sides",
    "none": "neither side",
    "unknown": "not known",
}
FOUND_BY_SAYS = {
    "damp-fingertip": "found by a damp fingertip",
    "maker": "by the maker's word",
    "two-sided-trial": "found by printing both sides",
    "not-checked": "",
}
MANAGED_SAYS = {"application": "the application", "driver": "the printer driver", "nobody": "nobody"}
INTENT_SAYS = {
    "perceptual": "perceptual",
    "relative": "media-relative colorimetric",
    "saturation": "saturation",
    "absolute": "ICC-absolute colorimetric",
}
SPACE_SAYS = {
    "srgb": "sRGB (IEC 61966-2-1)",
    "adobe-rgb": "a space compatible with Adobe RGB (1998)",
    None: "bare device numbers",
}
KIND_SAYS = {"scan": "a scan", "instrument": "a measuring instrument", "eye": "answers by eye"}

CAUTIONS = (
    f"{HEAD_STRIKE} Where this page and the maker differ, the maker is right.",
    str(DAMP_FINGERS),
    str(BLADES),
    "Makers change a coating without a word on the pack, and prices change: what is said here holds for the packs and "
    "the days named on this page.",
)


def listed(names: list[str]) -> str:
    """Names as a sentence lists them: a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def measure_label(name: str) -> str:
    """A measure's name for people; unknown ones are their own name with spaces."""
    return MEASURE_SAYS.get(name) or name.replace("_", " ").replace("-", " ").capitalize()


def full_sentence(text: str) -> str:
    """A remark with a capital and a full stop, whoever wrote it."""
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '!', '?')) else '.'}"


def percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"
