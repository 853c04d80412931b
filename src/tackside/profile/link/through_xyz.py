"""Colours that lead through XYZ, worked out here where 16-bit CIELAB would not do.

Matrix profiles of wide working spaces reach a* -187, beyond what 16-bit CIELAB holds (-128 to 127). So their device
numbers go to a space of our own, whose three "lights" are X, Y and Z of D50, and from there to CIELAB by formula. Its
tone curve is that of L*, so that 16 bits serve the darks.

Tables that lead to XYZ: curves, table, curves, as the profile has them. libvips asks LittleCMS for whole numbers, and
for those LittleCMS samples the whole way anew, at 17 places along each of four inks and without the profile's own
curves. CIELAB is even enough for that. XYZ is not: in the darks a straight line in light is a steep bend in lightness,
and colours came out wrong by several ΔE00. Encoding: ISO 15076-1, 6.3.4.2 and clause 10 (an XYZ of 1 + 32767/32768 is
the highest number).
"""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path

import numpy as np
import pyvips

from tackside.colour.spaces import EPSILON, KAPPA, WHITE_D50, Floats, xyz_to_lab
from tackside.profile.icc.inspect import contents, read_header, read_tags
from tackside.profile.icc.tables import BadTable, ColourTable, read_table
from tackside.profile.icc.working_space import xyz_profile

KNEE = KAPPA * EPSILON / 100  # where the straight part of L* ends: 0.08


def to_lab_through_xyz(image: pyvips.Image, intent: str) -> Floats:
    """CIELAB (n, 3) of an image with its profile attached. Raises pyvips.Error."""
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        target = Path(folder, "xyz.icc")  # libvips takes the way out from a file only
        target.write_bytes(_target())
        stored = image.icc_transform(str(target), embedded=True, intent=intent, depth=16).numpy()
    coded = np.asarray(stored, dtype=np.float64).reshape(-1, 3) / 65535
    ratio = np.where(coded > KNEE, ((coded + 0.16) / 1.16) ** 3, coded * 100 / KAPPA)
    return xyz_to_lab(ratio * WHITE_D50)


@lru_cache(maxsize=1)
def _target() -> bytes:
    # Y of L* as parametric function type 3 of ISO 15076-1: g, a, b, c, d.
    return xyz_profile((3.0, 1 / 1.16, 0.16 / 1.16, 100 / KAPPA, KNEE))


HIGHEST_XYZ = 1 + 32767 / 32768


@lru_cache(maxsize=8)
def xyz_table(profile: bytes) -> ColourTable | None:
    """The relative table of a profile that connects through XYZ; None where it has none, or one for LittleCMS: in
    floating point, or with grids that differ between channels."""
    held = contents(read_tags(profile))
    if read_header(profile).connection_space != "XYZ" or "A2B1" not in held or "D2B1" in held:
        return None
    try:
        table = read_table(held["A2B1"])
    except BadTable:
        return None
    fits = table.nodes is not None and table.inputs in (3, 4) and table.outputs == 3
    return table if fits and len(set(table.grid)) == 1 else None


def table_to_lab(device: Floats, table: ColourTable) -> Floats:
    """CIELAB (n, 3), media-relative, of device values (n, channels), 0 to 1, by a table that ``xyz_table`` gave."""
    if table.type in ("mft1", "mft2"):
        before, after = table.curves[: table.inputs], [table.curves[table.inputs :]]
    else:
        before = table.curves[-table.inputs :]
        after = [table.curves[3:6]] if len(table.curves) == 6 + table.inputs else []
    values = _through_table(_curved(device, before), table)
    for curves in after:
        values = _curved(values, curves)
    if table.matrix is not None:
        values = values @ table.matrix[:, :3].T + table.matrix[:, 3]
    if table.type == "mAB ":
        values = _curved(values, table.curves[:3])
    return xyz_to_lab(values * HIGHEST_XYZ)


def _curved(values: Floats, curves: tuple[Floats, ...]) -> Floats:
    columns = [
        np.interp(values[:, channel], np.linspace(0, 1, len(curve)), curve)
        for channel, curve in enumerate(curves)
    ]
    return np.column_stack(columns)


def _through_table(values: Floats, table: ColourTable) -> Floats:
    """Between the nodes along tetrahedra of the last three channels, and straight along the first of four."""
    from tackside.profile.icc.tetra import between  # numba takes its time to load

    assert table.nodes is not None
    side = table.grid[0]
    if table.inputs == 3:
        return between(table.nodes.reshape(side, side, side, 3), values)
    nodes = np.moveaxis(table.nodes.reshape(side, side, side, side, 3), 0, 3)
    beside = between(nodes.reshape(side, side, side, side * 3), values[:, 1:]).reshape(-1, side, 3)
    place = np.clip(values[:, 0], 0, 1) * (side - 1)
    low = np.minimum(place.astype(np.intp), side - 2)
    rest, rows = (place - low)[:, None], np.arange(len(values))
    return np.asarray(beside[rows, low] * (1 - rest) + beside[rows, low + 1] * rest)
