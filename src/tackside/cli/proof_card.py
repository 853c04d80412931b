"""The card that a proof is of: a printer profile, a card that was read, or the read card printed by a profile."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tackside.cli.card_reading import reading_of_trial
from tackside.errors import BadProfile, BadRequest
from tackside.profile.device.device import ConvertedDevice, Device, ProfileDevice
from tackside.profile.device.device_model import DeviceModel
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.inspect import describe, read_header


@dataclass(frozen=True, eq=False)
class ProofCard:
    """``profile_name`` is the converting profile's description, None where the card's own reading converts."""

    name: str
    profile_name: str | None
    device: Device
    notices: tuple[str, ...] = ()


def proof_card(profile: Path | None, trial: str | None) -> ProofCard:
    """The card meant by a profile's file, a trial, or both. Raises BadRequest, BadProfile, NotFound, StorageTrouble."""
    if trial is None:
        if profile is None:
            raise BadRequest(
                "a proof needs to know the card",
                "give --profile FILE.icc, or --card TRIAL for a card that was read",
            )
        converter = printer_profile(profile)
        return ProofCard(converter.name, converter.name, converter)
    found = reading_of_trial(trial)
    model = DeviceModel.fitted(found.reading, found.plan)
    notices = list(found.reading.notices)
    if found.reading.kind == "scan":
        notices.append(
            f"the card's colours come from a scan, good to about ΔE00 {found.reading.uncertainty.de00:.1f}"
        )
    if profile is None:
        if found.through_path:
            notices.append(
                "the sheet was printed through colour management: the proof shows what that whole path reaches, maybe "
                "less than what the card holds"
            )
        return ProofCard(found.title, None, model, tuple(notices))
    if found.through_path:
        raise BadRequest(
            f"the sheet of {found.title} was printed through colour management, so no profile's numbers can be "
            "foretold on it",
            "leave out --profile, or print and read a bare one: tackside sheet STOCK PRINTER --purpose device "
            "--out FILE",
        )
    converter = printer_profile(profile)
    name = f"{found.title}, by {converter.name}"
    return ProofCard(name, converter.name, ConvertedDevice(model, converter), tuple(notices))


def printer_profile(path: Path) -> ProfileDevice:
    """A printer profile from a file. Raises BadProfile, StorageTrouble."""
    data = read_profile_file(path)
    try:
        kind = read_header(data).profile_class
        if kind != "output":
            raise BadProfile(
                f'"{describe(data)}" is of the class {kind}, not of a printer',
                "choose the printer profile of the card",
            )
        return ProfileDevice(data)
    except BadProfile as error:
        raise BadProfile(f"{path.name}: {error.what}", error.fix) from error
