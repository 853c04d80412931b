"""What a picture's page is asked for, as it stands in its address: the picture, and the place that it is meant for."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import asdict, dataclass
from urllib.parse import urlencode

from tackside.errors import NotFound
from tackside.picture.use_on_panel import FARTHEST_CM, NEAREST_CM
from tackside.web.forms.queries.gamut_query import HASH
from tackside.web.i18n.words import PANELS

ROOM = "pictures"
FORM = 2  # raised when the form of what is prepared changes
DISTANCE_CM = 30.0  # how a card is held


@dataclass(frozen=True)
class PictureAsked:
    """``stock`` and ``printer`` are empty together where no place is asked for."""

    sha256: str
    stock: str = ""
    printer: str = ""
    panel: str = "front"
    distance_cm: float = DISTANCE_CM

    @classmethod
    def checked(
        cls, sha256: str, stock: str = "", printer: str = "", panel: str = "", distance: str = ""
    ) -> PictureAsked:
        """Raises NotFound for what can be no picture; what makes no sense of a place is not asked for."""
        if not re.fullmatch(HASH, sha256, re.ASCII):
            raise NotFound("form.no-picture-there")
        if not stock or not printer:
            return cls(sha256)
        known = panel if panel in PANELS else "front"
        return cls(sha256, stock[:80], printer[:80], known, _distance(distance))

    @property
    def place(self) -> tuple[str, str, str] | None:
        return (self.stock, self.printer, self.panel) if self.stock else None

    @property
    def key(self) -> str:
        if self.place is None:
            return self.sha256
        return hashlib.sha256(json.dumps(asdict(self)).encode()).hexdigest()

    @property
    def address(self) -> str:
        base = f"/pictures/{self.sha256}"
        if self.place is None:
            return base
        given = {"stock": self.stock, "printer": self.printer, "panel": self.panel}
        return f"{base}?{urlencode({**given, 'distance': f'{self.distance_cm:g}'})}"


def _distance(typed: str) -> float:
    try:
        found = float(typed.replace(",", "."))
    except ValueError:
        return DISTANCE_CM
    return found if NEAREST_CM <= found <= FARTHEST_CM else DISTANCE_CM
