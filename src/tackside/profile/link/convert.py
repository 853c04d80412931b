"""Colours through ICC profiles, by libvips and its LittleCMS, at 16 bits; or worked out here where 16-bit CIELAB would
not do.

libvips passes over a profile that it cannot use, and takes sRGB in its place without an error: every profile is
therefore tried first (``require_usable``).

Through XYZ colours are led in two cases. Matrix profiles of wide working spaces reach a* -187, beyond what 16-bit
CIELAB holds (-128 to 127). So their device numbers go to a space of our own, whose three "lights" are X, Y and Z of
D50, and from there to CIELAB by formula. Its tone curve is that of L*, so that 16 bits serve the darks.

Tables that lead to XYZ: curves, table, curves, as the profile has them. libvips asks LittleCMS for whole numbers, and
for those LittleCMS samples the whole way anew, at 17 places along each of four inks and without the profile's own
curves. CIELAB is even enough for that. XYZ is not: in the darks a straight line in light is a steep bend in lightness,
and colours came out wrong by several ΔE00. Encoding: ISO 15076-1, 6.3.4.2 and clause 10 (an XYZ of 1 + 32767/32768 is
the highest number).
"""

from __future__ import annotations

import io
import tempfile
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pyvips
from numpy.typing import ArrayLike, NDArray

from tackside.colour.spaces import EPSILON, KAPPA, Floats, xyz_to_lab
from tackside.errors import BadProfile
from tackside.profile.icc.inspect import (
    CHANNELS,
    contents,
    describe,
    media_white,
    read_header,
    read_tags,
    retagged,
    to_icc_absolute,
    to_media_relative,
)
from tackside.profile.icc.tables import BadTable, ColourTable, read_table
from tackside.profile.icc.working_space import xyz_profile

PROFILE_FIELD = "icc-profile-data"
INTERPRETATIONS = {"RGB": "rgb16", "CMYK": "cmyk", "grey": "grey16"}
PILLOW_MODES = {"RGB": "RGB", "CMYK": "CMYK", "grey": "L"}
LAB_INTERPRETATIONS = ("lab", "labs", "labq")
INTENTS = ("perceptual", "relative", "saturation", "absolute")  # by their numbers in ISO 15076-1


def rgb_to_lab_by_profile(rgb: ArrayLike, profile: bytes) -> Floats:
    """CIELAB (n, 3) under D50 of RGB (n, 3), 0 to 1, by an RGB profile's media-relative colorimetric intent.

    Values beyond 0 to 1 are taken as 0 or 1. LittleCMS works through a table of 16 bits, which strays from a
    matrix profile's exact sums (the tests say how far), and holds full RGB to be white. Raises BadProfile.
    """
    return device_to_lab_by_profile(rgb, profile, expected="RGB")


def rgb_codes_to_lab_by_profile(codes: NDArray[np.uint8] | NDArray[np.uint16], profile: bytes) -> Floats:
    """As ``rgb_to_lab_by_profile``, of RGB (n, 3) in the 8 or 16 bits of a file. Raises BadProfile."""
    _require_space(profile, "RGB")
    if len(codes) == 0:
        return np.empty((0, 3))
    stored = np.asarray(codes, dtype=np.uint16) * np.uint16(257 if codes.itemsize == 1 else 1)
    return _relative_lab(stored, listed_as_relative(profile, "relative"), "RGB")


def device_to_lab_by_profile(
    device: ArrayLike, profile: bytes, *, expected: str | None = None, intent: str = "relative"
) -> Floats:
    """CIELAB (n, 3) of device values (n, channels), 0 to 1 (CMYK: 1 is full ink), by one of INTENTS.

    Media-relative colorimetric unless told otherwise. The intent names the table and nothing is added: no
    black point compensation. ``absolute`` is ICC-absolute: relative, times the media white. ``expected`` names
    the device space that the profile must be for. Raises BadProfile.
    """
    space = _require_space(profile, expected)
    values = np.asarray(device, dtype=np.float64)
    if values.ndim != 2 or values.shape[1] != CHANNELS[space] or not np.all(np.isfinite(values)):
        raise ValueError(f"device values of shape {values.shape} for a profile of {space}")
    if len(values) == 0:
        return np.empty((0, 3))
    stored: NDArray[np.uint16] = np.rint(np.clip(values, 0, 1) * 65535).astype(np.uint16)
    colours = _relative_lab(stored, listed_as_relative(profile, intent), space)
    return to_icc_absolute(colours, media_white(profile)) if intent == "absolute" else colours


