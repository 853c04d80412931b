"""The report's words: grades, causes, measures and settings, as a card maker says them."""

from __future__ import annotations

from tackside.cautions import BLADES, DAMP_FINGERS, HEAD_STRIKE
from tackside.messages.message import Message
from tackside.messages.wording import as_sentence
from tackside.records import Cause, Grade
from tackside.report.published import published
from tackside.verdict.explain.words import CAUSES

GRADE_SAYS: dict[Grade, str] = {
    "sell": "is fit to sell",
    "send": "is good enough to send",
    "draft": "will do for drafts",
    "reject": "does not hold a print",
}
GRADE_MEANS: dict[Grade, str] = {
    "sell": "a print that a customer may expect for money",
    "send": "a print to give or post, with limits that show beside a better one",
    "draft": "good for trying a layout or a colour, not for giving away",
    "reject": "this combination of card, side and settings does not hold a print",
}
# Causes that say nothing against the card: the print must be made again before the card is judged.
NOT_THE_CARD: frozenset[Cause] = frozenset(CAUSES) - {"none", "stock", "unknown"}

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
KIND_SAYS = {
    "scan": "a scan",
    "instrument": "a measuring instrument",
    "photo": "a photograph",
    "eye": "answers by eye",
}

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


def full_sentence(said: str | Message) -> str:
    """A remark with a capital and a full stop, whoever wrote it."""
    return as_sentence(published(said).strip())


def percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"
