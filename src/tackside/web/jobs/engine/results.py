"""Where a job's result is to be seen. A subject adds its own line."""

from __future__ import annotations

from tackside.bench.repositories.jobs import Job
from tackside.web.shell.keys import key_of

_PAGES = {
    "hand-on": "/stocks/{stock_key}",
    "take-in": "/stocks/{stock_key}",
    "choose": "/choices/{job}",
    "own-profile": "/profiles/{sha256}",
    "refine-profile": "/profiles/{sha256}",
    "profile": "/profiles/{sha256}",
    "picture": "{address}",
    "gamut": "/gamut?of={of}&against={against}&picture={picture}&basis={basis}",
    "proof": "/choices/{choice}/proof/{number}?card={card}",
    "card-picture": "/cards/{card_key}/pictures/{job}",
    "card-font": "/cards/{card_key}/fonts/{job}",
    "card-files": "/cards/{card_key}/print",
    "card-list": "/cards/{card_key}/list",
    "run-plan": "/plan/run/{job}",
    "report": "/reports/{job}",
    "run-papers": "/runs/{run}",
    "send": "{page}",
    "sheet": "/trials/{trial}/print",
    "practice": "/practice/{trial}",
    "read": "/trials/{trial}",
    "photo": "/trials/{trial}",
    "arrived": "{address}",
    "scan": "{address}",
    "prepare-card": "/trials/{trial}",
    "view": "/trials/{trial}",
}


def href_of(job: Job) -> str | None:
    """The page of a job's result, or of what it is about while there is none."""
    known: dict[str, object] = {
        "job": job.id,
        **({"trial": job.subject} if job.subject else {}),
        **(job.result or {}),
    }
    if "trial" in known:
        known.setdefault("address", f"/trials/{known['trial']}")
    if "stock" in known:
        known["stock_key"] = key_of(str(known["stock"]))
    if "card" in known:
        known["card_key"] = key_of(str(known["card"]))
    form = _PAGES.get(job.kind)
    try:
        return form.format(**known) if form else None
    except KeyError:
        return None
