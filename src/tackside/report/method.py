"""How the prints came about and were judged, in sentences, so that someone else can do it again."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.report.entry import Entry
from tackside.report.words import KIND_SAYS, SPACE_SAYS, full_sentence, listed


def methods(entries: Sequence[Entry]) -> tuple[str, ...]:
    """The method of all trials of a page; what differs between them is said of each, with its settings."""
    sheets = {
        (entry.trial.sheet.space, entry.trial.sheet.ppi, len(entry.trial.sheet.patches)) for entry in entries
    }
    said = [
        f"Each card was printed with a test sheet of its own size, made for the card and the printer: {count} patches "
        f"in {SPACE_SAYS[space]}, at {ppi:g} pixels an inch, with marks by which a scan finds its place."
        for space, ppi, count in sorted(sheets, key=str)
    ]
    kinds = sorted({KIND_SAYS[entry.reading.kind] for entry in entries})
    said.append(
        f"The prints were read from {listed(kinds)}. What of, with which settings, when and how far to trust it "
        "stands with each card."
    )
    bases = dict.fromkeys(full_sentence(entry.reading.uncertainty.basis) for entry in entries)
    said += [f"On the uncertainty of the colours: {basis}" for basis in bases]
    said.append(
        "Colours are CIELAB for D50 and the 2° observer, against the perfect white; differences are CIEDE2000. The "
        "verdict is that of the strictest rule; the rules, their limits' sources and what each allowed stand with each."
    )
    if any(entry.verdict.against for entry in entries):
        said.append(
            "Some were judged against a print on a card that is known to be good; then shares of it are given."
        )
    said.append(
        "To do it again: the same card, side, printer and settings, the sheet made again, dried as long, read alike."
    )
    return tuple(said)
