"""Profiles and pictures as lists and pages show them, and what became of files that were dropped."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from tackside.bench.repositories.jobs import Job
from tackside.messages.message import Message
from tackside.records.assets import PictureFile
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _

LABELS = {
    "size": _("Size"), "pixels": _("%(width)s × %(height)s pixels"), "bits": _("Depth"),
    "bits_each": _("%(bits)s bits a channel"), "profile": _("Profile"), "file": _("File"), "ppi": _("In its place"),
    "ppi_told": _("%(ppi)s ppi; the eye can tell %(eye)s"),
}  # fmt: skip
VERDICTS = {
    "fits": _("fits"), "but-for-white": _("fits but for white"), "but-for-black": _("fits but for black"),
    "but-for-tone": _("fits but for tone"), "near": _("near"), "none": _("does not fit"),
}  # fmt: skip


@dataclass
class TakenIn:
    """Files that were dropped: addresses and names of those taken in, jobs that look at them, and refusals."""

    kept: list[tuple[str, str]] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    refused: list[Message] = field(default_factory=list)


def picture_facts(kept: PictureFile | None, found: dict[str, Any], person: Person) -> list[tuple[str, str]]:
    """What is known of a picture that was looked at."""
    width, height = found["size_px"]
    facts = [
        (_said(person, "size"), _said(person, "pixels", width=width, height=height)),
        (_said(person, "bits"), _said(person, "bits_each", bits=found["bits"])),
        (_said(person, "profile"), person.tell(Message.of_data(found["profile"]))),
    ]
    if kept is not None:
        facts.append((_said(person, "file"), f"{kept.kind}, {person.fixed(kept.size_bytes / 1e6, 1)} MB"))
    if found["resolution"] is not None:
        seen = found["resolution"]
        told = _said(person, "ppi_told", ppi=round(seen["ppi"]), eye=round(seen["eye_ppi"]))
        facts.append((_said(person, "ppi"), told))
    return facts


def findings_of(found: dict[str, Any] | None) -> list[dict[str, Any]]:
    """What matters before it is printed, worst first: ``severity``, and a ``message`` with what to do about it."""
    listed = [] if found is None else found["findings"]
    return [{**each, "message": Message.of_data(each["message"])} for each in listed]


def looked_at(found: dict[str, Any], person: Person) -> str:
    return person.moment(datetime.fromisoformat(found["looked_at"]))


def _said(person: Person, key: str, /, **values: object) -> str:
    text = LABELS[key]
    return person.say(text, **values)
