"""Graininess and mottle, by the definitions of ISO/IEC 13660 (later 24790), and how well a print repeats.

An area is cut into tiles of 1.27 mm. Graininess is the square root of the mean variance within the tiles; mottle
is the standard deviation of the tiles' means: the border between them lies at 0.4 cycles/mm. The standard's
area is a square of
12.7 mm, 100 tiles. The sheet's patches are smaller: as many whole tiles as fit into each are taken, and the variances
of all patches of one class are pooled. Mottle coarser than a patch is therefore not seen. The figures are in L*,
and include the noise of the scanner; ``paper`` shows how much that is.

How well it repeats is what the same colour, printed in several places of a sheet, came out as.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, reflectance_to_lightness
from tackside.messages.message import Message
from tackside.reading.scan.colours import numbers_at, numbers_to_xyz
from tackside.reading.scan.geometry.mapping import SheetMap, median
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Attribute, Patch, PatchReading, Reading
from tackside.records.sheet_plan import Rgb

TILE_MM = 1.27
MARGIN_MM = 0.35  # at each side of a patch: blur, spread, and a print that lies a little off
A_TILE = 16  # points a side of each tile
MOST_PATCHES = 60
MID_L = (35.0, 65.0)
BANDING_L = (25.0, 85.0)
FEWEST = 4  # patches beyond the first of their colour


@dataclass(frozen=True, eq=False)
class Surface:
    """Patches looked at point by point: L* in ``lightness`` (rows, columns) at ``x_mm`` (columns,), ``y_mm`` (rows,),
    and its median in ``middle``, by patch.
    """

    patches: tuple[Patch, ...]
    lightness: tuple[Floats, ...]
    middle: tuple[float, ...]
    x_mm: tuple[Floats, ...]
    y_mm: tuple[Floats, ...]


def surface(scan: ScanImage, sheet_map: SheetMap, patches: Sequence[Patch], lightness: Floats) -> Surface:
    """Neutral patches, solids and bare card, as whole tiles, each point the nearest pixel."""
    wanted = [
        patch
        for patch, light in zip(patches, lightness, strict=True)
        if _class_of(patch, light) is not None or BANDING_L[0] <= light <= BANDING_L[1]
    ]
    if len(wanted) > MOST_PATCHES:  # neutrals and solids first, then an even choice of the rest
        keen = {number for number, patch in enumerate(wanted) if _neutral(patch) or _solid(patch)}
        rest = [number for number in range(len(wanted)) if number not in keen]
        room = max(MOST_PATCHES - len(keen), 0)
        keen.update(rest[:: max(len(rest) // max(room, 1), 1)][:room])
        wanted = [patch for number, patch in enumerate(wanted) if number in keen]
    xs, ys, points = [], [], []
    for patch in wanted:
        across, down = (_tiles(side) for side in (patch.box_mm.w, patch.box_mm.h))
        centre = patch.box_mm.centre
        x = centre[0] + (np.arange(across * A_TILE) + 0.5) / A_TILE * TILE_MM - across * TILE_MM / 2
        y = centre[1] + (np.arange(down * A_TILE) + 0.5) / A_TILE * TILE_MM - down * TILE_MM / 2
        xs.append(x)
        ys.append(y)
        points.append(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))
    if not points:
        return Surface((), (), (), (), ())
    numbers = numbers_at(scan.pixels, sheet_map.to_px(np.concatenate(points)))
    every = reflectance_to_lightness(np.maximum(numbers_to_xyz(scan, numbers)[..., 1], 0.0))
    ends = np.cumsum([len(part) for part in points])[:-1]
    shaped = tuple(
        part.reshape(len(y), len(x)) for part, x, y in zip(np.split(every, ends), xs, ys, strict=True)
    )
    middle = tuple(float(median(part.reshape(-1))) for part in shaped)
    return Surface(tuple(wanted), shaped, middle, tuple(xs), tuple(ys))


def evenness_attributes(seen: Surface) -> dict[str, Attribute]:
    """``graininess_{class}`` and ``mottle_{class}`` in L*, for ``paper``, ``mid`` (neutral, L* 35 to 65) and
    ``solid``.
    """
    within: dict[str, list[float]] = {}
    between: dict[str, list[tuple[float, int]]] = {}
    for patch, lightness, middle in zip(seen.patches, seen.lightness, seen.middle, strict=True):
        name = _class_of(patch, middle)
        if name is None:
            continue
        variances, means = tiles(lightness)
        within.setdefault(name, []).extend(variances.tolist())
        if len(means) > 1:
            # What grain and noise leave in a tile's mean is not mottle, but the standard does not take it off.
            between.setdefault(name, []).append((float(np.var(means, ddof=1)), len(means) - 1))
    found: dict[str, Attribute] = {}
    for name, values in within.items():
        grain = float(np.sqrt(np.mean(values)))
        # A patch's own graininess differs from the next one's: the spread over tiles, of the mean.
        sd = float(np.std(values) / np.sqrt(len(values)) / (2 * max(grain, 1e-6)))
        found[f"graininess_{name}"] = Attribute(value=grain, unit="L*", sd=sd)
    for name, pairs in between.items():
        free = sum(count for _, count in pairs)
        mottle = float(np.sqrt(sum(variance * count for variance, count in pairs) / free))
        # Standard deviation of a standard deviation with ``free`` degrees of freedom (GUM E.4.3).
        found[f"mottle_{name}"] = Attribute(value=mottle, unit="L*", sd=mottle / float(np.sqrt(2 * free)))
    return found


def tiles(values: Floats) -> tuple[Floats, Floats]:
    """Variances and means of the tiles, ``A_TILE`` points a side, of ``values`` (rows, columns)."""
    down, across = values.shape[0] // A_TILE, values.shape[1] // A_TILE
    cut = values[: down * A_TILE, : across * A_TILE].reshape(down, A_TILE, across, A_TILE)
    return np.var(cut, axis=(1, 3), ddof=1).ravel(), np.mean(cut, axis=(1, 3)).ravel()


def _tiles(side_mm: float) -> int:
    return max(int((side_mm - 2 * MARGIN_MM) / TILE_MM), 1)


def _neutral(patch: Patch) -> bool:
    return max(patch.rgb) - min(patch.rgb) < 1e-6


def _solid(patch: Patch) -> bool:
    return any(role.startswith("solid-") for role in patch.roles)


def _class_of(patch: Patch, lightness: float) -> str | None:
    if patch.rgb == (1.0, 1.0, 1.0):
        return "paper"
    if _solid(patch) or patch.rgb == (0.0, 0.0, 0.0):
        return "solid"
    return "mid" if _neutral(patch) and MID_L[0] <= lightness <= MID_L[1] else None


@dataclass(frozen=True)
class Repeatability:
    """``de00``: one standard deviation of a single patch about the mean of its colour, ΔE00, and ``sd`` its own.

    ``colours`` that stand in ``patches`` places. ``worst``: the name of the patch that is farthest from the mean of its
    colour's others, and by how much, ΔE00.
    """

    de00: float
    sd: float
    colours: int
    patches: int
    worst: str
    worst_de00: float


def repeatability(patches: Sequence[PatchReading]) -> Repeatability | None:
    """From patches of the same numbers and different names; None where there are too few."""
    groups: dict[Rgb, list[PatchReading]] = {}
    for patch in patches:
        if patch.rgb is not None:
            groups.setdefault(patch.rgb, []).append(patch)
    repeated = [group for group in groups.values() if len({patch.name for patch in group}) > 1]
    count = sum(map(len, repeated))
    degrees = count - len(repeated)
    if degrees < FEWEST:
        return None
    squares, worst = 0.0, (0.0, "")
    for group in repeated:
        lab = np.array([patch.lab for patch in group])
        mean = lab.mean(axis=0)
        squares += float(np.sum(delta_e_2000(lab, mean) ** 2))
        # Beside the others alone: a bad patch draws the mean of all towards itself.
        others = (len(group) * mean - lab) / (len(group) - 1)
        apart = delta_e_2000(lab, others)
        far = int(np.argmax(apart))
        worst = max(worst, (float(apart[far]), group[far].name))
    de00 = float(np.sqrt(squares / degrees))
    return Repeatability(de00, de00 / float(np.sqrt(2 * degrees)), len(repeated), count, worst[1], worst[0])


def with_repeats(reading: Reading) -> Reading:
    """The reading with the attribute ``repeatability`` and a notice that names the worst patch, where the sheet repeats
    colours.
    """
    found = repeatability(reading.patches)
    if found is None:
        return reading
    attribute = Attribute(value=found.de00, unit="ΔE00", sd=found.sd)
    notice = Message(
        "reading.repeats", de00=found.de00, colours=found.colours, patches=found.patches, worst=found.worst,
        worst_de00=found.worst_de00,
    )  # fmt: skip
    return reading.model_copy(
        update={
            "attributes": {**reading.attributes, "repeatability": attribute},
            "notices": (*reading.notices, notice),
        }
    )
