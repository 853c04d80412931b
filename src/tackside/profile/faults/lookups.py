"""Faults of colour tables: damaged, for other channels, out of range, without a use."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from tackside.messages.message import Message
from tackside.profile.faults.curves import falls
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.faults.required import TABLES_IN, TABLES_OUT, named
from tackside.profile.icc.inspect import CHANNELS, Header
from tackside.profile.icc.tables import BadTable, ColourTable, read_table

OLD_TOP = 0xFF00 / 0xFFFF  # L* 100 in lut16Type (ISO 15076-1:2010, 6.3.4.2)
FEWEST_NODES = 5  # docs/sources.md, S41: real tables have 9 to 33 a side


def lookup_faults(header: Header, held: dict[str, memoryview]) -> Iterator[ProfileFault]:
    for signature in (*TABLES_OUT, *TABLES_IN):
        if signature not in held or len(held[signature]) < 32:
            continue
        if bytes(held[signature][:4]) not in (b"mft1", b"mft2", b"mAB ", b"mBA "):
            continue  # a wrong type is said elsewhere
        try:
            table = read_table(held[signature])
        except BadTable as broken:
            yield ProfileFault(
                "wrong",
                signature,
                Message("profile-fault.table-damaged", tag=named(signature), reason=broken.reason),
            )
            continue
        yield from _table(signature, table, header)


def _table(signature: str, table: ColourTable, header: Header) -> Iterator[ProfileFault]:
    device = CHANNELS.get(header.colour_space, 0)
    to_colours = signature.startswith("A2B")
    if header.profile_class != "device link" and device:
        wanted = (device, 3) if to_colours else (3, device)
        if (table.inputs, table.outputs) != wanted:
            yield ProfileFault(
                "wrong",
                signature,
                Message(
                    "profile-fault.table-channels",
                    inputs=table.inputs,
                    outputs=table.outputs,
                    wanted_inputs=wanted[0],
                    wanted_outputs=wanted[1],
                ),
            )
            return
    # A curve that only falls turns light and dark about, which is allowed.
    if any(falls(curve) and falls(curve[::-1]) for curve in table.curves):
        yield ProfileFault("doubtful", signature, Message("profile-fault.table-curve-turns"))
    if table.nodes is None:
        return
    if min(table.grid) < FEWEST_NODES and table.type in ("mft1", "mft2"):
        yield ProfileFault("note", signature, Message("profile-fault.table-coarse", side=min(table.grid)))
    yield from _range(signature, table, header, to_colours=to_colours)


def _range(signature: str, table: ColourTable, header: Header, *, to_colours: bool) -> Iterator[ProfileFault]:
    nodes = table.nodes
    if nodes is None:
        return
    if np.ptp(nodes, axis=0).max() == 0:
        yield ProfileFault("wrong", signature, Message("profile-fault.table-one-colour"))
        return
    # A table from CIELAB to CIELAB may well span all that the coding holds.
    device = header.colour_space not in ("Lab", "XYZ")
    if device and to_colours and header.connection_space == "Lab" and table.type == "mft2":
        over = float(np.mean(nodes[:, 0] > OLD_TOP + 1e-9))
        # Curves after the table may bring it back: only straight ones leave it as it is.
        if over and _is_straight(table.curves[table.inputs]):
            yield ProfileFault(
                "wrong",
                signature,
                Message("profile-fault.table-out-of-range", percent=100 * over),
            )


def _is_straight(curve: np.ndarray) -> bool:
    return bool(np.allclose(curve, np.linspace(0, 1, len(curve)), atol=2 / 65535))
