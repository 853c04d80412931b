"""Many cards at once: a sheet in hand for each core, and no more than that in memory."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor

from tackside.card.make import CardSheet


def made_together(work: Iterable[Callable[[], CardSheet]], workers: int | None = None) -> Iterator[CardSheet]:
    """Do each piece of work, usually ``functools.partial(make_card, …)``, and give its sheet, in order.

    ``workers`` sheets are made at a time, by default as many as there are cores: a sheet alone leaves cores idle
    while it is decoded and packed. The first error ends the run; sheets that are finished by then stay.
    """
    count = workers or os.cpu_count() or 1
    waiting: deque[Future[CardSheet]] = deque()
    with ThreadPoolExecutor(count) as threads:
        try:
            for each in work:
                waiting.append(threads.submit(each))
                if len(waiting) > count:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()
