"""A photograph of two sheets to readings: light evened out, colours told by the known print's, doubt stated."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from math import hypot

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import SRGB, Floats, lab_to_xyz, xyz_to_lab
from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.photo.bare import PLACE_MM, bare_places
from tackside.reading.photo.colour import ColourMap, fit_colours
from tackside.reading.photo.light import Lit, Places, fit_light
from tackside.reading.photo.local import STRENGTHS, Surroundings, surroundings, taken_back
from tackside.reading.photo.samples import Samples, inner, inside, sample
from tackside.reading.photo.sheets import PhotoSheet
from tackside.reading.scan.colours import MAD_TO_SD
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Patch, PatchReading, Reading, Uncertainty
from tackside.records.reading import PHOTO, Flaw

# Greys of the known print that show how the camera bends tones: this near to the colour of its card.
GREY = 9.0
FEWEST_GREYS, FEWEST_KNOWN, FEWEST_BARE = 8, 40, 12
# Bare card of which nothing is known is taken for this strength: L* 94.5.
SOME_WHITE = 0.86
# Light that may be off by more than this (log) in a patch's place leaves the patch out; so many left out are too many.
MOST_UNSURE, MOST_LEFT_OUT = 0.06, 0.2
# Standard uncertainties, ΔE00, this project's own estimates: of colours without any known print; of cards whose
# surfaces throw light back differently.
RELATIVE_DE00, SURFACES_DE00 = 6.0, 1.5
# How much better the known colours must agree for more to be taken back of what a phone does by surroundings: what one
# more number is worth by Akaike's criterion where the sheet's colours, of which near ones err alike, count as thirty.
LEAST_GAIN = 0.03
# Greys up to this number tell how far single ones lie off their ramp; and what a verdict divides a patch's spread by
# for the lightness of its mean: its four quarters, three axes.
NEAR_BLACK, SPOTS_AND_AXES = 0.25, 2.0 * 3.0**0.5
# Held out by the known print's own colours: a map that errs by more tells of light or sheets that are not as they seem.
MOST_HELD_OUT = 3.0


@dataclass(frozen=True, eq=False)
class Known:
    """What is known of the print that lies beside: its reading (None: nothing), and whether the cards' surfaces are the
    same."""

    reading: Reading | None
    same_surface: bool = True


@dataclass(frozen=True, eq=False)
class _Seen:
    sheet: PhotoSheet
    patches: tuple[Patch, ...]
    at: Samples
    usable: NDArray[np.bool_]
    bare_px: Floats
    bare: Floats

    def with_taken_back(self, around: Surroundings, strength: float) -> _Seen:
        """The same, as it would be seen had the phone done nothing by what lies around each place."""
        at = self.at
        mean = taken_back(at.mean, around.at(at.px), strength)
        bare = taken_back(self.bare, around.at(self.bare_px), strength)
        return replace(self, at=replace(at, mean=mean), bare=bare)


def read_pair(
    scan: ScanImage, new: PhotoSheet, beside: PhotoSheet, known: Known, *, device: str | None = None
) -> tuple[Reading, ...]:
    """The new print's reading in the terms of the known print's; where nothing is known of that, readings of both that
    may be compared with each other alone. Raises BadScan where light or colours cannot be told."""
    mine, theirs = _seen(scan, new), _seen(scan, beside)
    table = {} if known.reading is None else {patch.name: patch.lab for patch in known.reading.patches}
    told = np.array([patch.name in table for patch in theirs.patches])
    lab = np.array([table.get(patch.name, (0.0, 0.0, 0.0)) for patch in theirs.patches])
    if int((told & theirs.usable).sum()) < FEWEST_KNOWN:
        if known.reading is not None:
            raise BadScan(
                "photo.too-few-known", trial=str(beside.trial), count=int((told & theirs.usable).sum())
            )
        return _relative(scan, mine, theirs, device)
    mine, lit, colours = _evened(scan, mine, theirs, lab, told)
    spread = _required_even(lit)
    off = colours.off
    if off > MOST_HELD_OUT:
        raise BadScan("photo.colours-astray", trial=str(beside.trial), de00=off)
    seen = colours.lab(lit.own(mine.at.px, mine.at.mean))
    sd = _spread(seen, colours.lab(lit.own(mine.at.px, np.clip(mine.at.mean + mine.at.sd, 0.0, 1.0))))
    sd = np.maximum(sd, SPOTS_AND_AXES * _ramp_noise(mine.patches, seen))
    unsure = lit.unsure(mine.at.px)
    kept = mine.usable & (unsure <= MOST_UNSURE)
    _require_most(kept, scan)
    assert known.reading is not None
    light_de00 = 30.0 * spread
    surfaces = 0.0 if known.same_surface else SURFACES_DE00
    added = float(np.sqrt(off**2 + light_de00**2 + surfaces**2))
    notices = [
        Message("photo.tells", trial=str(beside.trial), de00=hypot(off, light_de00)),
        Message("photo.cannot-tell"),
        *([] if known.same_surface else [Message("photo.other-surface")]),
        *_left_out(kept),
    ]
    trust = Uncertainty(
        de00=round(hypot(added, known.reading.uncertainty.de00), 2),
        added_de00=round(added, 2),
        basis=Message("uncertainty.photo", trial=str(beside.trial), de00=off),
        comparable_with=PHOTO + known.reading.uncertainty.comparable_with.removeprefix(PHOTO),
    )
    return (_reading(scan, mine, seen, sd, kept, trust, notices, device, beside.trial, known.reading.flaws),)


def _evened(
    scan: ScanImage, mine: _Seen, theirs: _Seen, lab: Floats, told: NDArray[np.bool_]
) -> tuple[_Seen, Lit, ColourMap]:
    """Light and colours by the known print, and the new one as seen, with so much of what the phone did by
    surroundings taken back as the known colours, left out in turn, ask for."""
    found = []
    near = surroundings(scan.pixels)
    for strength in STRENGTHS:
        new, known = (each.with_taken_back(near, strength) for each in (mine, theirs))
        lit = _light(new, known, lab, told)
        good = told & known.usable & (lit.unsure(known.at.px) <= MOST_UNSURE)
        if int(good.sum()) < FEWEST_KNOWN:
            raise BadScan("photo.too-few-known", trial=str(theirs.sheet.trial), count=int(good.sum()))
        found.append((new, lit, fit_colours(lit.own(known.at.px[good], known.at.mean[good]), lab[good])))
    best = min(found, key=lambda one: one[2].off)
    return best if best[2].off <= (1.0 - LEAST_GAIN) * found[0][2].off else found[0]


def _spread(lab: Floats, noisy: Floats) -> Floats:
    """How far quarters of a patch spread, ΔE*ab (n,). What they have in common is lightness, to which a verdict gives a
    third of the variance: so it stands for √3 times that."""
    return np.asarray(np.sqrt(3.0 * ((noisy - lab) ** 2).sum(axis=1)))


def _ramp_noise(patches: tuple[Patch, ...], lab: Floats) -> float:
    """How far single greys lie off their ramp in lightness, one robust standard deviation, by second differences of the
    darker ones: what mottle and the camera do from patch to patch that no single patch shows."""
    rgb = np.array([patch.rgb for patch in patches])
    rows = np.flatnonzero((np.ptp(rgb, axis=1) <= 1e-6) & (rgb[:, 0] <= NEAR_BLACK))
    rows = rows[np.argsort(rgb[rows, 0], kind="stable")]
    if len(rows) < FEWEST_GREYS:
        return 0.0
    bends = np.diff(lab[rows, 0], 2)
    return float(MAD_TO_SD * np.median(np.abs(bends)) / np.sqrt(6.0))


def _seen(scan: ScanImage, sheet: PhotoSheet) -> _Seen:
    patches = sheet.plan.patches
    middles = np.array([patch.box_mm.centre for patch in patches])
    sizes = np.array([(patch.box_mm.w, patch.box_mm.h) for patch in patches])
    at = sample(scan.pixels, sheet.map, middles, inner(sizes, _px_per_mm(sheet)))
    return _Seen(sheet, patches, at, inside(scan.pixels, at.px, 4.0) & ~at.clipped, *_bare(scan, sheet))


def _light(mine: _Seen, theirs: _Seen, lab: Floats, told: NDArray[np.bool_]) -> Lit:
    """Fitted on both sheets' bare card and on the known print's greys."""
    white = _white(theirs, lab, told)
    strength = lab_to_xyz(lab) @ SRGB.from_xyz_d50.T
    grey = (
        told & theirs.usable & (np.hypot(*(lab[:, 1:] - xyz_to_lab(SRGB.to_xyz_d50 @ white)[1:]).T) <= GREY)
    )
    greys = np.flatnonzero(grey & (strength.min(axis=1) > 0.0))
    if len(greys) < FEWEST_GREYS:
        raise BadScan("photo.too-few-known", trial=str(theirs.sheet.trial), count=len(greys))
    parts = [(theirs.at.px[greys], theirs.at.mean[greys], strength[greys], -1)]
    parts += [(theirs.bare_px, theirs.bare, white, -1), (mine.bare_px, mine.bare, np.full(3, np.nan), 0)]
    return fit_light(_places(parts), _density(mine, theirs))


def _places(parts: list[tuple[Floats, Floats, Floats, int]]) -> Places:
    return Places(
        px=np.concatenate([px for px, *_ in parts]),
        numbers=np.concatenate([numbers for _, numbers, *_ in parts]),
        strength=np.concatenate([np.broadcast_to(its, numbers.shape) for _, numbers, its, _ in parts]),
        group=np.concatenate([np.full(len(px), number) for px, _, _, number in parts]),
    )


def _bare(scan: ScanImage, sheet: PhotoSheet) -> tuple[Floats, Floats]:
    places = bare_places(sheet.plan)
    got = sample(scan.pixels, sheet.map, places, np.full_like(places, PLACE_MM))
    good = inside(scan.pixels, got.px) & ~got.clipped
    if int(good.sum()) < FEWEST_BARE:
        raise BadScan("photo.no-bare-card")
    return got.px[good], got.mean[good]


def _white(theirs: _Seen, lab: Floats, told: NDArray[np.bool_]) -> Floats:
    """Linear sRGB (3,) of the known print's bare card: its white patch, or its lightest colour."""
    whites = [n for n, patch in enumerate(theirs.patches) if told[n] and min(patch.rgb) >= 1.0]
    row = whites[0] if whites else int(np.argmax(np.where(told, lab[:, 0], 0.0)))
    return np.asarray(lab_to_xyz(lab[row]) @ SRGB.from_xyz_d50.T)


