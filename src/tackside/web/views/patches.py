"""The patches of a reading as lines of a table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.records import Reading
from tackside.report.patches import to_screen
from tackside.web.i18n.preferences import Person


@dataclass(frozen=True)
class PatchLine:
    name: str
    colour: str
    asked: str
    lab: tuple[str, str, str]
    sd: str


def patch_lines(reading: Reading, person: Person) -> tuple[PatchLine, ...]:
    """Every patch with its colour on screen, ``#rrggbb``, and its figures."""
    if not reading.patches:
        return ()
    screen, _ = to_screen(np.array([patch.lab for patch in reading.patches]))
    return tuple(
        PatchLine(
            name=patch.name,
            colour=colour,
            asked="" if patch.rgb is None else " ".join(f"{round(255 * part)}" for part in patch.rgb),
            lab=(person.fixed(patch.lab[0], 1), person.fixed(patch.lab[1], 1), person.fixed(patch.lab[2], 1)),
            sd="" if patch.sd is None else person.fixed(patch.sd, 1),
        )
        for patch, colour in zip(reading.patches, screen, strict=True)
    )
