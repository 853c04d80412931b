"""Which trial stands for a card: of each side of a stock, the latest that has a verdict that stands.

Latest is the sheet that was made last; of two made at the same moment, the one that came to the bench last. On which
printer it was printed makes no difference. It is not the best grade ever seen: a card may fail at its last print.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from datetime import datetime
from typing import TypeVar

from tackside.records.sheet_plan import Side

SIDES: tuple[Side, Side] = ("front", "back")
Judged = TypeVar("Judged")


def latest_by_side(
    judged: Iterable[Judged], card: Callable[[Judged], Hashable], made_at: Callable[[Judged], datetime]
) -> list[Judged]:
    """Of each card (its stock and side) the trial that stands, from all that have a verdict that stands.

    They are given in the order in which they came; the cards stay in the order of their first trials.
    """
    latest: dict[Hashable, Judged] = {}
    for each in judged:
        before = latest.get(card(each))
        if before is None or made_at(each) >= made_at(before):
            latest[card(each)] = each
    return list(latest.values())