def _require_space(profile: bytes, expected: str | None) -> str:
    """The device space of a usable profile, which is the ``expected`` one. Raises BadProfile."""
    space = require_usable(profile)
    if expected is not None and space != expected:
        raise BadProfile(
            "profile.for-other-numbers", profile=describe(profile), space=space, expected=expected
        )
    return space


def _relative_lab(stored: NDArray[np.uint16], profile: bytes, space: str) -> Floats:
    """CIELAB (n, 3) of device values (n, channels) by the profile's relative table."""
    table = xyz_table(profile)
    if table is not None:
        return table_to_lab(stored / 65535, table)
    try:
        image = pyvips.Image.new_from_memory(stored.tobytes(), len(stored), 1, stored.shape[1], "ushort")
        image = image.copy(interpretation=INTERPRETATIONS[space])
        if read_header(profile).connection_space == "XYZ":
            prepared, intent = _prepared(profile, "relative")
            return to_lab_through_xyz(with_profile(image, prepared), intent)
        lab = import_lab(image, profile, "relative")
        return np.asarray(lab.numpy(), dtype=np.float64).reshape(-1, 3)
    except pyvips.Error as error:
        raise _unusable(profile) from error


def lab_to_device_by_profile(lab: ArrayLike, profile: bytes, intent: str = "relative") -> Floats:
    """Device values (n, channels), 0 to 1 in steps of 1/65535 (CMYK: 1 is full ink), of CIELAB (n, 3).

    By one of INTENTS, as ``device_to_lab_by_profile`` the other way round: for ``absolute`` the colours are
    ICC-absolute. LittleCMS holds colours beyond L* 0 to 100 and a*, b* -128 to 127 at those ends. Raises
    BadProfile where the profile has no way from colours to device values.
    """
    space = require_usable(profile)
    if not can_export(profile):
        raise BadProfile("profile.no-way-back", profile=describe(profile), space=space)
    colours = np.asarray(lab, dtype=np.float64)
    if colours.ndim != 2 or colours.shape[1] != 3 or not np.all(np.isfinite(colours)):
        raise ValueError(f"CIELAB of shape {colours.shape}")
    if len(colours) == 0:
        return np.empty((0, CHANNELS[space]))
    if intent == "absolute":
        colours = to_media_relative(colours, media_white(profile))
    stored = colours.astype(np.float32)
    try:
        image = pyvips.Image.new_from_memory(stored.tobytes(), len(stored), 1, 3, "float")
        image = with_profile(image.copy(interpretation="lab"), listed_as_relative(profile, intent))
        device = image.icc_export(pcs="lab", intent="relative", depth=16)
        return np.asarray(device.numpy(), dtype=np.float64).reshape(len(stored), -1) / 65535
    except pyvips.Error as error:
        raise _unusable(profile) from error


def embedded_profile(image: pyvips.Image) -> bytes | None:
    """The ICC profile inside a picture, None where it has none."""
    if image.get_typeof(PROFILE_FIELD) == 0:
        return None
    return bytes(image.get(PROFILE_FIELD)) or None


def with_profile(image: pyvips.Image, profile: bytes) -> pyvips.Image:
    """The image with ``profile`` attached; its pixels are the same."""
    tagged = image.copy()
    tagged.set_type(pyvips.GValue.blob_type, PROFILE_FIELD, profile)
    return tagged


def require_usable(profile: bytes) -> str:
    """The device space (``RGB``, ``CMYK``, ``grey``) of a profile that LittleCMS can use; else BadProfile."""
    header = read_header(profile)
    if header.colour_space not in PILLOW_MODES:
        raise BadProfile("profile.of-other-numbers", space=header.colour_space)
    if header.profile_class in ("device link", "abstract", "named colour"):
        raise BadProfile("profile.of-no-device", kind=header.profile_class)
    if not _supported_intents(profile, PILLOW_MODES[header.colour_space]):
        raise _unusable(profile)
    return header.colour_space


def can_export(profile: bytes) -> bool:
    """Whether LittleCMS finds a way from CIELAB to the device numbers of a usable profile."""
    return _exports(profile, PILLOW_MODES[read_header(profile).colour_space])


