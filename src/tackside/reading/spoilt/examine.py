"""All that a scan tells of what a program did to it. The limits are this project's own (docs/sources.md, S175 to
S179).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.scan.colours import Sampled
from tackside.reading.scan.geometry.mapping import median
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.reading.spoilt.patches import bare_by_force, exchanged, painted_white
from tackside.reading.spoilt.pixels import SHOWS, Noise, enlarged, jpeg_blocks, levels, middle, noise_of
from tackside.reading.spoilt.samples import ScanSamples, take_samples
from tackside.reading.spoilt.told import Told, surety
from tackside.reading.spoilt.tone import (
    FIRST,
    LAST,
    bare_card,
    cut_off_greys,
    halo,
    histogram,
    missing_levels,
    unsteady,
    white_end,
)
from tackside.records import Patch

LEAST_JPEG_QUALITY = 75
# Optics round an edge off and never go beyond its plateaus: share of the step on the light side of the marks' outlines,
# which is bare card. Clean scans reached 0.012.
MOST_ON_LIGHT = 0.02
# In linear light, by one slanted edge, noise weighs more: where no outlines show.
SLANTED_OVERSHOOT = 0.12
FEWEST_MISSING = 4
# Card stays below L* 98 (common practice, no source); a share of its pixels at the very end means that it was pulled
# there.
MOST_CARD_L, MOST_AT_END = 98.5, 0.02
MOST_UNSTEADY = 1.25
# Levels of 255 from pixel to pixel. Rounding alone leaves 1/√12 = 0.29 in 8 bits, and nothing in 16. Quiet scanners
# come near it, and smoothing moves no patch: so it is told, and nothing else follows from it.
LEAST_NOISE = {8: 0.32, 16: 0.15}
TEXTURE = 0.55  # where even areas are plainer than this, there is nothing that smoothing would show in
# Kernels that enlarge overshoot a little by themselves.
OF_KERNELS = 0.06
# Prints have periods of their own, of waves of up to 8; pixels that were repeated, and few other ones, show more.
MOST_WAVE = 12.0
FEWEST_FLATS = 8
FEWEST_LEVELS = 1024
MOST_EXCHANGED = 0.8
# The least share of the sheet in areas at the very end of the numbers where card (levels of 255) is not: no light
# does that.
MOST_PAINTED, CARD_BELOW = 0.005, 251.0


def examine(
    scan: ScanImage, sheet: FoundSheet, patches: Sequence[Patch], sampled: Sampled, edges: float
) -> tuple[Told, ...]:
    """What was done to a scan, worst first. ``edges``: the overshoot of the sheet's slanted edges, in linear light.

    Raises BadScan where a part of it was painted white.
    """
    samples = take_samples(scan, sheet, patches)
    card = bare_card(samples)
    _refuse_painted(samples, card[1])
    depth = levels(samples)
    shallow = depth and depth <= FEWEST_LEVELS
    keen = _sharpened(samples, edges)
    jpeg = _jpeg(samples, may_be=not depth or bool(shallow))
    noise = noise_of(samples)
    made_up = _enlarged(samples) if jpeg is None else None
    if made_up is not None and keen is not None and keen.amount <= OF_KERNELS:
        keen = None
    halos = keen is not None and keen.amount > OF_KERNELS
    found = [keen, jpeg, made_up, *_tone(samples, patches, sampled, depth, card, halos=halos)]
    if shallow:
        found.append(
            Told(
                "depth",
                Message("spoilt.eight-bits-as-sixteen", file=scan.name, levels=depth),
                depth,
                "1",
                0.99,
                0.0,
                part=samples.sheet_part,
            )
        )
    if jpeg is None and made_up is None:  # which take noise away by themselves
        found.append(_smoothed(samples, noise, 8 if shallow else scan.bits))
    told = [each for each in found if each is not None]
    return tuple(sorted(told, key=lambda each: -each.degree))


def refuse_what_is_no_scan(scan: ScanImage, patches: Sequence[Patch], sampled: Sampled) -> None:
    """Raises BadScan where red and blue are exchanged, or where a part of the print shows as bare that can't be."""
    if exchanged(patches, sampled.numbers) >= MOST_EXCHANGED:
        raise BadScan("spoilt.red-and-blue-exchanged", file=scan.name)
    bare = bare_by_force(patches, sampled.lab)
    if bare.any():
        its = [patch.box_mm.centre for patch, one in zip(patches, bare, strict=True) if one]
        at = median(np.array(its), axis=0)
        raise BadScan(
            "spoilt.part-bare",
            file=scan.name,
            count=int(bare.sum()),
            x_mm=round(float(at[0])),
            y_mm=round(float(at[1])),
        )


def _refuse_painted(samples: ScanSamples, numbers: Floats) -> None:
    across = samples.sheet.map.px_per_mm
    rows = samples.thin.shape[0] / (samples.sheet_part[3] - samples.sheet_part[1])
    share = painted_white(samples.thin, rows * across, across)
    if share > MOST_PAINTED and len(numbers) and float(median(numbers, axis=0).min()) <= CARD_BELOW:
        raise BadScan("spoilt.part-painted", file=samples.scan.name, share=share)


