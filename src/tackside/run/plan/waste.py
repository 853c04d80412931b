"""How many sheets go wrong: from the user's own log, else from the usual figures."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

from tackside.messages.message import Message
from tackside.run.plan.run_file import Waste

# Waste 5 to 10 % plus 2 to 4 set-up sheets: common practice and one weak source (docs/sources.md, S59). Log your own.
USUAL_SPOILED = (0.05, 0.075, 0.10)
USUAL_SETUP = (2, 3, 4)
# A log is believed once it holds so many sheets: below, one bad afternoon would speak for all (our choice).
ENOUGH_SHEETS = 50
_Z_90 = 1.6449  # of the normal distribution, for the middle 90 %


@dataclass(frozen=True)
class Log:
    """What was counted so far on a stock and a printer: sheets, and the set-up sheets of each batch."""

    good: int = 0
    spoiled: int = 0
    setups: tuple[int, ...] = ()

    def plus(self, other: Log) -> Log:
        return Log(self.good + other.good, self.spoiled + other.spoiled, self.setups + other.setups)


@dataclass(frozen=True)
class Spoilage:
    """Share of printed sheets that are spoiled (low, likely, high), set-up sheets of a batch, and where both come
    from."""

    share: tuple[float, float, float]
    setup: tuple[int, int, int]
    share_basis: Message
    setup_basis: Message


def spoilage_of(log: Log, own: Waste) -> Spoilage:
    """What to expect: the run file's own figures first, then the log, then the usual ones."""
    share, share_basis = _share(log, own)
    setup, setup_basis = _setup(log, own)
    return Spoilage(share, setup, share_basis, setup_basis)


def _share(log: Log, own: Waste) -> tuple[tuple[float, float, float], Message]:
    if own.spoiled_share is not None:
        return (own.spoiled_share,) * 3, Message("run.spoilage-given")
    printed = log.good + log.spoiled
    if printed >= ENOUGH_SHEETS:
        low, high = wilson(log.spoiled, printed)
        return (low, log.spoiled / printed, high), Message("run.spoilage-from-log", sheets=printed)
    low, _, high = USUAL_SPOILED
    return USUAL_SPOILED, Message("run.spoilage-usual", least=low, most=high)


def _setup(log: Log, own: Waste) -> tuple[tuple[int, int, int], Message]:
    if own.setup_sheets is not None:
        return (own.setup_sheets,) * 3, Message("run.setup-given")
    if len(log.setups) >= 3:
        mean = sum(log.setups) / len(log.setups)
        found = (min(log.setups), ceil(mean), max(log.setups))
        return found, Message("run.setup-from-log", batches=len(log.setups))
    least, _, most = USUAL_SETUP
    return USUAL_SETUP, Message("run.setup-usual", least=least, most=most)


def wilson(hits: int, of: int, z: float = _Z_90) -> tuple[float, float]:
    """The score interval of a share (E. B. Wilson, Journal of the American Statistical Association 22, 1927)."""
    share, square = hits / of, z * z
    middle = (share + square / (2 * of)) / (1 + square / of)
    reach = z / (1 + square / of) * sqrt(share * (1 - share) / of + square / (4 * of * of))
    return max(0.0, middle - reach), min(1.0, middle + reach)


def sheets_to_print(good: int, share: float) -> int:
    """How many sheets give ``good`` good ones where ``share`` of all printed is spoiled."""
    return ceil(good / (1.0 - share) - 1e-9)
