"""A device link: the whole way of a picture's numbers through a card, sampled once, then applied in one pass.

Picture profile → card (by intent) → colour, or → screen. The way is sampled by LittleCMS at 16 bits on a grid
of the picture's RGB. The grid's nodes are 8-bit numbers, close together in the darks, where the black of a
card makes a crease; between them the link is linear along tetrahedra.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import RGB_SPACES, WHITE_D50, Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.device.device import Device, Intent, relative_print
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.passage import rgb_codes_to_lab
from tackside.tasks.machine_code import loop

Pixels = NDArray[np.uint8] | NDArray[np.uint16]
Lab32 = NDArray[np.float32]

# Every third number up to 48 (L* 20 in sRGB), then every sixth or seventh.
CODES: NDArray[np.intp] = np.concatenate([np.arange(0, 48, 3), np.rint(np.linspace(48, 255, 33))]).astype(
    np.intp
)
CODES.flags.writeable = False
PLACE: NDArray[np.float32] = np.interp(np.arange(257), CODES, np.arange(len(CODES))).astype(np.float32)
PLACE.flags.writeable = False
SMALLEST_SHARE = 1 << 16  # pixels worth a thread of their own


@dataclass(frozen=True, eq=False)
class LabLink:
    """From a picture's RGB to CIELAB. ``table`` (n, n, n, 3) float32 Lab at the nodes CODES."""

    table: Lab32

    def apply(self, pixels: Pixels) -> Lab32:
        """CIELAB (h, w, 3) float32 of RGB (h, w, 3), uint8 or uint16."""
        out = np.empty(pixels.shape, np.float32)
        _run(pixels, self.table, out)
        return out


@dataclass(frozen=True, eq=False)
class Link:
    """From a picture's RGB to the screen's. ``table`` (n, n, n, 3) float32 RGB, 0 to 1, at the nodes CODES.

    ``screen`` is the working space of the result.
    """

    table: Lab32
    screen: SpaceName

    def apply(self, pixels: Pixels, *, over: bool = False) -> Pixels:
        """Screen RGB of RGB (h, w, 3), both uint8 or both uint16; ``over``: in the place of ``pixels``, which saves the
        memory of as many again."""
        # Rows that do not lie one behind the other are filled as one block, which is then another.
        own = cast("Pixels", np.ascontiguousarray(pixels))
        out: Pixels = own if over else np.empty(pixels.shape, pixels.dtype)
        _run(own, self._scaled_8 if pixels.dtype == np.uint8 else self._scaled_16, out)
        return out

    @cached_property
    def _scaled_8(self) -> Lab32:
        return self.table * np.float32(255)

    @cached_property
    def _scaled_16(self) -> Lab32:
        return self.table * np.float32(65535)


def device_link(
    source_profile: bytes,
    device: Device,
    intent: Intent,
    *,
    bpc: bool = True,
    paper: bool = False,
    screen: SpaceName = "srgb",
) -> Link:
    """The proof of a card on screen: the picture's RGB → card by ``intent`` → screen RGB.

    ``paper`` shows the card's white as it is beside the screen's white (ICC-absolute); without it the card's
    white is the screen's (media-relative), and its black lies above the screen's as on the card. Colours
    that the screen lacks are cut off by channel, as LittleCMS does for a matrix profile. ``bpc``: black
    point compensation on the way to the card, none for the absolute intent. Raises BadProfile.
    """
    printed = link_to_lab(source_profile, device, intent, bpc=bpc)
    return screen_link(printed, device.white_lab if paper else None, screen=screen)


def screen_link(printed: LabLink, white_lab: Floats | None = None, *, screen: SpaceName = "srgb") -> Link:
    """A link to a print's colours taken on to the screen; with the card's own white where ``white_lab`` is given."""
    xyz = lab_to_xyz(printed.table.astype(np.float64).reshape(-1, 3))
    if white_lab is not None:
        xyz *= lab_to_xyz(white_lab) / WHITE_D50
    space = RGB_SPACES[screen]
    # A product spelled out: on so thin a matrix, threads of a library cost more than they bring.
    light = sum(xyz[:, axis, np.newaxis] * space.from_xyz_d50[:, axis] for axis in range(3))
    return Link(_cube(space.encode(np.clip(light, 0, 1))), screen)


def link_to_lab(source_profile: bytes, device: Device, intent: Intent, *, bpc: bool = True) -> LabLink:
    """The picture's RGB → card by ``intent`` → media-relative CIELAB of the print. Raises BadProfile."""
    return LabLink(_cube(_printed_lab(source_profile, device, intent, bpc)))


