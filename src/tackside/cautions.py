"""The cautions: each once, shown wherever card is fed, cut or touched, and nowhere else.

All are common practice, no source; the printer's maker and local rules come first. Who shows one names it here, so that
terminal, pages, paper and the test sheet say the same words; ``docs/`` quotes them, held by ``tests/test_cautions.py``.
"""

from __future__ import annotations

from collections.abc import Iterable

from tackside.messages.message import Message

# Card on its way into a printer.
HEAD_STRIKE = Message("caution.head-strike")
# Hands beside a printer that is on.
DAMP_FINGERS = Message("caution.damp-fingers")
# The damp-finger check of which side is coated.
DAMP_FINGERTIP = Message("caution.damp-fingertip")
# The smudge block of the test sheet; the short form is drawn on the sheet itself.
SMUDGE = Message("caution.smudge")
SMUDGE_ON_SHEET = Message("caution.smudge-on-sheet")
BLADES = Message("caution.blades")
# Cards with buttons, gems and the like, for people who make, plan or pack them.
SMALL_PARTS = Message("caution.small-parts")

# A printer is about to start; and what it printed is then cut, folded and packed.
PRINTING = (HEAD_STRIKE, DAMP_FINGERS)
PRINTING_AND_CUTTING = (*PRINTING, BLADES, SMALL_PARTS)

CAUTIONS = (HEAD_STRIKE, DAMP_FINGERS, DAMP_FINGERTIP, SMUDGE, SMUDGE_ON_SHEET, BLADES, SMALL_PARTS)


def as_text(cautions: Iterable[Message]) -> str:
    """In English, for a terminal: one sentence after the other."""
    return " ".join(str(each) for each in cautions)
