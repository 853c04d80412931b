"""The tables of a live proof as a browser's graphics read them: one lookup a pixel, straight between nodes.

A device link's own nodes are whole 8-bit numbers, so a number's place among them is a broken line of 48 pieces. Here
the nodes lie along two straight pieces, which the shader works out in two products: every third number up to 48, then
32 equal steps to 255. Colours have 10 bits a channel, a form that every WebGL 2 reads between its nodes; sizes a byte.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import picture_delta_e_2000
from tackside.picture.proof.figures import out_of_gamut
from tackside.profile.link.link import LabLink, Link

NODES = 49
BREAK = 16  # the node where the steps widen, at the number 48
PER_DE = 10.0  # sizes are kept in tenths of ΔE00, up to 25.5


def node_codes() -> NDArray[np.float64]:
    """The 8-bit numbers, with fractions, at which the nodes lie, (49,)."""
    number = np.arange(NODES)
    return np.where(number <= BREAK, 3.0 * number, 48 + (number - BREAK) * 207 / (NODES - 1 - BREAK))


def light(link: Link) -> bytes:
    """A link's screen colours at the nodes: ten bits each of red, green and blue, red lowest."""
    codes = link.apply(_grid())[0].astype(np.uint32)
    red, green, blue = ((codes * 1023 + 32767) // 65535).T
    packed: NDArray[np.uint32] = red | (green << 10) | (blue << 20) | np.uint32(3 << 30)
    return np.ascontiguousarray(packed, dtype="<u4").tobytes()


def size_link(source: LabLink, printed: LabLink, held: LabLink) -> LabLink:
    """From a picture's numbers to how far (ΔE00) a print moves them, and how far they lie outside the card; and 0.

    ``held`` is the way to the card that finds what it can hold: relative colorimetric, without compensation.
    """
    was, becomes, reached = (link.table.reshape(len(link.table), -1, 3) for link in (source, printed, held))
    moved, outside = picture_delta_e_2000(was, becomes), out_of_gamut(was, reached)
    table = np.stack([moved, outside, np.zeros_like(moved)], axis=-1)
    return LabLink(np.ascontiguousarray(table.reshape(source.table.shape), dtype=np.float32))


def sizes(link: LabLink) -> bytes:
    """The two sizes of a ``size_link`` at the nodes, a byte each, in tenths of ΔE00."""
    found = link.apply(_grid())[0, :, :2]
    return np.ascontiguousarray(np.rint(np.clip(found * PER_DE, 0, 255)).astype(np.uint8)).tobytes()


@cache
def _grid() -> NDArray[np.uint16]:
    """Every node's RGB of 16 bits, red running fastest as in a texture of three dimensions, (1, n³, 3)."""
    codes = np.rint(node_codes() * 257).astype(np.uint16)
    blue, green, red = np.meshgrid(codes, codes, codes, indexing="ij")
    return np.ascontiguousarray(np.stack([red, green, blue], axis=-1).reshape(1, -1, 3))
