"""Which patch of a reading serves as what: paper, black, greys, solids.

A trial's sheet says it; for a bare file it is inferred from the device numbers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records.reading import Reading
from tackside.records.sheet_plan import SheetPlan

Floats = NDArray[np.float64]

SOLIDS_RGB: dict[str, tuple[float, float, float]] = {
    "c": (0, 1, 1),
    "m": (1, 0, 1),
    "y": (1, 1, 0),
    "r": (1, 0, 0),
    "g": (0, 1, 0),
    "b": (0, 0, 1),
}
SOLIDS_CMYK: dict[str, tuple[float, float, float, float]] = {
    "c": (1, 0, 0, 0),
    "m": (0, 1, 0, 0),
    "y": (0, 0, 1, 0),
    "r": (0, 1, 1, 0),
    "g": (1, 0, 1, 0),
    "b": (1, 1, 0, 0),
}
NEAR_BLACK, NEAR_WHITE = 0.25, 0.85
_BLACKISH = 0.1  # neutral patches up to here may be the print's darkest
_EQUAL = 1.5 / 255  # device numbers nearer than this are the same number, rounded
# A file without device numbers needs a whole chart before its extremes say anything of paper and black.
_LEAST_UNNAMED = 24
# A scan's mean over a patch: about nine of ISO/IEC 13660's 1.27 mm tiles lie inside a patch of 5 mm.
# An instrument's mean is over at least two repeats. A phone smooths noise away, and neighbours with it.
_INDEPENDENT = {"scan": 9, "instrument": 2, "photo": 4, "eye": 1}


@dataclass(frozen=True)
class Ramp:
    """Neutral steps from dark to light: device value 0 (black) to 1 (white), and the row of each."""

    value: Floats
    rows: NDArray[np.intp]
    of: str


@dataclass(frozen=True)
class PatchTable:
    """A reading in arrays, with the rows of paper, black and solids; ``black_is`` says which patch black is.

    ``noise`` (n,) is the random part of each mean, one sd in ΔE*ab; ``de00`` the common part of all, one sd.
    """

    names: tuple[str, ...]
    lab: Floats
    noise: Floats
    de00: float
    rgb: Floats | None
    cmyk: Floats | None
    paper: int
    black: int
    black_is: str
    solids: dict[str, int]
    greys: Ramp | None
    notices: tuple[Message, ...]


def patch_table(reading: Reading, plan: SheetPlan | None = None) -> PatchTable:
    """The arrays of ``reading`` and which rows serve as what; raises BadRequest where paper or black is missing."""
    patches = reading.patches
    if not patches:
        raise BadRequest("measure.no-patches")
    asked = {patch.name: patch.rgb for patch in plan.patches} if plan else {}
    rgbs = [asked.get(patch.name, patch.rgb) for patch in patches]
    cmyks = [patch.cmyk for patch in patches]
    lab = np.array([patch.lab for patch in patches], dtype=float)
    spots = _INDEPENDENT[reading.kind]
    noise = np.array([patch.sd or 0.0 for patch in patches]) / np.sqrt(spots)
    rgb = np.array(rgbs, dtype=float) if all(value is not None for value in rgbs) else None
    cmyk = np.array(cmyks, dtype=float) if rgb is None and all(value is not None for value in cmyks) else None
    notices: list[Message] = []
    paper = _paper(lab, rgb, cmyk, notices)
    black, black_is = _black(lab, rgb, cmyk, notices)
    return PatchTable(
        names=tuple(patch.name for patch in patches),
        lab=lab,
        noise=noise,
        de00=reading.uncertainty.de00,
        rgb=rgb,
        cmyk=cmyk,
        paper=paper,
        black=black,
        black_is=black_is,
        solids=_solids(rgb, cmyk),
        greys=_greys(rgb, cmyk),
        notices=tuple(notices),
    )


def _paper(lab: Floats, rgb: Floats | None, cmyk: Floats | None, notices: list[Message]) -> int:
    """The unprinted patch, or the lightest where none is asked for."""
    bare = None
    if rgb is not None:
        bare = np.flatnonzero((rgb >= 1 - _EQUAL).all(axis=1))
    elif cmyk is not None:
        bare = np.flatnonzero((cmyk <= _EQUAL).all(axis=1))
    if bare is not None and bare.size:
        return int(bare[np.argmax(lab[bare, 0])])
    lightest = int(np.argmax(lab[:, 0]))
    notices.append(Message("measure.no-unprinted-patch"))
    return lightest


def _black(lab: Floats, rgb: Floats | None, cmyk: Floats | None, notices: list[Message]) -> tuple[int, str]:
    if rgb is not None:
        neutral = np.ptp(rgb, axis=1) <= _EQUAL
        dark = np.flatnonzero(neutral & (rgb.max(axis=1) <= _BLACKISH))
        if not dark.size or float(rgb[dark].min()) > _EQUAL:
            raise BadRequest("measure.no-black-patch")
        return _darkest(lab, dark), "darkest of the neutral black patches"
    if cmyk is not None:
        if float(cmyk[:, 3].max()) < 1 - 2 * _EQUAL:
            raise BadRequest("measure.no-solid-black")
        return _darkest(lab, np.arange(len(lab))), "darkest patch of the file, any mix of inks"
    if len(lab) < _LEAST_UNNAMED:
        raise BadRequest("measure.black-not-named", count=len(lab))
    notices.append(Message("measure.no-device-numbers"))
    return _darkest(lab, np.arange(len(lab))), "darkest patch of the file"


def _darkest(lab: Floats, rows: NDArray[np.intp]) -> int:
    return int(rows[np.argmin(lab[rows, 0])])


def _solids(rgb: Floats | None, cmyk: Floats | None) -> dict[str, int]:
    device: Floats
    targets: dict[str, tuple[float, ...]]
    if rgb is not None:
        device, targets = rgb, dict(SOLIDS_RGB)
    elif cmyk is not None:
        device, targets = cmyk, dict(SOLIDS_CMYK)
    else:
        return {}
    found = {}
    for name, target in targets.items():
        rows = np.flatnonzero((np.abs(device - np.array(target)) <= _EQUAL).all(axis=1))
        if rows.size:
            found[name] = int(rows[0])
    return found


def _greys(rgb: Floats | None, cmyk: Floats | None) -> Ramp | None:
    """The neutral ramp of an RGB reading, or the black-ink ramp of a CMYK one; None under four steps."""
    if rgb is not None:
        rows = np.flatnonzero(np.ptp(rgb, axis=1) <= 1e-6)
        value, of = rgb[rows, 0], "neutral patches"
    elif cmyk is not None:
        rows = np.flatnonzero((cmyk[:, :3] <= 1e-6).all(axis=1))
        value, of = 1 - cmyk[rows, 3], "black-ink ramp"
    else:
        return None
    value, first = np.unique(value, return_index=True)
    return Ramp(value, rows[first], of) if value.size >= 4 else None