def _density(*seen: _Seen) -> float:
    return float(np.mean([_px_per_mm(each.sheet) for each in seen]))


def _px_per_mm(sheet: PhotoSheet) -> float:
    return sheet.map.px_per_mm(np.array(sheet.plan.size_mm) / 2)


def _required_even(lit: Lit) -> float:
    """What places of bare card are missed by from their neighbours (log, robust standard deviation)."""
    return 1.4826 * float(np.median(np.abs(lit.left_over()))) if len(lit.off) else 0.0


def _require_most(kept: NDArray[np.bool_], scan: ScanImage) -> None:
    left_out = 1.0 - float(kept.mean())
    if left_out > MOST_LEFT_OUT:
        raise BadScan("photo.uneven", file=scan.name, share=left_out)


def _left_out(kept: NDArray[np.bool_]) -> list[Message]:
    count = int((~kept).sum())
    return [Message("photo.patches-left-out", count=count)] if count else []


def _relative(scan: ScanImage, mine: _Seen, theirs: _Seen, device: str | None) -> tuple[Reading, ...]:
    """Both prints, as sRGB has it and by one white for both; to be compared with each other alone."""
    white = np.full(3, SOME_WHITE)
    parts = [(theirs.bare_px, theirs.bare, white, -1), (mine.bare_px, mine.bare, np.full(3, np.nan), 0)]
    lit = fit_light(_places(parts), _density(mine, theirs), bends=False)
    notices = [Message("photo.relative-only", trial=str(theirs.sheet.trial)), Message("photo.cannot-tell")]
    trust = Uncertainty(
        de00=RELATIVE_DE00,
        basis=Message("uncertainty.photo-alone"),
        comparable_with=f"{PHOTO}file {scan.sha256}",
    )
    flaws = (Flaw(code="photo.relative-only", degree=0.5),)
    found = []
    for one, other in ((mine, theirs), (theirs, mine)):
        kept = one.usable & (lit.unsure(one.at.px) <= MOST_UNSURE)
        _require_most(kept, scan)
        seen, noisy = (
            xyz_to_lab(lit.own(one.at.px, np.clip(numbers, 0.0, 1.0)) @ SRGB.to_xyz_d50.T)
            for numbers in (one.at.mean, one.at.mean + one.at.sd)
        )
        said = [*notices, *_left_out(kept)]
        found.append(
            _reading(
                scan, one, seen, _spread(seen, noisy), kept, trust, said, device, other.sheet.trial, flaws
            )
        )
    return tuple(found)


def _reading(
    scan: ScanImage,
    one: _Seen,
    lab: Floats,
    sd: Floats,
    kept: NDArray[np.bool_],
    trust: Uncertainty,
    notices: list[Message],
    device: str | None,
    beside: str | None,
    flaws: tuple[Flaw, ...],
) -> Reading:
    return Reading(
        trial=one.sheet.trial,
        kind="photo",
        source_name=scan.name,
        source_sha256=scan.sha256,
        made_at=datetime.now(UTC),
        device=device,
        profile=scan.profile_name,
        patches=tuple(
            PatchReading(
                name=patch.name,
                rgb=patch.rgb,
                lab=(float(row[0]), float(row[1]), float(row[2])),
                sd=float(spread),
            )
            for patch, row, spread, keep in zip(one.patches, lab, sd, kept, strict=True)
            if keep
        ),
        uncertainty=trust,
        notices=tuple(notices),
        flaws=flaws,
        beside=beside,
    )
