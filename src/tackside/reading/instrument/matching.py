"""Rows of an instrument file to patches: averaged over repeats, and matched to a trial's sheet."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np

from tackside.errors import BadInstrumentFile
from tackside.messages.message import Message
from tackside.reading.instrument.measured import Floats, MeasuredSet
from tackside.records.reading import PatchReading
from tackside.records.sheet_plan import Patch, Rgb, SheetPlan

# Numbers rounded to whole per cent, the coarsest way in use, are at most 0.005 off.
RGB_TOLERANCE = 0.0051
# Fewer than this share of the sheet's patches is another chart, or a measurement that was broken off.
LEAST_SHARE = 0.25


def bare_patches(measured: MeasuredSet) -> tuple[PatchReading, ...]:
    """The file's own patches; rows that ask for the same device numbers are repeats of one patch.

    Without device numbers, rows of the same name are repeats; without either, each row is a patch.
    """
    groups: dict[Hashable, list[int]] = {}
    for row in range(len(measured.lab)):
        groups.setdefault(_identity(measured, row), []).append(row)
    return tuple(_averaged(measured, rows, _name(measured, rows[0])) for rows in groups.values())


def planned_patches(
    measured: MeasuredSet, plan: SheetPlan, name: str
) -> tuple[tuple[PatchReading, ...], tuple[Message, ...]]:
    """The sheet's patches found in the file, and notices.

    Rows go to patches by name where the names are the sheet's and the device numbers, if given, agree;
    else by RGB. Raises BadInstrumentFile where too few of the sheet's patches are there.
    """
    rows = _rows_by_name(measured, plan.patches) or _rows_by_rgb(measured, plan.patches)
    found = [patch for patch in plan.patches if patch.name in rows]
    if len(found) < max(1, LEAST_SHARE * len(plan.patches)):
        raise BadInstrumentFile(
            "instrument.another-chart", file=name, found=len(found), patches=len(plan.patches)
        )
    patches = tuple(
        _averaged(measured, rows[patch.name], patch.name).model_copy(update={"rgb": patch.rgb})
        for patch in found
    )
    notices = []
    if len(found) < len(plan.patches):
        missing = len(plan.patches) - len(found)
        notices.append(Message("instrument.patches-missing", count=missing, patches=len(plan.patches)))
    left = len(measured.lab) - sum(len(rows[patch.name]) for patch in found)
    if left:
        notices.append(Message("instrument.rows-left-out", count=left))
    return patches, tuple(notices)


def _identity(measured: MeasuredSet, row: int) -> Hashable:
    for device in (measured.rgb, measured.cmyk):
        if device is not None:
            return tuple(np.round(device[row], 5).tolist())
    return _name(measured, row) or row


def _name(measured: MeasuredSet, row: int) -> str:
    return next((word for word in measured.names[row] if word), str(row + 1))


def _averaged(measured: MeasuredSet, rows: Sequence[int], name: str) -> PatchReading:
    """Mean CIELAB of the rows; ``sd`` is the ΔE*ab spread over them, None for a single one."""
    lab = measured.lab[list(rows)]
    mean = lab.mean(axis=0)
    sd = float(np.sqrt(np.sum((lab - mean) ** 2) / (len(rows) - 1))) if len(rows) > 1 else None
    rgb, cmyk = measured.rgb, measured.cmyk
    return PatchReading(
        name=name,
        rgb=None if rgb is None else (float(rgb[rows[0], 0]), float(rgb[rows[0], 1]), float(rgb[rows[0], 2])),
        cmyk=None if cmyk is None else _four(cmyk[rows[0]]),
        lab=(float(mean[0]), float(mean[1]), float(mean[2])),
        sd=sd,
    )


def _four(values: Floats) -> tuple[float, float, float, float]:
    c, m, y, k = (float(value) for value in values)
    return c, m, y, k


def _rows_by_name(measured: MeasuredSet, patches: Sequence[Patch]) -> dict[str, list[int]]:
    """Patch name → rows, by the name column that knows most patches; empty where RGB contradicts it."""
    columns = max((len(words) for words in measured.names), default=0)
    wanted = {patch.name.casefold(): patch for patch in patches}
    best: dict[str, list[int]] = {}
    for column in range(columns):
        rows: dict[str, list[int]] = {}
        for row, words in enumerate(measured.names):
            patch = wanted.get(words[column].casefold()) if column < len(words) else None
            if patch is not None:
                rows.setdefault(patch.name, []).append(row)
        if len(rows) > len(best):
            best = rows
    if len(best) < LEAST_SHARE * len(patches) or _contradicted(measured, best, patches):
        return {}
    return best


def _contradicted(measured: MeasuredSet, rows: dict[str, list[int]], patches: Sequence[Patch]) -> bool:
    """Whether the file's RGB says that the names are some other chart's."""
    if measured.rgb is None:
        return False
    asked = {patch.name: patch.rgb for patch in patches}
    off = [
        float(np.abs(measured.rgb[row] - np.array(asked[name])).max()) > RGB_TOLERANCE
        for name, its_rows in rows.items()
        for row in its_rows
    ]
    return sum(off) > 0.1 * len(off)


def _rows_by_rgb(measured: MeasuredSet, patches: Sequence[Patch]) -> dict[str, list[int]]:
    """Patch name → rows whose RGB is nearest to that patch's and within rounding of it.

    Where the sheet repeats a colour, its rows go to its patches in turn, in the order of the sheet.
    """
    rows: dict[str, list[int]] = {}
    if measured.rgb is None or not patches:
        return rows
    asked = np.array([patch.rgb for patch in patches], dtype=float)
    alike: dict[Rgb, list[str]] = {}
    for patch in patches:
        alike.setdefault(patch.rgb, []).append(patch.name)
    met: dict[Rgb, int] = {}
    for row, rgb in enumerate(measured.rgb):
        gaps = np.abs(asked - rgb).max(axis=1)
        nearest = int(np.argmin(gaps))
        if gaps[nearest] <= RGB_TOLERANCE:
            numbers = patches[nearest].rgb
            names, turn = alike[numbers], met.get(numbers, 0)
            rows.setdefault(names[turn % len(names)], []).append(row)
            met[numbers] = turn + 1
    return rows
