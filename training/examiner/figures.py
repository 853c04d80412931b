"""Scenes read in figures: every patch, line and length as the examiner's instruments foretell them."""

from __future__ import annotations

from hashlib import sha256

import numpy as np

from tackside.reading.quality.all import end_attributes
from tackside.records import Reading
from training.examiner import sheets
from training.examiner.glass import (
    Flatbed,
    Spectrophotometer,
    draw_flatbed,
    draw_spectrophotometer,
    read_by_flatbed,
    read_by_instrument,
)
from training.examiner.lines import line_attributes, placement
from training.examiner.scenes import Laid, Scene

# Of prints: read by an instrument. Of scenes with more than one print: all read by the same device.
BY_INSTRUMENT, ONE_DEVICE = 0.35, 0.97


def read_in_figures(rng: np.random.Generator, scene: Scene) -> tuple[Reading, Reading | None, Reading | None]:
    """Readings of the print, of the one beside it and of the other side."""
    # Doubled edges and lengths are for a scan; an instrument sees neither.
    by_instrument = rng.random() < BY_INSTRUMENT and not {"alignment", "scaling"} & set(scene.truth)
    device = device_for(rng, 1, by_instrument)
    second = device if by_instrument or rng.random() < ONE_DEVICE else device_for(rng, 2, by_instrument)
    if by_instrument and rng.random() < 0.3:  # another instrument: both are colorimetric
        second = device_for(rng, 2, by_instrument)
    print_read = read_one(rng, device, scene.laid)
    reference = None
    if scene.reference is not None:
        reference = (
            print_read.model_copy(update={"trial": "t2"})
            if scene.read_once
            else read_one(rng, second, scene.reference)
        )
    other = None if scene.other_side is None else read_one(rng, device, scene.other_side)
    return print_read, reference, other


def device_for(rng: np.random.Generator, number: int, by_instrument: bool) -> Flatbed | Spectrophotometer:
    return draw_spectrophotometer(rng, number) if by_instrument else draw_flatbed(rng, number)


def read_one(rng: np.random.Generator, device: Flatbed | Spectrophotometer, laid: Laid) -> Reading:
    sheet, made = laid.sheet, laid.made
    name = f"{laid.trial.id} {device.name}"
    if isinstance(device, Spectrophotometer):
        return Reading(
            trial=laid.trial.id,
            kind="instrument",
            source_name=f"{laid.trial.id}.txt",
            source_sha256=sha256(name.encode()).hexdigest(),
            made_at=sheets.NOON,
            device=device.name,
            patches=read_by_instrument(rng, device, made.xyz(laid.asked, laid.space), sheet.patches),
            uncertainty=device.uncertainty,
        )
    grain = made.grain
    patches, flaws = read_by_flatbed(
        rng,
        device,
        made.spectra(laid.asked, laid.space),
        sheet.patches,
        float(np.hypot(grain.mottle, grain.grain)),
        sheet.size_mm,
    )
    return Reading(
        trial=laid.trial.id,
        kind="scan",
        source_name=f"{laid.trial.id}.tif",
        source_sha256=sha256(name.encode()).hexdigest(),
        made_at=sheets.NOON,
        device=device.name,
        profile=None if device.assumed else device.name,
        patches=patches,
        placement=placement(rng, made, sheet),
        attributes=line_attributes(rng, made, device) | end_attributes(patches),
        uncertainty=device.uncertainty,
        flaws=flaws,
    )
