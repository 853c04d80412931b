"""As which letters the cards of a run go, by the dated limits of the post, and whether the run's postage fits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tackside.fit.model import FullFit, Mailed, PostCheck
from tackside.messages.message import Message
from tackside.run.plan.run_file import Postage


@dataclass(frozen=True)
class Posting:
    """A folded card of one stock in its envelope, against each service; ``mailed`` None where no envelope takes it."""

    stock: str
    mailed: Mailed | None
    services: tuple[PostCheck, ...]


def postings(fits: Iterable[FullFit]) -> tuple[Posting, ...]:
    """One for each stock; the fits must have been made with the limits of the post."""
    found = {fit.stock: Posting(fit.stock, fit.mailed, fit.post) for fit in fits}
    return tuple(found.values())


def remarks(asked: Postage, found: Iterable[Posting]) -> Iterator[Message]:
    """Where the postage that was asked for does not fit, costs more, or could not be checked."""
    for posting in found:
        named = [each for each in posting.services if _is_asked(each, asked)]
        if not named:
            known = sorted({(each.service, each.country) for each in posting.services})
            yield Message(
                "run.post-unknown",
                service=asked.service,
                known=[Message("run.service", service=name, country=country) for name, country in known],
            )
        for each in named:
            here = {
                "stock": posting.stock,
                "service": each.service,
                "country": each.country,
                "noted": f"{each.noted:%Y-%m-%d}",
            }
            if not each.goes:
                yield Message("run.post-does-not-go", **here, reasons=each.reasons)
            if each.surcharge:
                yield Message("run.post-surcharge", **here, surcharge=each.surcharge)
            if each.goes and each.unchecked:
                yield Message("run.post-unchecked", **here, unchecked=each.unchecked)


def _is_asked(check: PostCheck, asked: Postage) -> bool:
    return check.service.casefold() == asked.service.casefold() and asked.country in (None, check.country)
