"""An instrument file, CGATS or CxF, to a Reading."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from tackside.files.outside import as_text
from tackside.messages.message import Message
from tackside.reading.instrument.cgats import parse_cgats
from tackside.reading.instrument.columns import measured_from_table, measurement_table
from tackside.reading.instrument.cxf import parse_cxf
from tackside.reading.instrument.matching import bare_patches, planned_patches
from tackside.reading.instrument.measured import MeasuredSet
from tackside.reading.instrument.text import decode, load_bytes
from tackside.records.reading import PatchReading, Reading, Uncertainty
from tackside.records.sheet_plan import SheetPlan

# One standard uncertainty in ΔE00. Two hand-held instruments of good make commonly differ by 0.3 to 1 ΔE00
# on prints (docs/sources.md, S44); 0.5 stands for the middle of that.
INSTRUMENT_DE00 = 0.5


def read_instrument_file(path: Path | str, plan: SheetPlan | None = None) -> Reading:
    """Read CGATS.17 text or CxF/X-3.

    With ``plan`` the rows are matched to that sheet's patches by name, else by RGB; without it the file's own
    patches are taken. Repeats are averaged. Raises BadInstrumentFile, with file and line.
    """
    path = Path(path)
    data = load_bytes(path)
    measured = parse_instrument(data, path.name)
    notices: tuple[Message, ...] = ()
    if plan is None:
        patches = bare_patches(measured)
    else:
        patches, notices = planned_patches(measured, plan, path.name)
    return Reading(
        kind="instrument",
        source_name=as_text(path.name),
        source_sha256=hashlib.sha256(data).hexdigest(),
        made_at=datetime.now(UTC),
        device=measured.device,
        condition=measured.condition,
        patches=patches,
        uncertainty=_uncertainty(patches),
        notices=(*measured.notices, *notices),
    )


def parse_instrument(data: bytes, name: str) -> MeasuredSet:
    """Bytes of either format to rows; ``name`` is for messages."""
    text = decode(data, name)
    if text.lstrip("\ufeff \t\n").startswith("<"):
        return parse_cxf(text, name)
    return measured_from_table(measurement_table(parse_cgats(text, name), name), name)


def _uncertainty(patches: tuple[PatchReading, ...]) -> Uncertainty:
    """The instrument's share, and the spread of repeats where the file holds any."""
    spreads = [patch.sd for patch in patches if patch.sd is not None]
    typical = float(np.median(spreads)) if spreads else 0.0
    basis = Message("uncertainty.instrument", de00=INSTRUMENT_DE00)
    if typical:
        basis = Message("uncertainty.instrument-repeats", de00=INSTRUMENT_DE00, spread=typical)
    # ΔE*ab is never much below ΔE00 for near neutrals and above it elsewhere, so adding it errs on the safe
    # side.
    return Uncertainty(
        de00=float(np.hypot(INSTRUMENT_DE00, typical)), basis=basis, comparable_with="colorimetric"
    )