def _sharpened(samples: ScanSamples, edges: float) -> Told | None:
    seen = halo(samples)
    # Ink alone has edges that are darker than its middle, and one slanted edge is at the mercy of noise and of a card's
    # grain: where card beside the outlines can be looked at, it alone tells.
    most = edges if seen.part is None else seen.light
    excess = edges / SLANTED_OVERSHOOT if seen.part is None else seen.light / MOST_ON_LIGHT
    if excess <= 1:
        return None
    return Told(
        "sharpening",
        Message("scan.sharpened", file=samples.scan.name, overshoot=most),
        most,
        "1",
        surety(excess, 1.0, 3.0),
        0.5,
        0.5,
        seen.part,
    )


def _jpeg(samples: ScanSamples, *, may_be: bool) -> Told | None:
    name, quality = samples.scan.name, samples.scan.origin.jpeg_quality
    if quality is not None:
        if quality >= LEAST_JPEG_QUALITY:
            return None
        message = Message("scan.heavy-jpeg", file=name, quality=quality)
        return Told("jpeg", message, quality, "1", 0.99, 0.5, 1.0, _block(samples, (0, 0)))
    seen = jpeg_blocks(samples) if may_be else None
    if seen is None or seen.regular < SHOWS:
        return None
    heavy = seen.quality < LEAST_JPEG_QUALITY
    message = (
        Message("scan.once-heavy-jpeg", file=name)
        if heavy
        else Message("spoilt.light-jpeg", file=name, quality=seen.quality)
    )
    degree, de00 = (0.5, 1.0) if heavy else (0.0, 0.0)
    sure = surety(seen.regular, SHOWS, 2 * SHOWS)
    return Told("jpeg", message, seen.quality, "1", sure, degree, de00, _block(samples, seen.corner))


def _block(samples: ScanSamples, corner: tuple[int, int]) -> tuple[int, int, int, int]:
    """A place at a mark's edge, where blocks show best, that begins at a border of blocks."""
    at = samples.sheet.marks[0][1].corners.max(axis=0)
    left, top = (int(each - (each - start) % 8) for each, start in zip(at, corner, strict=True))
    return left, top, left + 8, top + 8


def _tone(
    samples: ScanSamples,
    patches: Sequence[Patch],
    sampled: Sampled,
    depth: int,
    card: tuple[Floats, Floats],
    *,
    halos: bool,
) -> list[Told | None]:
    """``halos``: sharpened edges reach the ends and trouble the card beside the marks by themselves."""
    scan = samples.scan
    found: list[Told | None] = []
    if (ends := cut_off_greys(patches, sampled)) is not None:
        message = Message(f"scan.{ends}-cut-off", file=scan.name)
        found.append(Told("tone", message, 1.0, "1", 0.95, 0.5, 4.0, samples.sheet_part))
    if not depth or depth <= FEWEST_LEVELS:
        missing = missing_levels(histogram(samples))
        most = max(len(each) for each in missing)
        if most >= FEWEST_MISSING:
            share = most / (LAST - FIRST)
            message = Message("spoilt.levels-missing", file=scan.name, levels=most)
            sure = surety(most, FEWEST_MISSING, 4 * FEWEST_MISSING)
            # A stretch leaves out as large a share of the levels as it adds to the contrast: up to half of it, in L*.
            found.append(
                Told("tone", message, most, "1", sure, 0.5, min(50 * share / 2, 4.0), samples.sheet_part)
            )
    if not halos:
        found += [_white(samples, patches, sampled), _unsteady(samples, *card)]
    return found


def _white(samples: ScanSamples, patches: Sequence[Patch], sampled: Sampled) -> Told | None:
    white = [number for number, patch in enumerate(patches) if min(patch.rgb) >= 1.0]
    lightness = float(sampled.lab[white, 0].max()) if white else 0.0
    of_light = white_end(samples)
    if of_light <= MOST_AT_END and lightness <= MOST_CARD_L:
        return None
    message = Message("spoilt.white-pulled-up", file=samples.scan.name, lightness=lightness)
    sure = max(surety(of_light, MOST_AT_END, 0.2), surety(lightness, MOST_CARD_L, 100.0))
    return Told("tone", message, of_light, "1", sure, 0.5, 2.0, samples.sheet_part)


def _unsteady(samples: ScanSamples, places: Floats, numbers: Floats) -> Told | None:
    spread = unsteady(places, numbers)
    if spread <= MOST_UNSTEADY:
        return None
    message = Message("spoilt.contrast-uneven", file=samples.scan.name, spread=spread)
    return Told(
        "tone", message, spread, "levels", surety(spread, MOST_UNSTEADY, 4.0), 0.5, 3.0, samples.sheet_part
    )


def _smoothed(samples: ScanSamples, noise: Sequence[Noise], bits: int) -> Told | None:
    fine, coarse = middle(noise)
    least = LEAST_NOISE[bits]
    if len(noise) < FEWEST_FLATS or fine > least or coarse < TEXTURE:
        return None
    message = Message("spoilt.smoothed", file=samples.scan.name, noise=fine)
    plainest = samples.flats[int(np.argmax([one.coarse for one in noise]))].part
    return Told("smoothing", message, fine, "levels", surety(least - fine, 0.0, least), 0.0, part=plainest)


def _enlarged(samples: ScanSamples) -> Told | None:
    seen = enlarged(samples)
    if seen.wave <= MOST_WAVE:
        return None
    message = Message("spoilt.enlarged", file=samples.scan.name, factor=seen.factor)
    at = samples.sheet.marks[0][1].corners
    left, top = (int(each) for each in at.min(axis=0))
    part = (left - 6, top - 6, left + 6, top + 6)
    return Told(
        "enlarged", message, seen.factor, "1", surety(seen.wave, MOST_WAVE, 3 * MOST_WAVE), 0.0, part=part
    )
