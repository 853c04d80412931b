"""What is known of one print: its reading, what it was printed on and how, and what stands beside it (``KnownPrint``);
and as much of that as matters to what can be asked of it (``Printed``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tackside.records import Reading, Stock, Trial
from tackside.records.sheet_plan import Space
from tackside.records.stock import Base
from tackside.records.trial import Intent

if TYPE_CHECKING:
    from tackside.verdict.causes.by_profile import Prediction


@dataclass(frozen=True, eq=False)
class KnownPrint:
    """A print that is to be judged, or one that stands beside it; None for what is not known.

    ``reference``: a print known to be good, at best of the same card. ``other_side``: the same print on the card's
    other side. Of these two only reading and trial are looked at. ``prediction``: what a profile says of the patches
    (``by_profile.predict``); it stands in for a reference.
    """

    reading: Reading
    trial: Trial | None = None
    stock: Stock | None = None
    reference: KnownPrint | None = None
    other_side: KnownPrint | None = None
    prediction: Prediction | None = None


Surface = Literal["gloss", "semi-gloss", "matt", "unknown"]

# How a pack may name its surface, in English and German; those that also hold "gloss" or "matt" come first.
_SURFACES: tuple[tuple[Surface, tuple[str, ...]], ...] = (
    ("semi-gloss", ("semi", "satin", "pearl", "silk", "half", "seiden", "halb", "perl")),
    ("gloss", ("gloss", "lustre", "luster", "baryt", "glänz", "glanz", "hochgl")),
    ("matt", ("matt", "smooth", "rough", "textured", "etching", "velvet", "glatt", "rau")),
)


@dataclass(frozen=True)
class Printed:
    """One print. ``path``: of a sheet that went the whole way from file to paper, with a cube of ``levels``.

    ``intent`` and ``compensated`` (black point compensation) are None where nobody noted them: then any will do.
    ``lifted``: a scanner read it whose stray light lies over its blacks, and all else shows a sound print on a coating.
    """

    path: bool = False
    levels: int = 0
    space: Space = "srgb"
    intent: Intent | None = None
    compensated: bool | None = None
    base: Base = "unknown"
    surface: Surface = "unknown"
    lifted: bool = False

    @property
    def held_to_open_shadows(self) -> bool:
        """Whether its black was led to the card's. Absolute colorimetric has no such thing."""
        return self.compensated is True and self.intent != "absolute"


def what_was_printed(trial: Trial | None, stock: Stock | None, levels: int) -> Printed:
    """A trial's print on a stock; None for what is not known. ``levels``: of the cube that was read, 0 for none."""
    base: Base = "unknown" if stock is None else stock.base
    surface = surface_of("" if stock is None else stock.surface)
    if trial is None or trial.sheet.purpose != "path":
        return Printed(base=base, surface=surface)
    noted = trial.settings
    return Printed(
        path=True,
        levels=levels,
        space=trial.sheet.space or "srgb",
        intent=noted.intent,
        compensated=noted.black_point_compensation,
        base=base,
        surface=surface,
    )


def surface_of(said: str) -> Surface:
    """What a pack's own words say of the surface, as far as they are among those that we know."""
    words = said.casefold().replace("-", " ").split()
    for surface, known in _SURFACES:
        if any(word.startswith(known) for word in words):
            return surface
    return "unknown"
