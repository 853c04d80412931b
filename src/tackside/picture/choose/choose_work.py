"""Some pictures weighed up by every way as a piece of work: plain data in and out, for any process, here or elsewhere.

The ways go out once, with what was worked out of their cards; pictures go by path, and come back as a few sums.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from tackside.errors import BadImage, BadRequest
from tackside.picture.choose.cards import CardProfile, CardReading, CardSource
from tackside.picture.choose.samples import FORM
from tackside.picture.choose.way_table import NODES
from tackside.picture.choose.workshop import FIELDS, Workshop
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.ways import PrintWay
from tackside.records import Reading
from tackside.tasks.workers import Plain

# By a handle: those of this process while its threads work with them, and the last one that was sent here.
_WORKSHOPS: dict[str, Workshop] = {}
_SENT: dict[str, Workshop] = {}


@contextlib.contextmanager
def at_hand(workshop: Workshop) -> Iterator[Plain]:
    """What threads of this process are given to find the workshop itself by, nothing sent."""
    handle = str(id(workshop))
    _WORKSHOPS[handle] = workshop
    try:
        yield {"handle": handle}
    finally:
        del _WORKSHOPS[handle]


def key_of(ways: Sequence[PrintWay]) -> str:
    """Equal for ways that give the same, in the same order."""
    return hashlib.sha256(" ".join([str(FORM), *(way.key for way in ways)]).encode()).hexdigest()


def asked_of_all(workshop: Workshop, cache: Path | None) -> Plain:
    """The ways and samples for another process; ``cache`` only where that reaches it."""
    sources: dict[int, tuple[int, CardSource]] = {}
    for way in workshop.ways:
        for source in (way.card, way.converter):
            sources.setdefault(id(source), (len(sources), source))
    return {
        "key": key_of(workshop.ways),
        "cache": None if cache is None else str(cache.resolve()),
        "sources": [_plain_source(source) for _, source in sources.values()],
        "ways": [
            {
                "stock": way.stock,
                "card": sources[id(way.card)][0],
                "converter": sources[id(way.converter)][0],
                "intent": way.variant.intent,
                "bpc": way.variant.bpc,
                "profile": way.profile,
                "measured": way.measured,
            }
            for way in workshop.ways
        ],
        "samples": workshop.samples.astype("<f4").tobytes(),
    }


def asked_of_pictures(paths: Sequence[Path]) -> Plain:
    """Each picture by its path, with size and time of change: another one under the same name is looked at again."""
    return {"pictures": [_place(path) for path in paths]}


def weigh(asked: Plain, common: Plain) -> Plain:
    """Weigh pictures up. Of each its best way (its number) and that way's cost, or the ``fault`` that keeps it shut,
    a message as data; of all that can be opened, ``cost`` (ways) and ``figures`` (ways, 2 × fields) added up."""
    workshop = _workshop(common)
    count = len(workshop.ways)
    costs, total = np.zeros(count), np.zeros((count, 2 * len(FIELDS)))
    pictures: list[Plain] = []
    for place in asked["pictures"]:
        path = Path(place["path"])
        if place["size"] is not None and not path.exists():
            raise BadRequest("choose.not-at-worker", file=str(path))
        try:
            cost, figures = workshop.look_at(path)
        except BadImage as error:
            pictures.append({"fault": error.message.as_data()})
            continue
        best = int(np.argmin(cost))
        pictures.append({"fault": None, "best": best, "cost": float(cost[best])})
        costs += cost
        total += figures
    return {"pictures": pictures, "cost": costs.tolist(), "figures": total.tolist()}


def _workshop(common: Plain) -> Workshop:
    if "handle" in common:
        return _WORKSHOPS[common["handle"]]
    key = common["key"]
    if key not in _SENT:
        sources = [_source(each) for each in common["sources"]]
        ways = [
            PrintWay(
                each["stock"],
                sources[each["card"]],
                sources[each["converter"]],
                IntentVariant(each["intent"], each["bpc"]),
                each["profile"],
                each["measured"],
            )
            for each in common["ways"]
        ]
        samples = np.frombuffer(common["samples"], dtype="<f4").reshape(len(ways), NODES**3, 3)
        cache = None if common["cache"] is None else Path(common["cache"])
        made = Workshop(ways, cache, samples)
        _SENT.clear()
        _SENT[key] = made
    return _SENT[key]


def _plain_source(source: CardSource) -> Plain:
    if isinstance(source, CardReading):
        return {"name": source.name, "reading": source.reading.model_dump(mode="json")}
    assert isinstance(source, CardProfile)
    return {"name": source.name, "profile": source.profile}


def _source(plain: dict[str, Any]) -> CardSource:
    if "reading" in plain:
        return CardReading(plain["name"], Reading.model_validate(plain["reading"]))
    return CardProfile(plain["name"], plain["profile"])


def _place(path: Path) -> Plain:
    found: Plain = {"path": str(path.absolute()), "size": None, "changed": None}
    with contextlib.suppress(OSError):
        known = path.stat()
        found |= {"size": known.st_size, "changed": known.st_mtime_ns}
    return found
