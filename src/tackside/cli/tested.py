"""The cards on the bench that were printed and read, as devices: the newest reading of each side of each stock."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import NotFound
from tackside.picture import read_cards
from tackside.picture.proof.tested_cards import ReadCard


def tested_cards() -> tuple[ReadCard, ...]:
    """All cards that were read; none where there is no bench. A reading that no device can be made of is left out."""
    try:
        bench = Bench.open(bench_folder(), create=False)
    except NotFound:
        return ()
    return read_cards.tested_cards(bench)
