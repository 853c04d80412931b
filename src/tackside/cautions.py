"""The cautions: each once, shown wherever card is fed, cut or touched, and nowhere else.

All are common practice, no source; the printer's maker and local rules come first. Who shows one names it here, so that
terminal, pages, paper and the test sheet say the same words; ``docs/`` quotes them, held by ``tests/test_cautions.py``.
"""

from __future__ import annotations

from collections.abc import Iterable

from tackside.messages import Message

# Card on its way into a printer.
HEAD_STRIKE = Message(
    "caution.head-strike",
    "Keep to the printer maker's limits of thickness and clearance: card that is too thick or curled can "
    "strike the head.",
)
# Hands beside a printer that is on.
DAMP_FINGERS = Message(
    "caution.damp-fingers", "Keep damp fingers and loose sheets away from a running, powered printer."
)
# The damp-finger check of which side is coated.
DAMP_FINGERTIP = Message(
    "caution.damp-fingertip",
    "Touch card with a damp fingertip only well away from a running, powered printer.",
)
# The smudge block of the test sheet; the short form is drawn on the sheet itself.
SMUDGE = Message(
    "caution.smudge",
    "Wipe the smudge block with a dry finger only, well away from a running, powered printer.",
)
SMUDGE_ON_SHEET = Message("caution.smudge-on-sheet", "dry finger, away from the printer")
BLADES = Message("caution.blades", "Knives and trimmers cut: keep your fingers clear of the blade.")
# Cards with buttons, gems and the like, for people who make, plan or pack them.
SMALL_PARTS = Message(
    "caution.small-parts",
    "Small parts stuck on a card can come off and be swallowed: cards for small children fall under local "
    "product-safety rules.",
)

CAUTIONS = (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP, SMUDGE, SMUDGE_ON_SHEET, BLADES, SMALL_PARTS)


def as_data(cautions: Iterable[Message]) -> list[dict[str, str]]:
    """As JSON carries them: the code and the English text of each."""
    return [{"code": each.code, "text": str(each)} for each in cautions]


def as_text(cautions: Iterable[Message]) -> str:
    """In English, for a terminal: one sentence after the other."""
    return " ".join(str(each) for each in cautions)
