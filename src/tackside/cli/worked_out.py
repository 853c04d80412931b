"""Cards worked out for ``tackside choose`` at the end of the commands that bring readings in."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from tackside.bench.store import Bench


def work_out_for_choosing(bench: Bench, trials: Iterable[str]) -> None:
    """Keep what a choice asks of these trials' cards; nothing here keeps a reading from being kept."""
    from tackside.picture.work_out import work_out_trials  # heavy: after the reading is safe

    shown = sys.stderr.isatty()
    if shown:
        print("working the card out for tackside choose…", end="", file=sys.stderr, flush=True)
    work_out_trials(bench, trials)
    if shown:
        print("\r\033[K", end="", file=sys.stderr, flush=True)
