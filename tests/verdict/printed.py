"""Readings of what the virtual press lays down for a trial's patches, with an instrument's noise."""

from __future__ import annotations

import numpy as np

from tackside.colour.spaces import RGB_SPACES, rgb_to_lab, xyz_to_lab
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.profile.device.device import Intent, ProfileDevice
from tackside.records import PatchReading, Reading, Trial, Uncertainty
from tests.verdict.readings import NOON

NOISE = 0.15  # ΔE*ab per axis, a spectrophotometer's repeats


def printed(
    trial: Trial,
    model: StockModel,
    printer: PrinterModel | None = None,
    *,
    through: bytes | None = None,
    intent: Intent = "relative",
    bpc: bool = True,
    times: int = 1,
    key: str = "colorimetric",
    seed: int = 1,
) -> Reading:
    """The trial's sheet on this stock; ``through``: converted by an application by this profile, so many times."""
    numbers = np.array([patch.rgb for patch in trial.sheet.patches])
    for _ in range(times if through is not None else 0):
        asked = rgb_to_lab(numbers, RGB_SPACES[trial.sheet.space or "srgb"])
        numbers = ProfileDevice(through or b"").from_lab(asked, intent, bpc)
    lab = xyz_to_lab(look_up(colour_table(model, printer or PrinterModel()), numbers))
    lab = lab + NOISE * np.random.default_rng(seed).standard_normal(lab.shape)
    return Reading(
        kind="instrument",
        source_name="press.txt",
        source_sha256="0" * 64,
        made_at=NOON,
        patches=tuple(
            PatchReading(name=patch.name, rgb=patch.rgb, lab=(float(light), float(a), float(b)), sd=0.2)
            for patch, (light, a, b) in zip(trial.sheet.patches, lab, strict=True)
        ),
        uncertainty=Uncertainty(de00=0.5, basis="an invented instrument", comparable_with=key),
    )