def source_link(source_profile: bytes) -> LabLink:
    """The picture's RGB → its own media-relative CIELAB. Raises BadProfile."""
    return LabLink(_cube(_source_lab(source_profile, "relative", False)))


@lru_cache(maxsize=4)  # what a card can hold is asked for beside each of its ways
def _printed_lab(source_profile: bytes, device: Device, intent: Intent, bpc: bool) -> Floats:
    """Media-relative CIELAB of the print at each node, (n³, 3)."""
    bpc = bpc and intent != "absolute"
    return relative_print(device, _source_lab(source_profile, intent, bpc), intent, bpc=bpc)


def _source_lab(profile: bytes, intent: Intent, bpc: bool) -> Floats:
    """CIELAB of the source at each node, (n³, 3)."""
    for name in RGB_SPACES:
        # Our own spaces by their formulas, which LittleCMS' tables only come near. All intents are one in them.
        if profile == working_space_profile(cast(SpaceName, name)):
            return _formula_lab(name)
    return _table_lab(profile, intent, bpc)


@lru_cache(maxsize=8)
def _table_lab(profile: bytes, intent: Intent, bpc: bool) -> Floats:
    """CIELAB at each node, (n³, 3), by a profile's table."""
    return rgb_codes_to_lab(_nodes().astype(np.uint8), profile, intent, bpc=bpc)


@lru_cache(maxsize=2)
def _formula_lab(name: str) -> Floats:
    """CIELAB at each node, (n³, 3), of one of RGB_SPACES. Light adds up, so each axis is worked out once."""
    space = RGB_SPACES[name]
    light = space.decode(CODES / 255)[:, np.newaxis]
    red, green, blue = (light * space.to_xyz_d50[:, primary] for primary in range(3))
    xyz = red[:, np.newaxis, np.newaxis] + green[:, np.newaxis] + blue
    return xyz_to_lab(xyz.reshape(-1, 3))


def _nodes() -> NDArray[np.intp]:
    """All nodes of the grid, (n³, 3) 8-bit numbers, blue running fastest."""
    return np.stack(np.meshgrid(CODES, CODES, CODES, indexing="ij"), axis=-1).reshape(-1, 3)


def _cube(values: Floats) -> Lab32:
    return np.ascontiguousarray(values.reshape(len(CODES), len(CODES), len(CODES), 3), dtype=np.float32)


def _run(pixels: Pixels, table: Lab32, out: NDArray[Any]) -> None:
    """Fill ``out`` from ``table``, rows shared between all cores."""
    if pixels.ndim != 3 or pixels.shape[2] != 3 or pixels.dtype not in (np.uint8, np.uint16):
        raise ValueError(f"pixels of shape {pixels.shape} and type {pixels.dtype}")
    flat, filled = np.ascontiguousarray(pixels).reshape(-1, 3), out.reshape(-1, 3)
    name, places = ("look_up_8", (_NODE, _REST)) if flat.dtype == np.uint8 else ("look_up_16", (PLACE,))
    rounding = np.float32(0 if out.dtype == np.float32 else 0.5)
    given = (table.reshape(-1, 3), *places, WALK, len(CODES), rounding)
    look_up = loop("tackside.profile.link.link_kernel", name, flat, *given, filled)

    def work(part: slice) -> None:
        look_up(flat[part], *given, filled[part])

    _share_out(work, len(flat))


def _share_out(work: Callable[[slice], None], count: int) -> None:
    """Call ``work`` on slices of ``count`` items, in threads where there are enough."""
    cores = os.cpu_count() or 1
    if cores == 1 or count < 2 * SMALLEST_SHARE:
        work(slice(0, count))
        return
    size = max(SMALLEST_SHARE, -(-count // (4 * cores)))
    with ThreadPoolExecutor(cores) as threads:
        list(threads.map(work, (slice(start, start + size) for start in range(0, count, size))))


_NODE = np.minimum(PLACE[:256].astype(np.uint64), np.uint64(len(CODES) - 2))
_REST = (PLACE[:256] - _NODE).astype(np.float32)


def walks(nodes: int) -> NDArray[np.uint64]:
    """The walk from a node to the far corner of its cell, longest rest first: the place, from the node, of its first
    and of its second stop, (8, 2), in a table of ``nodes``³ with the last axis running fastest.

    Rows are numbered by what holds of the rests: 4 for r ≥ g, 2 for g ≥ b, 1 for r ≥ b. Two can't be.
    """
    r, g, b = nodes * nodes, nodes, 1
    none = (0, 0)
    stops = [(b, g + b), none, (g, g + b), (g, r + g), (b, r + b), (r, r + b), none, (r, r + g)]
    return np.array(stops, np.uint64)


WALK = walks(len(CODES))
