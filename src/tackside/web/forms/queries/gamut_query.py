"""What a page of a gamut is asked for, as it stands in its address; every part is checked letter by letter."""

from __future__ import annotations

import hashlib
import re
from dataclasses import asdict, dataclass
from urllib.parse import urlencode

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.profile.gamut.gamut_device import SPACES, Basis
from tackside.workflow.pictures.gamut import KeptGamut
from tackside.workflow.prepared.gamut import FORM

ROOM = "gamuts"  # in the cache
HASH = r"[0-9a-f]{64}"
_WHOSE = re.compile(rf"trial-([0-9A-Z]{{1,40}})|profile-({HASH})|({'|'.join(SPACES)})", re.ASCII)


@dataclass(frozen=True)
class GamutAsked:
    """``of`` and ``against`` are as ``whose`` reads them, ``picture`` a SHA-256; the latter two may be empty."""

    of: str
    against: str = ""
    picture: str = ""
    basis: Basis = "relative"

    @classmethod
    def checked(cls, of: str, against: str = "", picture: str = "", basis: str = "") -> GamutAsked:
        """Raises NotFound for what can be nobody's gamut."""
        whose(of)
        if against:
            whose(against)
        if picture and not re.fullmatch(HASH, picture, re.ASCII):
            raise NotFound("form.no-picture-there")
        return cls(
            of, "" if against == of else against, picture, "absolute" if basis == "absolute" else "relative"
        )

    @property
    def address(self) -> str:
        given = {name: value for name, value in asdict(self).items() if value and value != "relative"}
        return f"/gamut?{urlencode(given)}"

    def key(self, bench: Bench) -> str:
        """Equal for equal answers: a card that was read anew has another. Raises NotFound."""
        parts = (str(FORM), *(_data_of(bench, each) for each in (self.of, self.against) if each))
        return hashlib.sha256(" ".join((*parts, self.picture, self.basis)).encode()).hexdigest()


def whose(named: str) -> KeptGamut:
    """Raises NotFound where it is none."""
    found = _WHOSE.fullmatch(named)
    if found is None:
        raise NotFound("form.no-gamut-there")
    trial, profile, space = found.groups()
    if trial:
        return KeptGamut("trial", trial)
    return KeptGamut("profile", profile) if profile else KeptGamut("space", space)


def _data_of(bench: Bench, named: str) -> str:
    found = whose(named)
    if found.kind == "trial":
        return f"{named}:{bench.readings.standing(found.key).id}"
    return named
