"""What colours a card or a profile holds, what of other gamuts it covers, and what of a picture falls outside."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.messages.message import Message
from tackside.picture.found_reading import FoundReading
from tackside.picture.proof.held import HeldPart, held_of
from tackside.profile.gamut.gamut_device import (
    SPACES,
    UNLIKE,
    Basis,
    GamutDevice,
    gamut_of_profile,
    gamut_of_reading,
    gamut_of_space,
    working_solid,
)
from tackside.profile.gamut.gamut_solid import Share
from tackside.profile.icc.files import PROFILE_SUFFIXES, is_profile_file, read_profile_file
from tackside.workflow.pictures.measured_file import reading_of_file
from tackside.workflow.pictures.read_cards import reading_of


@dataclass(frozen=True)
class KeptGamut:
    """Whose gamut it is: a trial's by its id, a kept profile's by its SHA-256, or a working space's by its name."""

    kind: Literal["trial", "profile", "space"]
    key: str


@dataclass(frozen=True, eq=False)
class Compared:
    """A gamut beside others. ``covers`` are shares of the working spaces by name.

    ``holds_other`` is the share of the other that this one holds, ``held_by_other`` the reverse; None where the two
    cannot be compared.
    """

    one: GamutDevice
    other: GamutDevice | None
    basis: Basis
    covers: dict[str, Share]
    holds_other: Share | None
    held_by_other: Share | None
    notices: tuple[Message, ...]

    def other_covers(self) -> dict[str, Share]:
        """The shares of the working spaces that the other covers; none where there is no other."""
        return {} if self.other is None else _covers(self.other, self.basis)


def compare_gamuts(one: GamutDevice, other: GamutDevice | None, basis: Basis) -> Compared:
    """What a gamut covers of the working spaces and of another gamut, and the other of it."""
    notices = [*one.notices, *(other.notices if other is not None else ())]
    holds_other, held_by_other = None, None
    if other is not None:
        if one.compares_with(other):
            holds_other = one.seen(basis).covers(other.seen(basis))
            held_by_other = other.seen(basis).covers(one.seen(basis))
        else:
            notices.append(UNLIKE)
    return Compared(
        one,
        other,
        basis,
        _covers(one, basis),
        holds_other,
        held_by_other,
        tuple(dict.fromkeys(notices)),
    )


def picture_in_gamut(picture: Path, device: GamutDevice, basis: Basis) -> HeldPart:
    """What part of a picture falls outside, and how far. Raises BadImage."""
    return held_of(picture, device, basis)


def gamut_named(named: str, bench: Callable[[], Bench]) -> GamutDevice:
    """The gamut that a person names: a profile or an instrument file that is there, else a trial of the bench, which is
    opened for that alone. Raises NotFound, BadRequest, BadProfile, BadInstrumentFile."""
    path = Path(named)
    if path.is_dir():
        raise BadRequest("gamut.folder", file=named)
    if not path.is_file():
        try:
            return _of_reading(reading_of(bench(), named))
        except NotFound as error:
            if path.suffix or len(path.parts) > 1:
                raise NotFound("gamut.not-there", file=named) from error
            raise
    if path.suffix.lower() in PROFILE_SUFFIXES or is_profile_file(path):
        return gamut_of_profile(path.name, read_profile_file(path))
    return _of_reading(reading_of_file(path))


def gamut_kept(bench: Bench, whose: KeptGamut) -> GamutDevice:
    """The gamut of something that the bench keeps, or of a working space. Raises NotFound, BadRequest, BadProfile."""
    if whose.kind == "space":
        return gamut_of_space(whose.key)
    if whose.kind == "profile":
        kept = bench.profiles.get(whose.key)
        return gamut_of_profile(kept.name, read_profile_file(bench.file(whose.key)))
    return _of_reading(reading_of(bench, whose.key))


def _covers(device: GamutDevice, basis: Basis) -> dict[str, Share]:
    solid = device.seen(basis)
    return {name: solid.covers(working_solid(space)) for name, space in SPACES.items()}


def _of_reading(found: FoundReading) -> GamutDevice:
    return gamut_of_reading(found.reading, found.plan, found.title, through_path=found.through_path)
