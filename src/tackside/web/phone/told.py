"""What the phone's page is told, as JSON: what is wrong with a picture and where; how far its reading is."""

from __future__ import annotations

from typing import Any

from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.messages.wording import Wording, as_sentence
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.phone.door import PhoneDoor
from tackside.workflow.judge import three_lines
from tackside.workflow.photo.read import PhotoLook


def fault_told(fault: Message, wording: Wording) -> dict[str, Any]:
    """A fault and its fix."""
    return {"what": as_sentence(wording.what(fault)), "fix": as_sentence(wording.fix(fault))}


def look_told(look: PhotoLook, wording: Wording, *, has_preview: bool) -> dict[str, Any]:
    """Faults, the worst first, and the sheets; places are points (x, y), 0 to 1 of the picture held upright."""
    return {
        "ready": look.is_ready,
        "preview": has_preview,
        "size": look.size_px,
        "faults": [
            {
                **fault_told(each.message, wording),
                "hinders": each.hinders,
                "areas": [_rounded(area) for area in each.areas],
            }
            for each in look.faults
        ],
        "sheets": [
            {"trial": each.trial, "new": each.is_new, "outline": _rounded(each.outline)}
            for each in look.sheets
        ],
    }


def state_told(bench: Bench, door: PhoneDoor, person: Person) -> dict[str, Any]:
    """``state``: ``waiting`` for a picture, ``reading``, ``done`` with the verdict's word and lines, or ``failed``."""
    if door.visit.job is None:
        return {"state": "waiting"}
    job = bench.jobs.get(door.visit.job)
    if job.is_open:
        doing = person.say("Waiting for its turn") if job.doing is None else person.tell(job.doing)
        return {"state": "reading", "share": round(job.share, 2), "doing": as_sentence(doing)}
    if job.state != "done" or job.result is None:
        fault = job.fault or Message("phone.stopped")
        return {"state": "failed", **fault_told(fault, person.wording)}
    verdict = bench.verdicts.get(job.result["verdict"])
    head = three_lines(verdict, bench.trials.get(verdict.trial or door.trial))
    lines = [as_sentence(person.tell(each)) for each in (head.good_for, head.why, head.then)]
    limits = [
        as_sentence(person.tell(each)) for each in verdict.notices if each.code == "verdict.from-a-photo"
    ]
    return {
        "state": "done", "word": person.say(words.GRADES[verdict.grade]), "lines": lines, "limits": " ".join(limits),
    }  # fmt: skip


def _rounded(points: Any) -> list[list[float]]:
    return [[round(float(x), 4), round(float(y), 4)] for x, y in points]