def _prepared(profile: bytes, intent: str) -> tuple[bytes, str]:
    """A profile and intent that libvips takes as LittleCMS would: a missing table is the perceptual one.

    A scanner's LUT profile has that table only. libvips would take the intent in the header instead and,
    where that has no table either, sRGB. So the table is listed under the name that is asked for.
    """
    mode = PILLOW_MODES[read_header(profile).colour_space]
    supported = _supported_intents(profile, mode)
    if intent in supported:
        return profile, intent
    renamed = profile.replace(b"A2B0", b"A2B2" if intent == "saturation" else b"A2B1", 1)
    if intent in _supported_intents(renamed, mode):
        return renamed, intent
    if not supported:
        raise _unusable(profile)
    return profile, supported[0]


@lru_cache(maxsize=16)
def listed_as_relative(profile: bytes, intent: str) -> bytes:
    """The profile with the tables of ``intent`` listed as the relative ones, which are those of ``absolute`` too.

    Asked for another intent, libvips has LittleCMS compensate the black point where its own CIELAB profile is of
    version 4, and takes a white of D65 for ``absolute``. The relative intent is the plain table. A table that the
    profile lacks is the perceptual one, as for LittleCMS; libvips would take another intent before it comes to that.
    """
    number = str(INTENTS.index(intent)).replace("3", "1")
    listed = {tag.signature for tag in read_tags(profile)}
    places = {}
    for way in ("A2B", "B2A", "D2B", "B2D"):
        for source in (way + number, way + "0"):
            if source in listed:
                places[way + "1"] = source
                break
            if way in ("D2B", "B2D"):
                break  # where these are missing, the tables of the same intent come before those of another
    return retagged(profile, places)


@lru_cache(maxsize=16)
def _supported_intents(profile: bytes, mode: str) -> tuple[str, ...]:
    """The intents for which LittleCMS takes this profile to CIELAB; none where it is unusable."""
    from PIL import ImageCms  # only to try the profile; Pillow's own conversions have 8 bits

    try:
        opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        _try_way((opened, mode), (ImageCms.createProfile("LAB"), "LAB"))
    except (OSError, ImageCms.PyCMSError):
        return ()
    return tuple(
        intent
        for number, intent in enumerate(INTENTS)
        if opened.profile.is_intent_supported(number, ImageCms.Direction.INPUT)
    )


@lru_cache(maxsize=16)
def _exports(profile: bytes, mode: str) -> bool:
    from PIL import ImageCms  # only to try the profile

    try:
        opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        _try_way((ImageCms.createProfile("LAB"), "LAB"), (opened, mode))
    except (OSError, ImageCms.PyCMSError):
        return False
    return True


def _try_way(source: tuple[Any, str], target: tuple[Any, str]) -> None:
    """Raises OSError or PyCMSError where LittleCMS has no way between two profiles, each with Pillow's name for its
    numbers. No colour goes that way, so it is not sampled for speed."""
    from PIL import ImageCms

    (opened, mode), (other, other_mode) = source, target
    relative, as_it_is = ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.NOOPTIMIZE
    ImageCms.buildTransform(opened, other, mode, other_mode, relative, flags=as_it_is)


def _unusable(profile: bytes) -> BadProfile:
    return BadProfile("profile.damaged", profile=describe(profile))


def import_lab(image: pyvips.Image, profile: bytes, intent: str) -> pyvips.Image:
    """The numbers of ``profile`` to CIELAB, as an image. Raises pyvips.Error, BadProfile."""
    prepared, intent = _prepared(profile, intent)
    return with_profile(image, prepared).icc_import(pcs="lab", intent=intent, embedded=True)


KNEE = KAPPA * EPSILON / 100  # where the straight part of L* ends: 0.08


def to_lab_through_xyz(image: pyvips.Image, intent: str) -> Floats:
    """CIELAB (n, 3) of an image with its profile attached. Raises pyvips.Error."""
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        target = Path(folder, "xyz.icc")  # libvips takes the way out from a file only
        target.write_bytes(_target())
        stored = image.icc_transform(str(target), embedded=True, intent=intent, depth=16).numpy()
    # The target's curve is that of L*: (code + 0.16) / 1.16 is CIELAB's own f of each ratio, in both of its branches.
    x, y, z = np.asarray(stored).reshape(-1, 3).T
    lab = np.empty((len(y), 3))
    lab[:, 0] = y
    np.subtract(x, y, out=lab[:, 1], dtype=np.float64)
    np.subtract(y, z, out=lab[:, 2], dtype=np.float64)
    lab *= np.array([100, 500 / 1.16, 200 / 1.16]) / 65535
    return lab


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
