"""The card that a proof is of: a printer profile, a card that was read, or the read card printed by a profile."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.errors import BadProfile, BadRequest
from tackside.messages.message import Message
from tackside.profile.device.device import ConvertedDevice, Device, ProfileDevice
from tackside.profile.device.device_model import device_numbers
from tackside.profile.device.kept_model import KeptModel
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.inspect import describe, read_header
from tackside.tasks.cache import FOLDER, prune_now_and_then

if TYPE_CHECKING:
    from tackside.bench.store import Bench
    from tackside.picture.found_reading import FoundReading
    from tackside.records import Reading
    from tackside.records.assets import ProfileFile


@dataclass(frozen=True, eq=False)
class ProofCard:
    """``profile_name`` is the converting profile's description, None where the card's own reading converts."""

    name: str
    profile_name: str | None
    device: Device
    notices: tuple[Message, ...] = ()


def proof_card(bench: Bench | None, profile: Path | None, trial: str | None) -> ProofCard:
    """The card meant by a profile's file, a trial of the ``bench``, or both; of a trial alone its own profile is taken
    where one was built.

    Raises BadRequest, BadProfile, NotFound, StorageTrouble.
    """
    if bench is None or trial is None:
        if profile is None:
            raise BadRequest("proof.no-card")
        converter = printer_profile(profile)
        return ProofCard(converter.name, converter.name, converter)
    # Records are slow to import, and a profile alone needs none.
    from tackside.workflow.pictures.read_cards import reading_of
    from tackside.workflow.profiles.kept import kept_profile_of

    found = reading_of(bench, trial)
    built = None if profile is not None else kept_profile_of(bench, bench.trials.get(trial).id)
    if built is not None:
        return _by_own_profile(bench, found, built)
    model = _kept_model(bench, found)
    notices = list(found.reading.notices)
    notices += _estimated(found.reading)
    if profile is None:
        if found.through_path:
            notices.append(Message("proof.through-management"))
        return ProofCard(found.title, None, model, tuple(notices))
    if found.through_path:
        raise BadRequest("proof.sheet-through-management", card=found.title)
    converter = printer_profile(profile)
    name = f"{found.title}, by {converter.name}"
    return ProofCard(name, converter.name, ConvertedDevice(model, converter), tuple(notices))


def _kept_model(bench: Bench, found: FoundReading) -> KeptModel:
    """The model of a card's reading, with what is known of it in the bench's cache. Raises BadRequest."""
    cache = bench.folder / FOLDER
    prune_now_and_then(cache)
    return KeptModel(*device_numbers(found.reading, found.plan), cache / "prints")


def _by_own_profile(bench: Bench, found: FoundReading, built: ProfileFile) -> ProofCard:
    """The card as the profile shows it that was built from its reading: it knows the card better than a plain model."""
    notices = list(found.reading.notices)
    notices += _estimated(found.reading)
    device = ProfileDevice(read_profile_file(bench.file(built.sha256)))
    return ProofCard(found.title, built.title, device, tuple(notices))


def _estimated(reading: Reading) -> list[Message]:
    """That no instrument measured the card, where that is so."""
    from tackside.records.reading import ESTIMATES

    if reading.kind not in ESTIMATES:
        return []
    how = "scanned" if reading.kind == "scan" else "photographed"
    return [Message(f"proof.{how}", uncertainty=reading.uncertainty.de00)]


def printer_profile(path: Path) -> ProfileDevice:
    """A printer profile from a file. Raises BadProfile, StorageTrouble."""
    data = read_profile_file(path)
    try:
        kind = read_header(data).profile_class
        if kind != "output":
            raise BadProfile("profile.not-the-cards-printer", profile=describe(data), kind=kind)
        return ProfileDevice(data)
    except BadProfile as error:
        raise BadProfile("profile.in-file", file=path.name, reason=error.message) from error
