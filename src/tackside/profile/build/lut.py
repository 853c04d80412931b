"""Colour tables as they are stored, and CIELAB as they code it.

Version 4: lutAToBType and lutBToAType with 16 bits (ISO 15076-1:2010, 10.10 and 10.11; L* 100 is FFFFh, a* and b* 0 are
8080h). Version 2: lut16Type (ICC.1:2001-04, 6.5.7; L* 100 is FF00h, a* and b* 0 are 8000h). Nodes are even in R, G, B
and in L*, a*, b*, 33 an axis: an engine that samples the tables again, as LittleCMS does for 16 bits, meets them.

Tables of device numbers reach a little beyond 0 and 1 (MARGIN), which a curve after the table cuts off. So a cell that
lies across the surface of the gamut can run straight up to it: held at 1 outside, it would fall short of 1 inside.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats

NODES = 33
MARGIN = 1 / 16
# The curve that cuts the margin off: its corners fall on samples, 1 and 17 of 18 steps.
_CUT_STEPS = 18
_LEAST = np.array([0.0, -128.0, -128.0])


@dataclass(frozen=True)
class Coding:
    """CIELAB as 16-bit numbers: ``steps`` (3,) to the unit."""

    version: int

    @property
    def steps(self) -> Floats:
        return np.array([652.8, 256.0, 256.0] if self.version == 2 else [655.35, 257.0, 257.0])

    @property
    def white(self) -> float:
        """The number of L* 100."""
        return 65280.0 if self.version == 2 else 65535.0

    def coded(self, lab: Floats) -> Floats:
        """CIELAB (n, 3) as 0 to 1, held at the ends of what can be stored: L* 0 to 100, a* and b* about ±128."""
        top = np.array([self.white, 65535.0, 65535.0])
        return np.asarray(np.clip((lab - _LEAST) * self.steps, 0, top) / 65535)

    def places(self, lab: Floats) -> Floats:
        """CIELAB (n, 3) as places in a table from CIELAB, 0 to 1."""
        return np.asarray(np.clip((lab - _LEAST) * self.steps / 65535, 0, 1))

    def lab(self, coded: Floats) -> Floats:
        """CIELAB (n, 3) of numbers from 0 to 1."""
        return np.asarray(coded * 65535 / self.steps + _LEAST)

    def nodes(self) -> Floats:
        """CIELAB (NODES³, 3) at the nodes of a table from CIELAB, b* running fastest."""
        return self.lab(even_nodes(3))


def even_nodes(channels: int, nodes: int = NODES) -> Floats:
    """Places (nodes^channels, channels) of an even grid from 0 to 1, the last axis running fastest."""
    axes = np.meshgrid(*[np.linspace(0, 1, nodes)] * channels, indexing="ij")
    return np.stack(axes, axis=-1).reshape(-1, channels)


def stored(values: Floats) -> NDArray[np.uint16]:
    """Values from 0 to 1 as 16-bit numbers."""
    return np.rint(np.clip(values, 0, 1) * 65535).astype(np.uint16)


def table_to_colours(coded: Floats, version: int) -> bytes:
    """A2B: ``coded`` CIELAB (NODES³, 3), 0 to 1, by device numbers."""
    body: bytes = stored(coded).astype(">u2").tobytes()
    if version == 2:
        ends = struct.pack(">2H", 0, 65535)
        return _old_head(b"mft2", 3, 3) + struct.pack(">2H", 2, 2) + ends * 3 + body + ends * 3
    return _new_table(body, 3, 3, 2, _STRAIGHT, to_colours=True)


def table_to_device(device: Floats, version: int) -> bytes:
    """B2A: ``device`` numbers (NODES³, 3), -MARGIN to 1 + MARGIN, by CIELAB."""
    body: bytes = stored((device + MARGIN) / (1 + 2 * MARGIN)).astype(">u2").tobytes()
    places = np.linspace(0, 1, _CUT_STEPS + 1)
    cut = stored(places * (1 + 2 * MARGIN) - MARGIN).astype(">u2").tobytes()
    if version == 2:
        head = _old_head(b"mft2", 3, 3) + struct.pack(">2H", 2, _CUT_STEPS + 1)
        return head + struct.pack(">2H", 0, 65535) * 3 + body + cut * 3
    curve = struct.pack(">4s4xI", b"curv", _CUT_STEPS + 1) + cut
    return _new_table(body, 3, 3, 2, curve + bytes(-len(curve) % 4), to_colours=False)


def gamut_type(values: Floats, *, version: int) -> bytes:
    """The gamut tag's table, ``values`` (NODES³, 1) from 0 to 1 with 8 bits: 0 where the printer holds the colour."""
    body: bytes = np.rint(np.clip(values, 0, 1) * 255).astype(np.uint8).tobytes()
    if version == 2:
        straight = bytes(range(256))
        return _old_head(b"mft1", 3, 1) + straight * 3 + body + straight
    return _new_table(body, 3, 1, 1, _STRAIGHT, to_colours=False)


_STRAIGHT = struct.pack(">4s4xI", b"curv", 0)


def _old_head(kind: bytes, inputs: int, outputs: int) -> bytes:
    unit = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    return struct.pack(">4s4xBBBx", kind, inputs, outputs, NODES) + unit


def _new_table(
    body: bytes, inputs: int, outputs: int, width: int, device_curve: bytes, *, to_colours: bool
) -> bytes:
    """``device_curve`` stands once for each device channel, beside the table; the curves of CIELAB are straight."""
    connection, device = (outputs, inputs) if to_colours else (inputs, outputs)
    a_place = 32 + len(_STRAIGHT) * connection
    table_place = a_place + len(device_curve) * device
    kind = b"mAB " if to_colours else b"mBA "
    head = struct.pack(">4s4xBBxx5I", kind, inputs, outputs, 32, 0, 0, table_place, a_place)
    grid = bytes([NODES] * inputs).ljust(16, b"\0") + bytes([width, 0, 0, 0])
    return head + _STRAIGHT * connection + device_curve * device + grid + body
